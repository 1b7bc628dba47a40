"""Where the pitch of a sounding key arrives: by a finger at another fret, or at the end of a string bend.

Theory of operation. A bend that comes near another semitone makes a *candidate*. It is believed, with the moment at
which it came near, once the pitch has stood flat for long enough to be no tail, vibrato or string bend.
"""

from collections import deque
from dataclasses import dataclass
from math import floor
from typing import NamedTuple

from trainer.playing.movement import STEP_NS, Movement, PitchSample, movement

_MS = 1_000_000
NEAR_CENTS = 35.0
"""A pitch this near a semitone may be that note: tuning and intonation stay within, a quarter tone does not."""
HOLD_NS = 20 * _MS
"""It is that note once it has stood flat for this long: 15-25 ms, well under the 50 ms of 20 notes a second."""
SMOOTH_HOLD_NS = 40 * _MS
"""... or this long after a slow move of one or two semitones: the crest of a vibrato at 4-7 Hz is flat for less."""
LONGEST_HOLD_NS = 60 * _MS
"""... and flat or not after this long, unless a string is bent by as little: slid and shaken at once."""
SLOW_HOLD_NS = 60 * _MS
"""... or this long after a move of one semitone as slow as vibrato: its crest at 4 Hz and +-50 cents is flat for 46."""
VIBRATO_NS = 50 * _MS
FLAT_CENTS = 8.0
JUMP_CENTS = 60.0
"""In one bend message; vibrato of a semitone at 7 Hz goes 24 cents in 11 ms."""
BENDABLE_SEMITONES = 2
SHAKEN_NS = 250 * _MS
"""Near the same semitone again within this time, slowly: the string is being shaken, at 4 Hz or faster."""


class Arrival(NamedTuple):
    """The pitch has come to another semitone."""

    pitch: int
    since_ns: int
    move: Movement


@dataclass(slots=True)
class _Candidate:
    """A semitone that the bend has come near."""

    pitch: int
    since_ns: int
    flat_since_ns: int
    flat_cents: float
    due_ns: int | None
    """When it will be a note; None: not as it stands."""
    is_slow: bool = False
    """The pitch came here too slowly for a finger set down or lifted."""
    is_string_bend: bool = False


