"""One string, listened to: where its notes begin and end, and how.

Theory of operation. The voice holds the note that sounds and where its pitch stands. A note-on begins a note at once,
unless a large bend still stands on the channel: then it waits a moment, since some converters centre
the bend just after the note-on. A bend that comes near another semitone makes a *candidate*; it becomes a note, with
the onset at which it came near, once the pitch has stood flat for long enough to be no tail, vibrato or string bend.
How a slurred note was begun is said later than the note itself: another note could follow that shows it to have been a
fret passed in a slide.

Everything that waits has a due time. `expire` does what is due at its due time, so that what is said never depends on
how often the clock is asked.
"""

from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import floor

from trainer.playing.gestures import (
    GAPLESS_NS,
    SLOW_CHAIN_NS,
    STEP_NS,
    Attack,
    Beginning,
    Ear,
    Glide,
    PitchSample,
    movement,
)
from trainer.playing.messages import (
    NoteEnd,
    NoteOnset,
    NotePassed,
    PlayedEvent,
    StringBend,
    StringOff,
    StringOn,
    TechniqueHeard,
)
from trainer.playing.slips import is_duplicate, is_ghost, is_octave_slip, is_sympathetic
from trainer.theory.technique import Technique

_MS = 1_000_000
NEAR_CENTS = 35.0
"""A pitch this near a semitone may be that note: tuning and intonation stay within, a quarter tone does not."""
HOLD_NS = 20 * _MS
"""It is that note once it has stood flat for this long: 15-25 ms, well under the 50 ms of 20 notes a second."""
SMOOTH_HOLD_NS = 40 * _MS
"""... or this long after a slow move of one or two semitones: the crest of a vibrato at 4-7 Hz is flat for less."""
LONGEST_HOLD_NS = 60 * _MS
"""... and flat or not after this long, unless a string is bent by as little: slid and shaken at once."""
FLAT_CENTS = 8.0
BENDABLE_SEMITONES = 2
SHAKEN_NS = 250 * _MS
"""Near the same semitone again within this time, slowly: the string is being shaken, at 4 Hz or faster."""
STANDING_CENTS = 65.0
"""A note-on with a bend up to this means the key that it names, only out of tune."""
RECENTRE_NS = 6 * _MS
"""A bend left over from the note before is centred within this time after the note-on."""


@dataclass(slots=True)
class _Sounding:
    """A heard note."""

    heard: int
    event: int
    pitch: int
    began_ns: int
    """The stamp at which it began; `onset_ns` is this without the latency."""
    onset_ns: int
    velocity: int
    attack: Attack
    glide: Glide | None = None
    arrived_as_bend: bool = False
    ended_ns: int | None = None
    verdict_due_ns: int | None = None
    """When its technique will be said; None: it has been, or need not."""


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


