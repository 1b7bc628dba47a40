"""Which places of which grid explain a row of onsets best.

The model. A line is a walk through places of beats. A beat is divided evenly, into 1 to 8; its figure is the smallest
division that all its onsets lie on. The beat's length is either known or found, and may wander slowly. What is sought
is the walk of the least cost, in nats (an onset that is one standard deviation off costs 1/2):

- an onset costs what its distance from the expected moment costs under a normal law, where the expected moment and its
  uncertainty come from a Kalman filter over (moment of the beat, length of the beat);
- the first figure costs -log of how common it is, another one later that and `_CHANGE` more (twice or half as many a
  beat as before are always alike common); a figure that goes on, or that comes back after one beat (3 then 4 a beat),
  costs next to nothing;
- a place of the figure on which nothing begins costs `_EMPTY_PLACE`, a beat without any onset `_EMPTY_BEAT`: so a fine
  grid is paid for by every place that it offers in vain; a pattern that goes on or comes back pays little for it again;
- a beat that has to be found costs more the further its tempo is from the usual.

The search (`grid_walk`) keeps the cheapest walks only (a beam). Where several beats explain the onsets about equally
well, as sixteenths at 66 and eighths at 132 do, whatever else speaks for a beat may be given as a `Hint`, and all beats
are in `GridFit.readings`, of which any can be asked for.

References: A. T. Cemgil, P. Desain, B. Kappen, "Rhythm Quantization for Transcription", Computer Music Journal 24(2),
2000 (a prior by the depth of the subdivision against the error); A. T. Cemgil, B. Kappen, "Monte Carlo Methods for
Tempo Tracking and Rhythm Quantization", JAIR 18, 2003 (a Kalman filter for tempo on each quantisation of a beam);
D. Moelants, "Preferred tempo reconsidered", ICMPC 7, 2002 (why beats near 120 a minute are more likely than others).
The figures of the costs are ours, chosen on seeded performances.

Conventions: times are floats in any one unit, ascending and different; places are exact fractions of a beat, 0 = the
first beat; in `grid_walk` and hints a whole number of `TICKS`.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from statistics import median

from trainer.score.beat import KnownBeat, UnknownBeat
from trainer.score.grid_walk import MOST_A_BEAT, TICKS, Walk, walked

Hint = Callable[[Sequence[int]], float]
"""What speaks for or against a row of places (in `TICKS` a beat) besides time, in nats; negative speaks for it."""

_BEAM, _NARROW_BEAM = 40, 14
_TASTE_ONSETS = 40
"""How many onsets a beat is tried on before it is looked at closely."""
_FINALISTS = 4
_JUDGED_ONSETS = 240
"""How many onsets decide between beats and deviations; a longer row goes on with what was decided."""
_SAME_BEAT = 0.045
"""Beats nearer than this share are one guess."""


def _no_hint(_: Sequence[int]) -> float:
    return 0.0


@dataclass(frozen=True, slots=True)
class Reading:
    """One beat that the onsets can be read by."""

    beat: float
    a_beat: int
    """The commonest number of notes a beat in it."""
    worse_nats: float
    """How much dearer it is than the cheapest reading."""


@dataclass(frozen=True, slots=True)
class GridFit:
    """Places for onsets."""

    times: tuple[float, ...]
    """The onsets as they were given."""
    places: tuple[Fraction, ...]
    """Of each onset, in beats."""
    figures: tuple[int, ...]
    """Into how many each beat is divided, from beat 0; 0: nothing begins in it."""
    beat: float
    """The mean length of a beat."""
    zero: float
    """When beat 0 falls, by the line through all onsets."""
    deviations: tuple[float, ...]
    """Each onset minus its place by the beat around it (by the given beat, when one was given)."""
    beats: tuple[float, ...]
    """Length of the beat around each onset."""
    readings: tuple[Reading, ...]
    """The beats that the onsets can be read by, cheapest first."""
    reading: int
    """Which of them was taken, counted from 1."""

    @property
    def spread(self) -> float:
        """Root mean square of the deviations."""
        return math.sqrt(sum(each * each for each in self.deviations) / len(self.deviations))


@dataclass(frozen=True, slots=True)
class _Way:
    """A walk with all that it costs."""

    cost: float
    walk: Walk
    length: float
    sd: float

    @property
    def beat(self) -> float:
        return self.walk.length


def fit_grid(
    times: Sequence[float],
    beat: KnownBeat | UnknownBeat,
    sds: Sequence[float],
    hint: Hint = _no_hint,
    reading: int = 1,
) -> GridFit:
    """The places that explain `times` best; `sds` are the standard deviations of a single onset to choose from.

    A beat that has to be found may have several readings: the cheapest is taken, or the one numbered `reading`.
    `ValueError` for no times, times that do not ascend, or a reading that there is not.
    """
    if not times or any(after <= before for before, after in pairwise(times)):
        raise ValueError("expected at least one time, in ascending order")
    judged = times[:_JUDGED_ONSETS]
    usual_sd = sorted(sds)[len(sds) // 2]
    lengths = [beat.length] if isinstance(beat, KnownBeat) else _likely_lengths(times, beat, usual_sd, hint)
    ways = _distinct(_way(judged, beat, length, sds, _BEAM, hint) for length in lengths)
    if not 1 <= reading <= len(ways):
        raise ValueError(f"expected a reading from 1 to {len(ways)}, not {reading}")
    readings = tuple(Reading(way.beat, _commonest(way.walk.figures), way.cost - ways[0].cost) for way in ways)
    chosen = ways[reading - 1]
    walk = chosen.walk
    if len(judged) < len(times):
        walks = walked(times, beat, chosen.sd, chosen.length, _BEAM)
        walk = next((each for each in walks if each.phase == walk.phase), walks[0])
    return _fit(times, walk, beat, readings, reading)


def _way(
    times: Sequence[float],
    beat: KnownBeat | UnknownBeat,
    length: float,
    sds: Sequence[float],
    width: int,
    hint: Hint,
) -> _Way:
    """The cheapest walk with a beat near `length`, over all deviations and phases."""
    ways = (
        _Way(walk.cost + hint(walk.row), walk, length, sd)
        for sd in sds
        for walk in walked(times, beat, sd, length, width)
    )
    return min(ways, key=lambda way: way.cost)


def _distinct(ways: Iterable[_Way]) -> list[_Way]:
    """The ways, cheapest first, without those whose beat a cheaper one has."""
    kept: list[_Way] = []
    for way in sorted(ways, key=lambda each: each.cost):
        if all(abs(math.log(way.beat / other.beat)) > _SAME_BEAT for other in kept):
            kept.append(way)
    return kept


def _likely_lengths(times: Sequence[float], beat: UnknownBeat, sd: float, hint: Hint) -> list[float]:
    """The few beats that explain the first onsets best."""
    tasted = times[:_TASTE_ONSETS]
    ways = _distinct(_way(tasted, beat, length, [sd], _NARROW_BEAM, hint) for length in _lengths(times, beat))
    return [way.length for way in ways[:_FINALISTS]]


def _lengths(times: Sequence[float], beat: UnknownBeat) -> Iterator[float]:
    """Beats to try: the commonest intervals between onsets, times the numbers of them that may make a beat."""
    found: list[float] = []
    for interval in _common_intervals(times):
        for factor in (*range(1, MOST_A_BEAT + 1), 1.5, 4 / 3, 2 / 3):
            length = interval * factor
            is_new = all(abs(math.log(length / other)) > _SAME_BEAT for other in found)
            if beat.shortest <= length <= beat.longest and is_new:
                found.append(length)
                yield length
    if not found:
        yield beat.usual


def _common_intervals(times: Sequence[float]) -> Iterator[float]:
    """The medians of the three largest groups of intervals of about one length."""
    intervals = sorted(after - before for before, after in pairwise(times))
    groups: list[list[float]] = []
    for interval in intervals:
        if groups and interval <= 1.12 * groups[-1][0]:
            groups[-1].append(interval)
        else:
            groups.append([interval])
    for group in sorted(groups, key=len, reverse=True)[:3]:
        yield median(group)


def _commonest(figures: Iterable[int]) -> int:
    counted = [figure for figure in figures if figure]
    return max(sorted(set(counted)), key=counted.count)


def _fit(
    times: Sequence[float], walk: Walk, beat: KnownBeat | UnknownBeat, readings: tuple[Reading, ...], reading: int
) -> GridFit:
    row = walk.row
    is_given = isinstance(beat, KnownBeat) and not beat.wander
    if isinstance(beat, KnownBeat) and is_given:
        zero, length = beat.zero, beat.length
        local = [(zero + length * place / TICKS, length) for place in row]
    else:
        zero, length = _line(times, row)
        local = [_around(times, row, at, length) for at in range(len(row))]
    return GridFit(
        times=tuple(times),
        places=tuple(Fraction(place, TICKS) for place in row),
        figures=walk.figures,
        beat=length,
        zero=zero,
        deviations=tuple(time - due for time, (due, _) in zip(times, local, strict=True)),
        beats=tuple(each for _, each in local),
        readings=readings,
        reading=reading,
    )


_AROUND_BEATS = 4


def _around(times: Sequence[float], row: Sequence[int], at: int, length: float) -> tuple[float, float]:
    """When onset `at` was due by the beat of the few beats around it, and how long that beat was."""
    first = bisect_left(row, row[at] - _AROUND_BEATS * TICKS)
    last = bisect_right(row, row[at] + _AROUND_BEATS * TICKS)
    if last - first < 4:
        zero, own = _line(times, row) if len(row) > 1 else (times[0] - length * row[0] / TICKS, length)
    else:
        zero, own = _line(times[first:last], row[first:last])
    return zero + own * row[at] / TICKS, own


def _line(times: Sequence[float], row: Sequence[int]) -> tuple[float, float]:
    """When beat 0 falls and how long a beat is, by least squares."""
    beats = [place / TICKS for place in row]
    mean_time, mean_beat = sum(times) / len(times), sum(beats) / len(beats)
    square = sum((beat - mean_beat) ** 2 for beat in beats)
    if not square:
        return times[0], 1.0
    length = sum((beat - mean_beat) * (time - mean_time) for beat, time in zip(beats, times, strict=True)) / square
    return mean_time - length * mean_beat, length