class Arrivals:
    """Follows the effective pitch while one key sounds."""

    def __init__(self, open_pitch: int | None) -> None:
        """`open_pitch` of the string, below which nothing is fretted; None: unknown."""
        self._open_pitch = open_pitch
        self._candidate: _Candidate | None = None
        self._left_ns: dict[int, int] = {}
        """When the pitch last left a semitone that it had come near to slowly, while the present key sounds."""
        self._samples: deque[PitchSample] = deque(maxlen=64)
        self._key_cents = 0.0

    @property
    def due_ns(self) -> int | None:
        """When the pitch will have arrived if it stays where it is."""
        return self._candidate.due_ns if self._candidate else None

    @property
    def samples(self) -> tuple[PitchSample, ...]:
        """Where the pitch has stood since the key was struck or the last arrival, as far back as is kept."""
        return tuple(self._samples)

    @property
    def bend_cents(self) -> float:
        """How far the pitch last stood from the present key, or from the last one once that was let go."""
        return self._samples[-1].cents - self._key_cents if self._samples else 0.0

    def restart(self, start: PitchSample, key: int) -> None:
        """A key was struck."""
        self.drop()
        self._key_cents = 100.0 * key
        self._left_ns.clear()
        self._samples.clear()
        self._samples.append(start)

    def drop(self) -> None:
        """What the pitch has come near to is no note: the key was let go."""
        self._candidate = None

    def feed(self, now: PitchSample, from_pitch: int) -> None:
        """The pitch stands elsewhere while `from_pitch` is the note that sounds."""
        self._samples.append(now)
        candidate = self._candidate
        if candidate and abs(now.cents - 100 * candidate.pitch) > NEAR_CENTS:
            if candidate.is_slow:
                self._left_ns[candidate.pitch] = now.stamp_ns
            candidate = None
        if candidate and abs(now.cents - candidate.flat_cents) > FLAT_CENTS:
            candidate.flat_since_ns, candidate.flat_cents = now
        pitch = nearest(now.cents)
        is_on_neck = self._open_pitch is None or pitch >= self._open_pitch
        if candidate is None and is_on_neck and pitch != from_pitch and abs(now.cents - 100 * pitch) <= NEAR_CENTS:
            candidate = _Candidate(pitch, now.stamp_ns, now.stamp_ns, now.cents, now.stamp_ns)
        if candidate and not candidate.is_string_bend:
            candidate.due_ns = max(now.stamp_ns, self._settled_ns(candidate, from_pitch))
        self._candidate = candidate

    def left(self, now: PitchSample, from_pitch: int) -> Arrival | None:
        """What the pitch had come to when it jumps away: no string shaken, bent or let go moves like that."""
        candidate = self._candidate
        if candidate is None or candidate.is_string_bend or now.stamp_ns - candidate.flat_since_ns < HOLD_NS:
            return None
        return self.take(from_pitch) if abs(now.cents - candidate.flat_cents) >= JUMP_CENTS else None

    def take(self, from_pitch: int) -> Arrival | None:
        """What is due: the pitch has stood near another semitone for long enough; None when it is a string bend."""
        candidate = self._candidate
        if candidate is None:
            return None
        move = movement(self._samples, candidate.since_ns)
        semitones = candidate.pitch - from_pitch
        is_shaken = candidate.since_ns - self._left_ns.get(candidate.pitch, -SHAKEN_NS - 1) <= SHAKEN_NS
        candidate.is_string_bend = move.is_string_bend(semitones) or (candidate.is_slow and is_shaken)
        if candidate.is_string_bend or not move.reaches_fret(from_pitch, semitones):
            candidate.due_ns = None
            return None
        self._candidate = None
        while self._samples[0].stamp_ns < candidate.since_ns:  # what moves next, moves from here
            self._samples.popleft()
        return Arrival(candidate.pitch, candidate.since_ns, move)

    def moved_ns(self, from_pitch: int, reached: PitchSample, *, is_at_limit: bool) -> int | None:
        """How long the bend had moved from `from_pitch` towards a new key, to the end of its range; None if not.

        `is_at_limit`: it stands there because it can go no further, not because the finger does.
        """
        if not self._samples:
            return None
        moved_cents = self._samples[-1].cents - 100 * from_pitch
        if moved_cents * (reached.cents - 100 * from_pitch) <= 0 or abs(moved_cents) <= 50:
            return None
        if not is_at_limit:
            return movement([*self._samples, reached], reached.stamp_ns).duration_ns
        near_ns = next(at_ns for at_ns, cents in self._samples if abs(cents - self._samples[-1].cents) <= NEAR_CENTS)
        return reached.stamp_ns - movement(self._samples, near_ns).left_ns

    def _settled_ns(self, candidate: _Candidate, from_pitch: int) -> int:
        """When the candidate will be believed if the pitch stays where it is."""
        move = movement(self._samples, candidate.since_ns)
        candidate.is_slow = move.duration_ns > STEP_NS and abs(candidate.pitch - from_pitch) <= BENDABLE_SEMITONES
        if candidate.is_slow:
            is_as_vibrato = move.duration_ns > VIBRATO_NS and abs(candidate.pitch - from_pitch) == 1
            settled_ns = candidate.flat_since_ns + (SLOW_HOLD_NS if is_as_vibrato else SMOOTH_HOLD_NS)
        else:
            settled_ns = min(candidate.flat_since_ns + HOLD_NS, candidate.since_ns + LONGEST_HOLD_NS)
        return max(settled_ns, move.not_a_tail_ns(candidate.pitch - from_pitch))


def nearest(cents: float) -> int:
    """The semitone nearest to a pitch, the higher one from halfway."""
    return floor(cents / 100 + 0.5)
