"""How late an output is heard, found by playing notes to its click.

The notes' onsets come with the pickup's latency taken off; what is left is the output's lateness and the player's own
habit, which a click cannot tell apart: most people play some 10 to 50 ms ahead of a click (Repp 2005), so that the true
lateness is rather more than what is found. By ear and eye it is found without that habit.

Theory of operation: the lateness of each tap against its nearest beat; their median, which one stray tap does not move,
and its interval from the order of the taps alone: with n taps the median lies between the k-th from below and from
above with probability 1 - 2 P(X < k), X binomial (n, 1/2), whatever the taps are distributed like.

Conventions: `late_ms` is tap minus click as it was told, positive = after it. Limits include their edges.
"""

from dataclasses import dataclass
from math import ceil, comb
from statistics import median

from trainer.playing.hearing import Hearing
from trainer.playing.messages import NoteOnset, StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.theory.tuning import Tuning

QUARTERS_PER_MINUTE = 75
"""Slow, so that an output that is late by a third of a second is still nearest to its own beat."""
BEAT_NS = 60_000_000_000 // QUARTERS_PER_MINUTE
NOT_COUNTED = 2
"""The first taps find into the beat."""
LEAST_TAPS, MOST_TAPS = 10, 60
GOOD_MS = 5.0
"""The median is known to within this much to each side: less than is heard as early or late (6 ms)."""
_CONFIDENCE = 0.95
_MAD_TO_SD = 1.4826  # of a normal distribution
_NS_PER_MS = 1_000_000
_ONE_STROKE_NS = 150_000_000  # the notes of a chord or a bounce are one tap


@dataclass(frozen=True, slots=True)
class OffsetFit:
    """What the taps say."""

    taps: int
    median_ms: float
    spread_ms: float
    """Standard deviation, from the median distance to the median."""
    low_ms: float
    high_ms: float
    """The 95 % interval of the median."""

    @property
    def uncertainty_ms(self) -> float:
        """The median is known to within this much."""
        return max(self.high_ms - self.median_ms, self.median_ms - self.low_ms)

    @property
    def is_good(self) -> bool:
        """Whether that is good enough."""
        return self.uncertainty_ms <= GOOD_MS

    @property
    def taps_needed(self) -> int:
        """About how many more taps are needed; the interval shrinks with their root."""
        return 0 if self.is_good else max(1, ceil(self.taps * (self.uncertainty_ms / GOOD_MS) ** 2) - self.taps)


class OffsetTaps:
    """Collects taps to a click whose first beat was told to be heard at `first_beat_ns`."""

    def __init__(self, profile: PickupProfile, tuning: Tuning, first_beat_ns: int) -> None:
        self.late_ms: list[float] = []
        """Of the taps that count."""
        self._hearing = Hearing(profile, tuning)
        self._first_beat_ns = first_beat_ns
        self._left_out = 0
        self._last_ns: int | None = None

    def feed(self, message: StampedMessage) -> None:
        """Take in what was played."""
        for heard in self._hearing.feed(message):
            if isinstance(heard, NoteOnset):
                self.tap(heard.onset_ns)

    def tap(self, onset_ns: int) -> None:
        """Take in one tap; what comes before the click or at once after another tap is none."""
        is_same_stroke = self._last_ns is not None and onset_ns - self._last_ns < _ONE_STROKE_NS
        if onset_ns < self._first_beat_ns - BEAT_NS // 2 or is_same_stroke:
            return
        self._last_ns = onset_ns
        if self._left_out < NOT_COUNTED:
            self._left_out += 1
            return
        since_ns = onset_ns - self._first_beat_ns
        beat = (since_ns + BEAT_NS // 2) // BEAT_NS
        self.late_ms.append((since_ns - beat * BEAT_NS) / _NS_PER_MS)

    @property
    def fit(self) -> OffsetFit | None:
        """What the taps say so far; None while they are too few."""
        if len(self.late_ms) < LEAST_TAPS:
            return None
        ordered, middle = sorted(self.late_ms), median(self.late_ms)
        outer = _outer(len(ordered))
        return OffsetFit(
            taps=len(ordered),
            median_ms=middle,
            spread_ms=_MAD_TO_SD * median(abs(late_ms - middle) for late_ms in ordered),
            low_ms=ordered[outer],
            high_ms=ordered[-1 - outer],
        )

    @property
    def is_finished(self) -> bool:
        """Whether the taps say enough, or no more are taken."""
        fit = self.fit
        return fit is not None and (fit.is_good or fit.taps >= MOST_TAPS)

    @property
    def words(self) -> str:
        """How it stands, in a sentence or two."""
        fit = self.fit
        if fit is None:
            missing = LEAST_TAPS - len(self.late_ms)
            return f"Play a note on each click, on any string: {missing} more, at least."
        found = (
            f"{fit.taps} notes, {abs(fit.median_ms):.0f} ms {'after' if fit.median_ms >= 0 else 'before'} the click, "
            f"spread {fit.spread_ms:.0f} ms, known to within {fit.uncertainty_ms:.0f} ms."
        )
        if fit.is_good:
            return f"{found} That is enough."
        if fit.taps >= MOST_TAPS:
            return f"{found} It will not be known better than that."
        return f"{found} About {fit.taps_needed} more."


def _outer(count: int) -> int:
    """How many taps of each end lie outside the interval of the median."""
    tail, outer = 0.0, 0
    while True:
        tail += comb(count, outer) / 2**count
        if 2 * tail > 1 - _CONFIDENCE:
            return max(0, outer - 1)
        outer += 1
