"""One string, listened to: where its notes begin and end, and how.

Theory of operation. The voice holds the note that sounds. A note-on begins a note at once, unless a large bend still
stands on the channel: then it waits a moment, since some converters centre the bend just after the note-on. `Arrivals`
tells when the bend has come to rest at another semitone, which is a note, too. How a slurred note was begun is said
later than the note itself: another note could follow that shows it to have been a fret passed in a slide.

Everything that waits has a due time. `expire` does what is due at its due time, so that what is said never depends on
how often the clock is asked.
"""

from collections.abc import Callable, Iterator

from trainer.playing.arrivals import HOLD_NS, Arrival, Arrivals, nearest
from trainer.playing.ear import GAPLESS_NS, Attack, Beginning, Ear
from trainer.playing.gestures import SLOW_CHAIN_NS, Glide
from trainer.playing.inflection import Contour
from trainer.playing.messages import NoteOnset, PlayedEvent, StringBend, StringOff, StringOn
from trainer.playing.movement import PitchSample
from trainer.playing.slips import is_duplicate, is_ghost, is_octave_slip, is_stray, is_sympathetic, is_tail
from trainer.playing.sounding import Sounding

_MS = 1_000_000
STANDING_CENTS = 65.0
"""A note-on with a bend up to this means the key that it names, only out of tune."""
RECENTRE_NS = 6 * _MS
"""A bend left over from the note before is centred within this time after the note-on."""


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
        self._note: Sounding | None = None
        self._carrier: StringOn | None = None
        self._last_key = 0
        self._waiting: StringOn | None = None
        self._arrivals = Arrivals(open_pitch)

    @property
    def due_ns(self) -> int | None:
        """When this voice next has something to say of itself."""
        due_ns = self._arrivals.due_ns  # asked with every message: three comparisons, not a list
        if self._note is not None:
            verdict_ns = self._note.verdict_due_ns
            if verdict_ns is not None and (due_ns is None or verdict_ns < due_ns):
                due_ns = verdict_ns
        if self._waiting is not None:
            waits_ns = self._waiting.stamp_ns + RECENTRE_NS
            if due_ns is None or waits_ns < due_ns:
                due_ns = waits_ns
        return due_ns

    def expire(self) -> list[PlayedEvent]:
        """Do the one thing that is due first, as of its due time."""
        due_ns, note = self.due_ns, self._note
        if due_ns is None:
            return []
        if self._waiting and self._waiting.stamp_ns + RECENTRE_NS == due_ns:
            return self._stop_waiting(due_ns)
        if note and self._arrivals.due_ns == due_ns:
            arrival = self._arrivals.take(note.pitch)
            return self._arrive(note, arrival, due_ns) if arrival else []
        return note.told(self._ear, due_ns) if note else []

    def on(self, event: StringOn) -> list[PlayedEvent]:
        """A note-on."""
        said = self._stop_waiting(event.stamp_ns) if self._waiting else []
        self._arrivals.drop()
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
        self._arrivals.drop()
        note = self._note
        if note is None:
            return said
        said += note.end(event.stamp_ns)
        loudness = self._ear.loudness(note.velocity)
        sounded_ns = event.stamp_ns - note.began_ns
        note.is_astray = note.arrived_as_bend and is_tail(sounded_ns)
        is_noise = is_ghost(sounded_ns, note.velocity, loudness) or (
            loudness is None and is_stray(sounded_ns, note.since_other_ns, self._ear.interval_ns)
        )
        if note.glide is None and is_noise:
            said += note.passed("ghost", event.stamp_ns)
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
        self._ear.bent(event.bend_cents)
        now = PitchSample(event.stamp_ns, 100 * self._carrier.pitch + event.bend_cents)
        arrival = self._arrivals.left(now, self._note.pitch)
        said = self._arrive(self._note, arrival, event.stamp_ns) if arrival else []
        self._note.contour.feed(now)
        self._arrivals.feed(now, self._note.pitch)
        return said

    def _arrive(self, last: Sounding, arrival: Arrival, known_ns: int) -> list[PlayedEvent]:
        """The bend has come to rest at another semitone."""
        if self._carrier and last.glide is None and last.contour.is_unsettled(arrival.since_ns):
            start = self._arrivals.samples[0]
            return self._again(last, arrival.pitch, start, self._carrier, known_ns, "attack")
        if self._carrier:
            self._ear.slurred_by_bend(arrival.pitch - self._carrier.pitch)
        samples = self._arrivals.samples
        note = self._new(arrival.pitch, samples[0], Attack.SLURRED)
        for sample in samples[1:]:
            note.contour.feed(sample)
        note.arrived_as_bend = True
        said = self._follow(last, note, known_ns, arrival.move.duration_ns)
        if note.glide and self._carrier:
            note.glide.in_jumps = arrival.move.is_in_jumps(note.glide.semitones)
            note.glide.is_smooth = arrival.move.is_smooth(note.glide.semitones)
            note.glide.is_cut = self._is_at_limit(note.glide.semitones)
        return said + self._onset(note, last.event, last.velocity, known_ns)

    def _stop_waiting(self, known_ns: int) -> list[PlayedEvent]:
        on = self._waiting
        self._waiting = None
        return self._begin(on, known_ns) if on else []

    def _begin(self, on: StringOn, known_ns: int) -> list[PlayedEvent]:
        """A note-on becomes a note, with the bend that stands."""
        start = PitchSample(on.stamp_ns, 100 * on.pitch + on.bend_cents)
        pitch = on.pitch if abs(on.bend_cents) <= STANDING_CENTS else nearest(start.cents)
        last = self._note
        is_past_limit = last is not None and self._is_at_limit(pitch - last.pitch)
        move_ns = None
        if last and (last.ended_ns is None or on.stamp_ns - last.ended_ns <= GAPLESS_NS):
            move_ns = self._arrivals.moved_ns(last.pitch, start, is_at_limit=is_past_limit)
        since_other_ns = self._ear.since_other_ns(self._string, on.stamp_ns)
        interval_ns = self._ear.interval_ns
        keys_apart = on.pitch - self._last_key
        self._carrier = on
        self._last_key = on.pitch
        self._arrivals.restart(start, on.pitch)
        self._ear.began(self._string, on.stamp_ns)
        slip = self._slip(last, pitch, on, interval_ns) if last else None
        if last and slip:
            return self._again(last, pitch, start, on, known_ns, slip)
        note = self._new(
            pitch, start, self._attack(last, pitch, on, keys_apart, has_moved=is_past_limit and move_ns is not None)
        )
        note.since_other_ns = since_other_ns
        said = self._follow(last, note, known_ns, move_ns or 0, goes_past=is_past_limit)
        said += self._onset(note, on.event, on.velocity, known_ns)
        fret = None if self._open_pitch is None else on.pitch - self._open_pitch
        if is_sympathetic(fret, self._ear.loudness(on.velocity), since_other_ns):
            said += note.passed("ghost", known_ns)
        return said

    def _is_at_limit(self, semitones: int) -> bool:
        """Whether the bend stands where it can go no further in the direction of `semitones`."""
        cents = self._arrivals.bend_cents
        return cents * semitones > 0 and self._ear.is_at_limit(cents)

    @staticmethod
    def _slip(last: Sounding, pitch: int, on: StringOn, interval_ns: int) -> str | None:
        """What the note-on shows the last note, or itself, to have been by mistake."""
        apart_ns = on.stamp_ns - last.began_ns
        if last.glide:
            return None
        if is_octave_slip(last.pitch, pitch, apart_ns, on.velocity / last.velocity):
            return "octave"
        return "duplicate" if last.pitch == pitch and is_duplicate(apart_ns, interval_ns) else None

    def _new(self, pitch: int, start: PitchSample, attack: Attack) -> Sounding:
        began_ns = start.stamp_ns
        return Sounding(pitch, began_ns, began_ns - self._latency_ns(pitch), attack, Contour(start))

    def _again(
        self, last: Sounding, pitch: int, start: PitchSample, on: StringOn, known_ns: int, slip: str
    ) -> list[PlayedEvent]:
        """The note that has just begun is heard once more, at its right pitch or for no reason."""
        said = last.end(start.stamp_ns)
        if slip != "duplicate":
            said += last.passed(slip, known_ns)
        last.verdict_due_ns = None
        self._note = note = self._new(pitch, PitchSample(last.began_ns, start.cents), last.attack)
        note.arrived_as_bend = slip == "attack"
        said += self._onset(note, on.event, on.velocity, known_ns)
        if slip == "duplicate":
            said += note.passed(slip, known_ns)
        return said

    def _attack(self, last: Sounding | None, pitch: int, on: StringOn, keys_apart: int, *, has_moved: bool) -> Attack:
        if not self._can_tell:
            return Attack.UNCERTAIN
        gap_ns = None
        if last:
            gap_ns = 0 if last.ended_ns is None else on.stamp_ns - last.ended_ns
        is_same_pitch = last is not None and last.pitch == pitch
        return self._ear.attack(Beginning(self._string, on.velocity, gap_ns, is_same_pitch, keys_apart, has_moved))

    def _follow(
        self, last: Sounding | None, note: Sounding, known_ns: int, move_ns: int, *, goes_past: bool = False
    ) -> list[PlayedEvent]:
        """End the last note, say what is open about it, and put the new one in its place."""
        self._note = note
        if last is None:
            return []
        began_ns, semitones = note.began_ns, note.pitch - last.pitch
        is_joined = last.ended_ns is None or began_ns - last.ended_ns <= GAPLESS_NS
        if self._can_tell and is_joined and note.attack is not Attack.PICKED and semitones:
            note.glide = Glide(
                last.pitch, began_ns - last.began_ns, began_ns, semitones, 1, move_ns, goes_past=goes_past
            )
        said = last.end(began_ns, move_ns)
        if last.verdict_due_ns is None:
            return said
        is_sure = note.attack is Attack.SLURRED is last.attack and (last.arrived_as_bend or self._ear.velocities_tell)
        if last.glide and note.arrived_as_bend:
            last.glide.is_cut = False  # it could be sent
        is_doubtful = last.is_astray and note.attack is Attack.UNCERTAIN  # a tail, and then perhaps a pick
        if note.glide and last.glide and not is_doubtful and note.glide.goes_on_from(last.glide, is_sure=is_sure):
            self._ear.shows_passed_frets |= note.glide.is_stairs
            return said + last.passed("slide", known_ns)
        return said + last.told(self._ear, known_ns)

    def _onset(self, note: Sounding, event: int, velocity: int, known_ns: int) -> list[PlayedEvent]:
        """Number the new note and say what is known of it at once."""
        note.heard, note.event, note.velocity = next(self._numbers), event, velocity
        said: list[PlayedEvent] = [
            NoteOnset(
                note.heard, event, note.onset_ns, known_ns, self._course, note.pitch, velocity, note.arrived_as_bend
            )
        ]
        if not note.glide:
            return said + note.told(self._ear, known_ns)
        note.verdict_due_ns = max(known_ns, note.began_ns + SLOW_CHAIN_NS + HOLD_NS)
        return said
