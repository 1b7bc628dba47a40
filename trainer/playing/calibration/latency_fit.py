"""How late a pickup answers, from notes played to a click: late = c0 + c1 / frequency.

A converter needs a constant time and some cycles of the string. What is measured is when a message came after the click
that the note was meant for, that is c0 + c1 / frequency + how late the player was. A player is early or late alike on
all strings, so c1 comes from the differences between strings; the player's own habit and c0 add up to one number, and
no arithmetic can part them.

Method. The middle of each string's lateness is the Hodges-Lehmann estimate (the median of all pairwise means): 29 % of
the hits may be anything, and it needs only 5 % more hits than a mean where the median needs 57 % more. A weighted line
through these middles over 1/frequency gives c0 and c1. The spread is 1.4826 times the median absolute deviation of the
hits from their string's middle (the standard deviation, for normal hits). The intervals are 95 % intervals of weighted
least squares, widened when the strings lie off the line by more than the spread explains (Birge's ratio).

References: Hodges and Lehmann 1963 (Annals of Mathematical Statistics 34); Birge 1932 (Physical Review 40), both from
memory.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement
from math import sqrt
from statistics import fmean, median

LEAST_HITS = 8
"""Hits that a string needs before anything is said of it; trade practice asks for as many."""
_TWO_SIDED_95 = 1.96
_DEVIATION_OF_MAD = 1.4826  # of a normal distribution
_EFFICIENCY = 0.955  # of the Hodges-Lehmann estimate against the mean, 3/pi, for normal hits


@dataclass(frozen=True, slots=True)
class Interval:
    """Where a figure lies, 95 times of 100."""

    low: float
    high: float

    @property
    def half(self) -> float:
        """Half of its width."""
        return (self.high - self.low) / 2


@dataclass(frozen=True, slots=True)
class LatencyFit:
    """What the hits say."""

    constant_ms: float
    """c0 as measured: the pickup's constant time and the player's own habit."""
    constant_interval_ms: Interval
    cycles: float
    """c1 as measured."""
    cycles_interval: Interval
    spread_ms: float
    """Standard deviation of the hits about their string's middle."""
    uncertainty_ms: float
    """Half of the 95 % interval of the lateness at the string where it is known least."""
    middles_ms: Mapping[int, float]
    """Pitch -> middle of the lateness."""

    def late_ms(self, frequency_hz: float) -> float:
        """The lateness at a frequency, by the fitted line."""
        return self.constant_ms + 1000 * self.cycles / frequency_hz


def fit_latency(late_ms: Mapping[int, Sequence[float]]) -> LatencyFit | None:
    """The fit to pitch -> lateness of its hits; None when fewer than two pitches have `LEAST_HITS`."""
    hits = {pitch: each for pitch, each in late_ms.items() if len(each) >= LEAST_HITS}
    if len(hits) < 2:
        return None
    middles = {pitch: hodges_lehmann(each) for pitch, each in hits.items()}
    cycle_ms = {pitch: 1000 / frequency_hz(pitch) for pitch in hits}
    weights = {pitch: len(each) for pitch, each in hits.items()}
    total = sum(weights.values())
    spread = _DEVIATION_OF_MAD * median(abs(hit - middles[pitch]) for pitch, each in hits.items() for hit in each)
    spread *= sqrt(total / (total - len(hits)))  # a middle lies nearer to its own hits than the truth does
    centre = sum(weights[p] * cycle_ms[p] for p in hits) / total
    width = sum(weights[p] * (cycle_ms[p] - centre) ** 2 for p in hits)
    level = sum(weights[p] * middles[p] for p in hits) / total
    cycles = sum(weights[p] * (cycle_ms[p] - centre) * middles[p] for p in hits) / width
    constant = level - cycles * centre
    misfit = sum(weights[p] * (middles[p] - constant - cycles * cycle_ms[p]) ** 2 for p in hits)
    variance = spread**2 / _EFFICIENCY
    if len(hits) > 2:
        variance = max(variance, misfit / (len(hits) - 2))

    def half_ms(at_cycle_ms: float) -> float:
        return _TWO_SIDED_95 * sqrt(variance * (1 / total + (at_cycle_ms - centre) ** 2 / width))

    half_cycles = _TWO_SIDED_95 * sqrt(variance / width)
    return LatencyFit(
        constant_ms=constant,
        constant_interval_ms=Interval(constant - half_ms(0), constant + half_ms(0)),
        cycles=cycles,
        cycles_interval=Interval(cycles - half_cycles, cycles + half_cycles),
        spread_ms=spread,
        uncertainty_ms=max(half_ms(each) for each in cycle_ms.values()),
        middles_ms=middles,
    )


def compensation(fit: LatencyFit) -> tuple[float, float]:
    """c0 in ms and c1 in cycles to take off.

    No device answers before its string is plucked: a constant that is surely below zero is the player's, and is left to
    be seen as rush. Strings that answer the other way round are taken to answer alike.
    """
    constant_ms, cycles = fit.constant_ms, fit.cycles
    if cycles < 0:
        constant_ms, cycles = fmean(fit.middles_ms.values()), 0.0
    if fit.constant_interval_ms.high < 0:
        constant_ms = 0.0
    return constant_ms, cycles


def hodges_lehmann(values: Sequence[float]) -> float:
    """The median of the means of all pairs, each value with itself included.

    >>> hodges_lehmann([1.0, 2.0, 3.0, 1000.0])
    2.75
    """
    return median((one + other) / 2 for one, other in combinations_with_replacement(values, 2))


def frequency_hz(pitch: int) -> float:
    """The frequency of a MIDI pitch in equal temperament, A4 = 440 Hz.

    >>> round(frequency_hz(40), 2)
    82.41
    """
    return float(440.0 * 2.0 ** ((pitch - 69) / 12))
