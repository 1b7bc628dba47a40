"""How a note was begun, as far as a converter's stream tells.

Theory of operation. Converters show a note without an attack in one of two ways. Either the sounding note goes on and
its bend *moves* to the new pitch: then `movement` measures how long the move took, and a quick step is a hammer-on or
pull-off, a longer one a slide. Or a new note-on is *retriggered*: then it comes without a gap, and softer than what is
picked on that string; `Ear` knows what that is for each string, and learns from the stream whether velocities, gaps and
passed frets tell anything in it. A converter that sends every semitone, or a bend that stands on each fret in turn,
shows a slide as a chain of short notes: `Glide` tells such a chain from a run of real notes.

What the stream does not tell is not guessed: `Attack.UNCERTAIN` becomes a technique of None.

Conventions: times are ns on the clock of the stamps, pitches are cents (6400 = E4) or MIDI numbers where named so.
The figures are common practice of converters, no source, unless a comment says otherwise.
"""

from collections import defaultdict, deque
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import pairwise
from statistics import median_high
from typing import NamedTuple

from trainer.theory.technique import Technique

_MS = 1_000_000
STEP_NS = 30 * _MS
"""A move that takes longer is a slide (40-150 ms) ..."""
QUICK_STEP_NS = 18 * _MS
"""... and one that takes no longer than this a finger set down or lifted (a few ms, 20-30 by a slow tracker)."""
TAIL_NS = 75 * _MS
"""A move that may be a tail is believed once the note still sounds this long after it set out: on 31 excerpts of
GuitarSet 43 % of the notes run astray by over 50 cents in their last 60 ms, and set out a little before ..."""
SMALL_TAIL_NS = 95 * _MS
"""... or this long when it is of one semitone, as most tails are."""
GAPLESS_NS = 5 * _MS
"""A slurred note-on follows the end of the note before it by no more; a pick damps the string for longer."""
CHAIN_NS = 45 * _MS
"""A fret passed in a slide sounds no longer than this: over 22 notes a second, faster than anybody picks."""
SLOW_CHAIN_NS = 80 * _MS
"""In a slow slide it sounds up to this long, but then the note where the slide began sounded longer still."""
_SLOW_CHAIN_START = 1.3
_SLOWING = 4  # a slide may become so much slower towards its end
_SLOWEST_NS = {1: 80 * _MS, 2: 145 * _MS}
"""Semitones -> a smooth move that takes longer is the string being bent; three and more are past what is bent."""
_LEAST_CENTS = 60.0  # less than this is intonation, not another fret
_SLIDES_SHARE = 0.04
_STAIRS_SHARE = 0.3  # some smooth slides look like stairs, when bends come at long intervals
_FRET_CENTS = 20.0  # frets lie within this of whole semitones from each other
_QUICK_NS = 12 * _MS  # a tail takes longer
_CREEPING_STEPS = 4  # a semitone by a finger is tracked in fewer
_RUNAWAY_STEP = 0.4  # a string that is let go goes most of the way at the end
_REST_CENTS = 3.0  # less is not a move: resolution of bends and drift of a string
_REST_CENTS_PER_NS = 0.25 / _MS  # nor is a drift slower than a semitone in 400 ms
_LEVEL_CENTS = 18.0  # within this of where it comes to rest, a move has arrived; vibrato may follow at once
_REST_NS = 45 * _MS  # a pitch that stands longer than this has come to rest


class PitchSample(NamedTuple):
    """Where the effective pitch stood from a moment on."""

    stamp_ns: int
    cents: float


