"""How the pitch of a sounding note moves: the shape of one move, and what it cannot have been.

Conventions: times are ns on the clock of the stamps, pitches are cents (6400 = E4) or MIDI numbers where named so.
The figures are common practice of converters, no source, unless a comment says otherwise.
"""

from collections.abc import Sequence
from typing import NamedTuple

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
_SLOWEST_NS = {1: 80 * _MS, 2: 145 * _MS}
"""Semitones -> a smooth move that takes longer is the string being bent; three and more are past what is bent."""
_LEAST_CENTS = 60.0  # less than this is intonation, not another fret
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
        is_even = self.steps == frets > 1 and abs(self.last_step * frets - 1) <= _FRET_CENTS / 100
        return is_even and self.duration_ns >= _QUICK_NS * frets  # a glide at the usual interval of bends is denser

    def is_smooth(self, semitones: int) -> bool:
        """Whether it went over several frets in more steps than those."""
        return self.steps > abs(semitones) + 1 > 2

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
