"""What the stream has shown of its converter, and whether a note-on was picked by that.

Conventions: times are ns on the clock of the stamps; a *ratio* is a velocity relative to what is picked on its string.
The figures are common practice of converters, no source.
"""

from collections import defaultdict, deque
from enum import Enum, auto
from itertools import pairwise
from statistics import median_high
from typing import NamedTuple

from trainer.playing.gestures import Glide
from trainer.playing.movement import STEP_NS

_MS = 1_000_000
GAPLESS_NS = 5 * _MS
"""A slurred note-on follows the end of the note before it by no more; a pick damps the string for longer."""
_LEAST_RANGE = 2  # semitones; the range of a device that nobody has set, MIDI 1.0
_SLIDES_SHARE = 0.04
_STAIRS_SHARE = 0.3  # some smooth slides look like stairs, when bends come at long intervals


class Attack(Enum):
    """What the beginning of a heard note says about the right hand."""

    PICKED = auto()
    SLURRED = auto()
    """A note-on without a pick, or a bend that arrived."""
    UNCERTAIN = auto()


class Beginning(NamedTuple):
    """What a note-on on a string looks like beside the note before it there."""

    string: int
    velocity: int
    gap_ns: int | None
    """Since the note before ended; 0: it sounded on until now; None: there was none."""
    is_same_pitch: bool
    keys_apart: int
    """Semitones between the two keys."""
    has_moved: bool
    """The note before had been bent towards the new one as far as the bend range goes."""

    @property
    def is_gapless(self) -> bool:
        """Whether no pick need have come between."""
        return self.gap_ns is not None and self.gap_ns <= GAPLESS_NS


