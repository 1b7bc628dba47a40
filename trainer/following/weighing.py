"""One heard note weighed against the written ones: by pitch and string, by time, and as the first after a jump.

Many paths ask the same about one note, so what does not depend on the path is remembered while the note is at hand.
Conventions: logarithms of likelihoods as in `trainer.following.likelihood`.
"""

from math import log

from trainer.following import likelihood as fit
from trainer.following.clock import Entries, entry_fit, is_pause, spread_ns
from trainer.following.line import Line
from trainer.following.paths import Path
from trainer.following.waiting import Sound

BEST_TIME_FIT = 1.7
"""No onset fits its time better than this; saves looking closer at what cannot be."""


class Weighing:
    """The fits of one heard note."""

    def __init__(self, line: Line, sound: Sound, ease: float, entries: Entries) -> None:
        self._line = line
        self._sound = sound
        self._ease = ease
        self._usual_entries = entries
        self._pitch_fits: dict[tuple[int, int], float] = {}
        self._entry_fits: dict[int, float] = {}
        self._arrivals: dict[int, float] = {}

    def pitch_fit(self, index: int) -> float:
        """What was heard against what is written."""
        key = self._line.spots[index]
        known = self._pitch_fits.get(key)
        if known is None:
            note = self._sound.note
            known = fit.pitch_fit(note.pitch - key[0], same_string=note.course is None or note.course == key[1])
            if known < fit.EXACT:
                known += self._ease
            if self._sound.is_quiet:
                known -= fit.QUIET / 2
            self._pitch_fits[key] = known
        return known

    def is_wrong(self, index: int) -> bool:
        """Whether another pitch or string than written was heard."""
        return self.pitch_fit(index) < fit.EXACT - fit.QUIET

    def entry_fit(self, index: int) -> float:
        """How well going on at a written note fits the beats of the click."""
        known = self._entry_fits.get(index)
        if known is None:
            known = self._entry_fits[index] = entry_fit(self._line, index, self._sound.at_ns, self._usual_entries)
        return known

    def arrival_fit(self, index: int) -> float:
        """How welcoming a written note is to who jumps, and how well it was heard."""
        known = self._arrivals.get(index)
        if known is None:
            known = self._arrivals[index] = self._line.welcome[index] + self.pitch_fit(index)
        return known

    def time_fit(self, path: Path, slot: int) -> float:
        """When it was heard against when a path expects it, by its own clock or by the click."""
        clock = path.clock
        if clock.ref_ns is None or clock.is_loose:
            return 0.0
        line, at_ns = self._line, self._sound.at_ns
        gap = line.gaps_ns[slot] * clock.stretch
        span = (line.due_ns[slot] - clock.ref_due_ns) * clock.stretch
        sigma = spread_ns(clock, line, gap, span)
        late = at_ns - clock.ref_ns - span
        scale = log(gap / sigma)
        score = fit.time_fit(late, gap, sigma, scale)
        if clock.is_halting and late > 0:
            score = max(score, fit.pause_fit(late, gap) - fit.PAUSE + fit.HALTING)
        if line.is_timed:
            if is_pause(late, gap):
                score += self.entry_fit(slot)
            if score < fit.BACK_WITH_CLICK + BEST_TIME_FIT:
                by_click = fit.time_fit(at_ns - line.due_ns[slot] - clock.shift_ns, gap, sigma, scale)
                score = max(score, by_click + fit.BACK_WITH_CLICK)
        return score