class Voice:
    """One string, or one key of a device that does not separate strings."""

    def __init__(
        self,
        string: int,
        course: int | None,
        open_pitch: int | None,
        ear: Ear,
        numbers: Iterator[int],
        latency_ns: Callable[[int], int],
        *,
        can_tell: bool,
    ) -> None:
        """`latency_ns` of a pitch; `can_tell` is false when another string may hide behind this voice."""
        self._string = string
        self._course = course
        self._open_pitch = open_pitch
        self._ear = ear
        self._numbers = numbers
        self._latency_ns = latency_ns
        self._can_tell = can_tell
        self._note: _Sounding | None = None
        self._carrier: StringOn | None = None
        self._last_key = 0
        self._waiting: StringOn | None = None
        self._candidate: _Candidate | None = None
        self._left_ns: dict[int, int] = {}
        """When the pitch last left a semitone that it had come near to slowly, while the present key sounds."""
        self._samples: deque[PitchSample] = deque(maxlen=64)

    @property
    def due_ns(self) -> int | None:
        """When this voice next has something to say of itself."""
        dues = [
            self._waiting.stamp_ns + RECENTRE_NS if self._waiting else None,
            self._candidate.due_ns if self._candidate else None,
            self._note.verdict_due_ns if self._note else None,
        ]
        return min((due for due in dues if due is not None), default=None)

    def expire(self) -> list[PlayedEvent]:
        """Do the one thing that is due first, as of its due time."""
        due_ns = self.due_ns
        if self._waiting and self._waiting.stamp_ns + RECENTRE_NS == due_ns:
            return self._stop_waiting(due_ns)
        if self._candidate and self._candidate.due_ns == due_ns and due_ns is not None:
            return self._take_candidate(self._candidate, due_ns)
        if self._note and due_ns is not None:
            return self._say_technique(self._note, due_ns)
        return []

    def on(self, event: StringOn) -> list[PlayedEvent]:
        """A note-on."""
        said = self._stop_waiting(event.stamp_ns) if self._waiting else []
        self._candidate = None
        if abs(event.bend_cents) > STANDING_CENTS:
            self._waiting = event
            return said
        return said + self._begin(event, event.stamp_ns)

    def off(self, event: StringOff) -> list[PlayedEvent]:
        """A note-off; only that of the key that carries the present note ends it."""
        said: list[PlayedEvent] = []
        if self._waiting and self._waiting.pitch == event.pitch:
            said += self._stop_waiting(event.stamp_ns)
        if self._carrier is None or self._waiting or self._carrier.pitch != event.pitch:
            return said
        self._carrier = None
        self._candidate = None
        note = self._note
        if note is None:
            return said
        said += self._end(note, event.stamp_ns)
        loudness = self._ear.loudness(note.velocity)
        if note.glide is None and is_ghost(event.stamp_ns - note.began_ns, note.velocity, loudness):
            said += self._pass(note, "ghost", event.stamp_ns)
        return said

    def bend(self, event: StringBend) -> list[PlayedEvent]:
        """The bend moved."""
        if self._waiting:
            on = self._waiting
            self._waiting = StringOn(
                on.stamp_ns, on.channel, on.course, on.pitch, on.velocity, event.bend_cents, on.event
            )
            return self._stop_waiting(event.stamp_ns) if abs(event.bend_cents) <= STANDING_CENTS else []
        if self._carrier is None or self._note is None:
            return []
        now = PitchSample(event.stamp_ns, 100 * self._carrier.pitch + event.bend_cents)
        self._samples.append(now)
        self._consider(now, self._note)
        return []

    def _consider(self, now: PitchSample, note: _Sounding) -> None:
        """Make, keep or drop the candidate, now that the pitch stands elsewhere."""
        candidate = self._candidate
        if candidate and abs(now.cents - 100 * candidate.pitch) > NEAR_CENTS:
            if candidate.is_slow:
                self._left_ns[candidate.pitch] = now.stamp_ns
            candidate = None
        if candidate and abs(now.cents - candidate.flat_cents) > FLAT_CENTS:
            candidate.flat_since_ns, candidate.flat_cents = now
        pitch = _nearest(now.cents)
        is_on_neck = self._open_pitch is None or pitch >= self._open_pitch
        if candidate is None and is_on_neck and pitch != note.pitch and abs(now.cents - 100 * pitch) <= NEAR_CENTS:
            candidate = _Candidate(pitch, now.stamp_ns, now.stamp_ns, now.cents, now.stamp_ns)
        if candidate and not candidate.is_string_bend:
            candidate.due_ns = max(now.stamp_ns, self._settled_ns(candidate, note))
        self._candidate = candidate

    def _settled_ns(self, candidate: _Candidate, note: _Sounding) -> int:
        """When the candidate will be believed if the pitch stays where it is."""
        move = movement(self._samples, candidate.since_ns)
        candidate.is_slow = move.duration_ns > STEP_NS and abs(candidate.pitch - note.pitch) <= BENDABLE_SEMITONES
        if candidate.is_slow:
            settled_ns = candidate.flat_since_ns + SMOOTH_HOLD_NS
        else:
            settled_ns = min(candidate.flat_since_ns + HOLD_NS, candidate.since_ns + LONGEST_HOLD_NS)
        return max(settled_ns, move.not_a_tail_ns(candidate.pitch - note.pitch))

    def _take_candidate(self, candidate: _Candidate, known_ns: int) -> list[PlayedEvent]:
        """The pitch has stood near another semitone for long enough: it is a note, or the string is being bent."""
        last = self._note
        move = movement(self._samples, candidate.since_ns)
        semitones = candidate.pitch - last.pitch if last else 0
        is_shaken = candidate.since_ns - self._left_ns.get(candidate.pitch, -SHAKEN_NS - 1) <= SHAKEN_NS
        candidate.is_string_bend = move.is_string_bend(semitones) or (candidate.is_slow and is_shaken)
        if last is None or candidate.is_string_bend or not move.reaches_fret(last.pitch, semitones):
            candidate.due_ns = None
            return []
        self._candidate = None
        if self._carrier:
            self._ear.slurred_by_bend(candidate.pitch - self._carrier.pitch)
        while self._samples[0].stamp_ns < candidate.since_ns:  # what moves next, moves from here
            self._samples.popleft()
        said = self._follow(last, candidate.pitch, candidate.since_ns, known_ns, Attack.SLURRED, move.duration_ns)
        return said + self._onset(last.event, last.velocity, known_ns, arrived_as_bend=True)

    def _stop_waiting(self, known_ns: int) -> list[PlayedEvent]:
        on = self._waiting
        self._waiting = None
        return self._begin(on, known_ns) if on else []

    def _begin(self, on: StringOn, known_ns: int) -> list[PlayedEvent]:
        """A note-on becomes a note, with the bend that stands."""
        cents = 100 * on.pitch + on.bend_cents
        pitch = on.pitch if abs(on.bend_cents) <= STANDING_CENTS else _nearest(cents)
        last = self._note
        move_ns = self._move_into(last, PitchSample(on.stamp_ns, cents))
        self._carrier = on
        self._left_ns.clear()
        self._samples.clear()
        self._samples.append(PitchSample(on.stamp_ns, cents))
        since_other_ns = self._ear.since_other_ns(self._string, on.stamp_ns)
        interval_ns = self._ear.interval_ns
        self._ear.began(self._string, on.stamp_ns)
        if last and last.glide is None:
            apart_ns = on.stamp_ns - last.began_ns
            if is_octave_slip(last.pitch, pitch, apart_ns):
                return self._again(last, pitch, on, known_ns, "octave")
            if last.pitch == pitch and is_duplicate(apart_ns, interval_ns):
                return self._again(last, pitch, on, known_ns, "duplicate")
        attack = self._attack(last, pitch, on, has_moved=move_ns is not None)
        self._last_key = on.pitch
        said = self._follow(last, pitch, on.stamp_ns, known_ns, attack, move_ns or 0)
        said += self._onset(on.event, on.velocity, known_ns)
        fret = None if self._open_pitch is None else pitch - self._open_pitch
        if self._note and is_sympathetic(fret, self._ear.loudness(on.velocity), since_other_ns):
            said += self._pass(self._note, "ghost", known_ns)
        return said

    def _again(self, last: _Sounding, pitch: int, on: StringOn, known_ns: int, slip: str) -> list[PlayedEvent]:
        """The note that has just begun is heard once more, at its right pitch or for no reason."""
        said = self._end(last, on.stamp_ns)
        if slip == "octave":
            said += self._pass(last, slip, known_ns)
        last.verdict_due_ns = None
        onset_ns = last.began_ns - self._latency_ns(pitch)
        self._note = _Sounding(-1, on.event, pitch, last.began_ns, onset_ns, on.velocity, last.attack)
        said += self._onset(on.event, on.velocity, known_ns)
        if slip == "duplicate":
            said += self._pass(self._note, slip, known_ns)
        return said

    def _attack(self, last: _Sounding | None, pitch: int, on: StringOn, *, has_moved: bool) -> Attack:
        if not self._can_tell:
            return Attack.UNCERTAIN
        gap_ns = None
        if last:
            gap_ns = 0 if last.ended_ns is None else on.stamp_ns - last.ended_ns
        is_same_pitch = last is not None and last.pitch == pitch
        keys_apart = on.pitch - self._last_key
        return self._ear.attack(Beginning(self._string, on.velocity, gap_ns, is_same_pitch, keys_apart, has_moved))

    def _move_into(self, last: _Sounding | None, reached: PitchSample) -> int | None:
        """How long the bend had moved towards the pitch of a new note-on, where its range ended; None if it had not."""
        if last is None or not self._samples:
            return None
        if last.ended_ns is not None and reached.stamp_ns - last.ended_ns > GAPLESS_NS:
            return None
        moved_cents = self._samples[-1].cents - 100 * last.pitch
        if moved_cents * (reached.cents - 100 * last.pitch) <= 0 or abs(moved_cents) <= 50:
            return None
        return movement([*self._samples, reached], reached.stamp_ns).duration_ns

    def _follow(
        self, last: _Sounding | None, pitch: int, began_ns: int, known_ns: int, attack: Attack, move_ns: int
    ) -> list[PlayedEvent]:
        """End the last note, say what is open about it, and put the new one in its place."""
        said: list[PlayedEvent] = []
        glide = None
        if last:
            is_joined = last.ended_ns is None or began_ns - last.ended_ns <= GAPLESS_NS
            if self._can_tell and is_joined and attack is not Attack.PICKED and pitch != last.pitch:
                glide = Glide(last.pitch, began_ns - last.began_ns, began_ns, pitch - last.pitch, 1, move_ns)
            said += self._end(last, began_ns)
            is_sure = attack is Attack.SLURRED is last.attack and (last.arrived_as_bend or self._ear.velocities_tell)
            if glide and last.glide and last.verdict_due_ns is not None and self._extends(last, glide, is_sure=is_sure):
                said += self._pass(last, "slide", known_ns)
                self._ear.shows_passed_frets = True
            elif last.verdict_due_ns is not None:
                said += self._say_technique(last, known_ns)
        onset_ns = began_ns - self._latency_ns(pitch)
        self._note = _Sounding(-1, -1, pitch, began_ns, onset_ns, 0, attack, glide)
        return said

    @staticmethod
    def _extends(last: _Sounding, glide: Glide, *, is_sure: bool) -> bool:
        """Whether `glide` goes on from the last note's, which was only passed; if so, make it the longer one."""
        before = last.glide
        if before is None or not before.passes(glide.semitones, glide.reached_ns - before.reached_ns, is_sure=is_sure):
            return False
        glide.extend(before)
        return True

    def _onset(self, event: int, velocity: int, known_ns: int, *, arrived_as_bend: bool = False) -> list[PlayedEvent]:
        """Number the new note and say what is known of it at once."""
        note = self._note
        if note is None:
            return []
        note.heard, note.event, note.velocity = next(self._numbers), event, velocity
        note.arrived_as_bend = arrived_as_bend
        said: list[PlayedEvent] = [
            NoteOnset(note.heard, event, note.onset_ns, known_ns, self._course, note.pitch, velocity, arrived_as_bend)
        ]
        if note.glide:
            note.verdict_due_ns = max(known_ns, note.began_ns + SLOW_CHAIN_NS + HOLD_NS)
        else:
            said += self._say_technique(note, known_ns)
        return said

    def _say_technique(self, note: _Sounding, known_ns: int) -> list[PlayedEvent]:
        note.verdict_due_ns = None
        if note.glide is None:
            technique = Technique.PICK if note.attack is Attack.PICKED else None
            return [TechniqueHeard(note.heard, technique, known_ns)]
        technique = note.glide.technique()
        is_chain = note.glide.steps > 1
        if note.attack is Attack.UNCERTAIN and not is_chain:
            return [TechniqueHeard(note.heard, None, known_ns)]
        if note.arrived_as_bend or is_chain or note.glide.move_ns or self._ear.shows_passed_frets:
            return [TechniqueHeard(note.heard, technique, known_ns)]
        # A single note-on without a pick: a hammer-on, or a slide of a converter that does not send the frets passed.
        return [TechniqueHeard(note.heard, None, known_ns, one_of=(technique, Technique.SLIDE))]

    def _end(self, note: _Sounding, stamp_ns: int) -> list[PlayedEvent]:
        if note.ended_ns is not None:
            return []
        note.ended_ns = stamp_ns
        return [NoteEnd(note.heard, max(note.onset_ns, stamp_ns - self._latency_ns(note.pitch)))]

    @staticmethod
    def _pass(note: _Sounding, reason: str, known_ns: int) -> list[PlayedEvent]:
        note.verdict_due_ns = None
        return [NotePassed(note.heard, reason, known_ns)]


def _nearest(cents: float) -> int:
    """The semitone nearest to a pitch, the higher one from halfway."""
    return floor(cents / 100 + 0.5)