class Movement(NamedTuple):
    """One move of the effective pitch in one direction, until it came to rest."""

    start_cents: float
    """Where it stood before."""
    goal_cents: float
    """Where it came to rest."""
    duration_ns: int
    """How long it took; 0 for a single bend message."""
    left_ns: int
    """When it began, at the earliest."""
    last_step: float
    """Share of the whole way that the last bend message went."""
    steps: int
    """In how many bend messages."""

    def not_a_tail_ns(self, semitones: int) -> int:
        """From when on it is no tail, if the note still sounds: a string that is let go moves slowly or runs away."""
        is_slow = self.duration_ns > STEP_NS
        runs_away = self.duration_ns > _QUICK_NS and self.last_step > _RUNAWAY_STEP
        creeps = self.steps >= _CREEPING_STEPS and abs(semitones) == 1
        if not (is_slow or runs_away or creeps):
            return self.left_ns
        return self.left_ns + (SMALL_TAIL_NS if abs(semitones) == 1 else TAIL_NS)

    def is_string_bend(self, semitones: int) -> bool:
        """Whether the string was bent or shaken: too slow for a finger that slides as far."""
        slowest_ns = _SLOWEST_NS.get(abs(semitones))
        return slowest_ns is not None and self.duration_ns > slowest_ns

    def is_in_jumps(self, semitones: int) -> bool:
        """Whether it went over several frets, from one to the next at once."""
        frets = abs(semitones)
        return self.steps == frets > 1 and abs(self.last_step * frets - 1) <= _FRET_CENTS / 100

    def reaches_fret(self, from_pitch: int, semitones: int) -> bool:
        """Whether it went from where the note stood to another fret of the string.

        Frets are whole semitones apart, whatever the string's tuning.
        """
        if abs(semitones) > max(_SLOWEST_NS):  # no intonation, no bend, whatever came before
            return True
        moved_cents = self.goal_cents - self.start_cents
        if self.duration_ns <= _QUICK_NS:
            return abs(moved_cents) >= _LEAST_CENTS
        return abs(moved_cents - 100 * semitones) <= _FRET_CENTS and abs(self.start_cents - 100 * from_pitch) <= 50


def movement(samples: Sequence[PitchSample], near_since_ns: int) -> Movement:
    """The last move in `samples`, which is not empty; the pitch has been near where it stands since `near_since_ns`.

    A converter sends bends at intervals, so the first one already ends the first interval: a move in several bends
    is taken to have begun one interval before the first.
    """
    goal_cents = samples[-1].cents
    arrived = len(samples) - 1
    while arrived > 0 and samples[arrived - 1].stamp_ns >= near_since_ns:
        arrived -= 1
    while abs(samples[arrived].cents - goal_cents) > _LEVEL_CENTS:
        arrived += 1
    if arrived == 0:
        return Movement(goal_cents, goal_cents, 0, samples[0].stamp_ns, 0.0, 0)
    rises = goal_cents > samples[arrived - 1].cents
    first = arrived
    while first > 1 and _moves_on(samples, first - 1, rises=rises):
        first -= 1
    start_cents, left_ns = samples[first - 1].cents, samples[first].stamp_ns
    if arrived > first:
        left_ns -= samples[first + 1].stamp_ns - samples[first].stamp_ns
    way_cents = samples[arrived].cents - start_cents
    last_step = (samples[arrived].cents - samples[arrived - 1].cents) / way_cents if way_cents else 0.0
    return Movement(
        start_cents, goal_cents, samples[arrived].stamp_ns - left_ns, left_ns, last_step, arrived - first + 1
    )


def _moves_on(samples: Sequence[PitchSample], place: int, *, rises: bool) -> bool:
    """Whether the sample at `place` is itself part of a move that goes on in that direction without resting there."""
    step_cents = samples[place].cents - samples[place - 1].cents
    rested_ns = samples[place + 1].stamp_ns - samples[place].stamp_ns
    since_ns = samples[place].stamp_ns - samples[place - 1].stamp_ns
    least_cents = min(_REST_CENTS, _REST_CENTS_PER_NS * since_ns)
    return (step_cents if rises else -step_cents) > least_cents and rested_ns <= _REST_NS


class Attack(Enum):
    """What the beginning of a heard note says about the right hand."""

    PICKED = auto()
    SLURRED = auto()
    """A note-on without a pick, or a bend that arrived."""
    UNCERTAIN = auto()