class Ear:
    """What the stream has shown of its converter so far, over all strings."""

    _PICKED_RATIO = 0.85  # at least this share of the string's usual picked velocity: picked
    _SOFT_RATIO = 0.72  # at most this: not picked
    _SOFTER_RATIO = 0.82  # at most this, when gaps tell as well
    _FAINT_RATIO = 0.55  # after a gap: perhaps a hammer-on onto a silent string
    _ENOUGH = 3  # of one string, to know it
    _DAMPED_NS = 40 * _MS  # a pick that rests on the string before it strikes again silences it no longer

    def __init__(self, *, has_fixed_velocity: bool) -> None:
        self._has_fixed_velocity = has_fixed_velocity
        self._picked: dict[int, deque[int]] = defaultdict(lambda: deque(maxlen=9))
        self._all_picked: deque[int] = deque(maxlen=25)
        self._velocities: deque[int] = deque(maxlen=25)
        self._gapless_picks: deque[bool] = deque(maxlen=20)
        self._gaps_ns: deque[int] = deque(maxlen=20)
        self._onsets: deque[tuple[int, int]] = deque(maxlen=6)
        self._bent_semitones: deque[int] = deque(maxlen=20)
        self._widest_cents = 0.0
        self._slides: deque[bool] = deque(maxlen=12)
        """Of the last slides of which that can be said, those that stood on every fret."""
        self._notes: deque[bool] = deque(maxlen=50)
        """Of the last notes, those that were slid."""
        self.shows_passed_frets = False
        """A slide was seen that sent the frets passed as notes."""

    def attack(self, beginning: Beginning) -> Attack:
        """What a note-on was; the ear learns from it."""
        self._velocities.append(beginning.velocity)
        attack = self._judged(beginning)
        if beginning.has_moved and self.velocities_tell and not self._is_loud(beginning):
            attack = Attack.SLURRED
        self._learn(beginning, attack)
        return attack

    def bent(self, cents: float) -> None:
        """A bend stands so far from the key."""
        self._widest_cents = max(self._widest_cents, abs(cents))

    def is_at_limit(self, cents: float) -> bool:
        """Whether a bend stands as far as any has been seen to, and at whole semitones: at the end of the range."""
        semitones = round(abs(cents) / 100)
        is_whole = semitones >= _LEAST_RANGE and abs(abs(cents) - 100 * semitones) <= 1
        return is_whole and abs(cents) >= self._widest_cents - 1

    def slurred_by_bend(self, keys_apart: int) -> None:
        """A slur arrived as a bend, so many semitones from the key that sounded."""
        self._bent_semitones.append(abs(keys_apart))

    def heard(self, glide: Glide | None) -> None:
        """A note was heard to its end, and how it had been reached."""
        is_slide = glide is not None and glide.duration_ns > STEP_NS
        self._notes.append(is_slide)
        if glide and is_slide and glide.is_stairs != glide.is_smooth:
            self._slides.append(glide.is_stairs)

    @property
    def may_hide_slides(self) -> bool:
        """Whether slides of one fret, in one step each, are to be reckoned with in more than one note of a hundred.

        That is, slides stand on every fret here, and there are so many over several frets that a quarter as many over
        one would be a hundredth of all notes.
        """
        are_stairs = sum(self._slides) >= max(1, _STAIRS_SHARE * len(self._slides))
        return are_stairs and sum(self._notes) >= _SLIDES_SHARE * len(self._notes)

    @property
    def bends_slides(self) -> bool:
        """Whether a slide would have been seen as a bend, at least until its range ends."""
        return len(self._bent_semitones) >= self._ENOUGH

    def began(self, string: int, stamp_ns: int) -> None:
        """A note-on came on `string`."""
        self._onsets.append((stamp_ns, string))

    def since_other_ns(self, string: int, stamp_ns: int) -> int | None:
        """The time since the last note-on on another string."""
        return next((stamp_ns - at_ns for at_ns, other in reversed(self._onsets) if other != string), None)

    @property
    def interval_ns(self) -> int:
        """The usual time between the last few note-ons, a long one when there were few."""
        times = [at_ns for at_ns, _ in self._onsets]
        return median_high([later - earlier for earlier, later in pairwise(times)]) if len(times) > 3 else 10**9

    @property
    def velocities_tell(self) -> bool:
        """Whether there is more than one velocity, by the profile and so far."""
        return not self._has_fixed_velocity and len(set(self._velocities)) > 1

    def loudness(self, velocity: int) -> float | None:
        """A velocity relative to what is picked on all strings; None while none is known or it tells nothing."""
        if not self.velocities_tell or not self._all_picked:
            return None
        return velocity / median_high(self._all_picked)

    def _judged(self, beginning: Beginning) -> Attack:
        if beginning.gap_ns is None or beginning.is_same_pitch or not self._picked[beginning.string]:
            return Attack.PICKED
        ratio = self._ratio(beginning)
        if not beginning.is_gapless or self._would_bend(beginning.keys_apart):
            return Attack.UNCERTAIN if ratio <= self._FAINT_RATIO else Attack.PICKED
        if not self.velocities_tell:
            return Attack.SLURRED if self._gaps_tell() else Attack.UNCERTAIN
        if ratio >= self._PICKED_RATIO:
            return Attack.UNCERTAIN if self._gaps_tell() else Attack.PICKED
        if ratio <= self._SOFT_RATIO or (ratio <= self._SOFTER_RATIO and self._gaps_tell()):
            return Attack.SLURRED
        return Attack.UNCERTAIN

    def _learn(self, beginning: Beginning, attack: Attack) -> None:
        if beginning.gap_ns is not None and beginning.gap_ns > GAPLESS_NS:
            self._gaps_ns.append(beginning.gap_ns)
        if attack is not Attack.PICKED:
            return
        is_at_once = beginning.gap_ns is not None and beginning.gap_ns <= self._DAMPED_NS
        if is_at_once and (beginning.is_same_pitch or self._is_loud(beginning)):
            self._gapless_picks.append(beginning.is_gapless)
        self._picked[beginning.string].append(beginning.velocity)
        self._all_picked.append(beginning.velocity)

    def _ratio(self, beginning: Beginning) -> float:
        """The velocity relative to what is picked on that string; 1 where velocities tell nothing."""
        usual = self._picked[beginning.string]
        if not self.velocities_tell or not usual:
            return 1.0
        ratio = beginning.velocity / median_high(usual)
        if len(usual) >= self._ENOUGH:
            return ratio
        return max(ratio, beginning.velocity / median_high(self._all_picked))  # the first may have been an accent

    def _is_loud(self, beginning: Beginning) -> bool:
        return self.velocities_tell and self._ratio(beginning) >= self._PICKED_RATIO

    def _would_bend(self, keys_apart: int) -> bool:
        """Whether this converter would have sent a slur of that size as a bend."""
        return len(self._bent_semitones) >= self._ENOUGH and abs(keys_apart) <= max(self._bent_semitones)

    def _gaps_tell(self) -> bool:
        """Whether picked notes leave a short gap after the note before, as far as was seen."""
        if sum(self._gapless_picks) > max(1, 0.15 * len(self._gapless_picks)):  # one may be a note-off that got lost
            return False
        damped = sum(gap_ns <= self._DAMPED_NS for gap_ns in self._gaps_ns)
        return len(self._gapless_picks) >= self._ENOUGH or damped >= self._ENOUGH