@dataclass(slots=True)
class Glide:
    """How a note was reached from the one before it on its string, when it was not picked."""

    from_pitch: int
    from_duration_ns: int
    """How long the note where it all began had sounded."""
    reached_ns: int
    """When its last note was reached."""
    semitones: int
    """Of the last step, negative downwards."""
    steps: int = 1
    """Notes reached one after another; all but the last are frets passed."""
    move_ns: int = 0
    """How long the bend moved, when it was a bend."""
    began_ns: int = 0
    """When its first note was reached, once there are several."""
    in_jumps: bool = False
    """Its bend went from fret to fret."""
    is_cut: bool = False
    """It ended at the end of the bend range: it may have gone further than could be sent."""
    goes_past: bool = False
    """It began there, or was cut on its way."""

    def goes_on_from(self, before: "Glide", *, is_sure: bool) -> bool:
        """Whether this step goes on from `before`, whose note was only passed; it is then the last of a longer glide.

        `is_sure`: neither note was possibly picked.
        """
        semitones, dwell_ns = self.semitones, self.reached_ns - before.reached_ns
        if self.goes_past and self.move_ns:  # it stood on the next fret until it moved on to the end of the range
            semitones, dwell_ns = semitones // abs(semitones), dwell_ns - self.move_ns
        self.goes_past |= before.is_cut
        if not before.passes(semitones, dwell_ns, is_sure=is_sure):
            return False
        self.from_pitch, self.from_duration_ns = before.from_pitch, before.from_duration_ns
        self.began_ns = before.began_ns if before.steps > 1 else before.reached_ns
        self.steps += before.steps
        self.move_ns = max(self.move_ns, before.move_ns)
        return True

    def passes(self, semitones: int, dwell_ns: int, *, is_sure: bool) -> bool:
        """Whether the note just reached was only passed on the way `semitones` further, after `dwell_ns`.

        `is_sure`: neither note was possibly picked.
        """
        if semitones * self.semitones > 0 and self.is_cut:
            return dwell_ns <= max(STEP_NS, _SLOWING * abs(semitones) * self._fret_ns)
        if semitones * self.semitones <= 0 or dwell_ns >= SLOW_CHAIN_NS:
            return False
        if abs(semitones) == abs(self.semitones) == 1 and dwell_ns <= CHAIN_NS:
            return True
        if self.steps > 1:  # it goes on at its speed, also where a fret was left out or the bend range ended
            is_steady = dwell_ns * (self.steps - 1) <= 1.5 * abs(semitones) * (self.reached_ns - self.began_ns)
            return is_steady and (abs(semitones) == 1 or dwell_ns <= CHAIN_NS)
        if abs(semitones) > 1 or abs(self.semitones) > 1:
            return dwell_ns <= STEP_NS or (dwell_ns <= CHAIN_NS and self.move_ns > STEP_NS)
        return is_sure and self.from_duration_ns >= _SLOW_CHAIN_START * dwell_ns

    @property
    def duration_ns(self) -> int:
        """From where it all began to the last note; 0 when it came in one step."""
        if self.steps == 1:
            return self.move_ns
        if self.goes_past and self.move_ns:
            return self.move_ns + self.reached_ns - self.began_ns
        # the first fret was reached one step after the finger had left
        return self.move_ns + (self.reached_ns - self.began_ns) * self.steps // (self.steps - 1)

    @property
    def is_stairs(self) -> bool:
        """Whether it stood on each fret on its way."""
        is_chain = self.steps > 1 and self.move_ns <= QUICK_STEP_NS and not self.goes_past
        return is_chain or (self.in_jumps and self.move_ns > STEP_NS)

    @property
    def _fret_ns(self) -> int:
        """How long it took for one fret, 0 when it came in one step."""
        if self.steps == 1:
            return self.move_ns // abs(self.semitones)
        return (self.reached_ns - self.began_ns) // (self.steps - 1)

    def techniques(self, *, may_hide_slide: bool) -> tuple[Technique, ...]:
        """What it may have been, when nothing follows.

        `may_hide_slide`: where slides stand on every fret, one of a single fret is one step like a finger's.
        """
        finger = Technique.HAMMER if self.semitones > 0 else Technique.PULL
        if self.duration_ns > STEP_NS:
            return (Technique.SLIDE,)
        is_unseen = self.goes_past and not self.move_ns
        is_hidden = self.steps == 1 and (is_unseen or (may_hide_slide and abs(self.semitones) == 1))
        return (finger, Technique.SLIDE) if is_hidden or self.duration_ns > QUICK_STEP_NS else (finger,)


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
    """The note before had been bent towards the new one, as when a slur goes past the bend range."""

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
        """Of the last slides, those that stood on every fret."""
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
        """Whether a bend stands as far as any has been seen to: perhaps at the end of the range."""
        return abs(cents) >= self._widest_cents - 1

    def slurred_by_bend(self, keys_apart: int) -> None:
        """A slur arrived as a bend, so many semitones from the key that sounded."""
        self._bent_semitones.append(abs(keys_apart))

    def heard(self, glide: Glide | None) -> None:
        """A note was heard to its end, and how it had been reached."""
        is_slide = glide is not None and glide.duration_ns > STEP_NS
        self._notes.append(is_slide)
        if glide and is_slide and not glide.goes_past:
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
        if self._gapless_picks and sum(self._gapless_picks) > 0.15 * len(self._gapless_picks):
            return False
        damped = sum(gap_ns <= self._DAMPED_NS for gap_ns in self._gaps_ns)
        return len(self._gapless_picks) >= self._ENOUGH or damped >= self._ENOUGH
