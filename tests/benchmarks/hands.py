"""Lines played on strings with a known technique for each note, and the bytes that converters send for them.

Written apart from the simulated converter of `trainer.devices`, so that the ear is not measured by the figures it may
have been made with: other ramps, uneven stairs, velocities with heavy tails, strings out of tune and of unequal
loudness, picks with and without a gap, ghosts at other intervals. Times in here are ms, pitches MIDI numbers.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from random import Random

from trainer.playing.messages import StampedMessage
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

STANDARD = Tuning("standard", (64, 59, 55, 50, 45, 40))
LAST_FRET = 20


@dataclass(frozen=True, slots=True)
class Style:
    """What a converter sends."""

    name: str
    bends: bool = True
    """A slur moves the bend; else it is a note-on."""
    in_steps: bool = False
    """A slide stands on each fret in turn (bends) or sends each fret passed (note-ons)."""
    range_semitones: int = 12
    is_mpe: bool = False
    fixed_velocity: int | None = None

    @property
    def profile(self) -> PickupProfile:
        """What a listener is told."""
        return PickupProfile(
            channel_use=ChannelUse.MPE if self.is_mpe else ChannelUse.STRING_PER_CHANNEL,
            channel_of_course=tuple(range(2, 17)) if self.is_mpe else tuple(range(1, 17)),
            bend_range_semitones=float(self.range_semitones),
            fixed_velocity=self.fixed_velocity is not None,
        )


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """The truth about one note."""

    onset_ms: float
    course: int
    pitch: int
    technique: Technique
    from_pitch: int | None = None
    travel_ms: float = 0.0
    bend_cents: float = 0.0
    vibrato_hz: float = 0.0
    vibrato_cents: float = 0.0

    @property
    def frets(self) -> int:
        """How far it was slurred."""
        return 0 if self.from_pitch is None else self.pitch - self.from_pitch


SHAPES: tuple[Callable[[float], float], ...] = (
    lambda x: x,
    lambda x: (1 - math.cos(math.pi * x)) / 2,
    lambda x: (1 - math.exp(-3 * x)) / (1 - math.exp(-3)),
    lambda x: x**1.6,
    lambda x: 1 - (1 - x) ** 1.5,
)


def drawn_notes(rng: Random, count: int, notes_per_second: float) -> list[PlayedNote]:
    """A line through the strings: picked, slurred and slid, of one fret and more, some notes bent or shaken."""
    gap_ms = 1000 / notes_per_second
    speed_ms = rng.uniform(14, 45)  # a fret, in a slide
    notes: list[PlayedNote] = []
    at_ms = 500.0
    for _ in range(count):
        at_ms += gap_ms * max(0.6, rng.gauss(1, 0.06))
        last = notes[-1] if notes else None
        notes.append(_next_note(rng, at_ms, last, gap_ms, speed_ms))
        if notes[-1].bend_cents or notes[-1].vibrato_hz:
            at_ms += rng.uniform(500, 1200)
    return notes


def _next_note(rng: Random, at_ms: float, last: PlayedNote | None, gap_ms: float, speed_ms: float) -> PlayedNote:
    technique = rng.choices(list(Technique), (45, 20, 20, 15))[0] if last else Technique.PICK
    if last and technique is not Technique.PICK and not last.bend_cents:
        frets = rng.choice((2, 3, 4, 5, 1) if technique is Technique.SLIDE else (1, 2, 2, 3, 4))
        falls = technique is Technique.PULL or (technique is Technique.SLIDE and rng.random() < 0.5)
        pitch = last.pitch - frets if falls else last.pitch + frets
        open_pitch = STANDARD.open_pitches[last.course - 1]
        lowest = open_pitch + (1 if technique is Technique.SLIDE else 0)
        is_open = technique is Technique.SLIDE and last.pitch == open_pitch
        if lowest <= pitch <= open_pitch + LAST_FRET and not is_open:
            travel_ms = min(speed_ms * rng.uniform(0.8, 1.25) * frets + 10, 0.6 * (at_ms - last.onset_ms))
            slid_ms = travel_ms if technique is Technique.SLIDE else 0.0
            return PlayedNote(at_ms, last.course, pitch, technique, last.pitch, slid_ms)
    course = last.course if last else 3
    if rng.random() < 0.6:
        course = max(1, min(6, course + rng.choice((-1, 1))))
    pitch = STANDARD.open_pitches[course - 1] + rng.randint(1, 14)
    if last and course == last.course and rng.random() < 0.5:
        pitch = last.pitch + rng.choice((-2, -1, 1, 2)) if last.pitch - 2 > STANDARD.open_pitches[course - 1] else pitch
    drawn = rng.random()
    if drawn < 0.04 and gap_ms >= 90:
        return PlayedNote(at_ms, course, pitch, Technique.PICK, bend_cents=rng.choice((100.0, 200.0)))
    if drawn < 0.08 and gap_ms >= 90:
        return PlayedNote(
            at_ms,
            course,
            pitch,
            Technique.PICK,
            vibrato_hz=rng.uniform(4.2, 6.8),
            vibrato_cents=rng.uniform(15, 45),
        )
    return PlayedNote(at_ms, course, pitch, Technique.PICK)


@dataclass(slots=True)
class _String:
    """What the converter holds of one string."""

    channel: int
    loudness: float
    off_by_cents: float
    key: int | None = None
    bend: int = 8192
    messages: list[StampedMessage] = field(default_factory=list)
    last_ns: int = 0

    def send(self, at_ms: float, *data: int) -> None:
        """One message, never before the one before it."""
        self.last_ns = max(self.last_ns, round(at_ms * 1e6))
        self.messages.append(StampedMessage(self.last_ns, bytes(data)))


class Converter:
    """One converter with habits drawn for one take."""

    def __init__(self, style: Style, rng: Random, *, slips: bool) -> None:
        self._style, self._rng, self._slips = style, rng, slips
        first = 2 if style.is_mpe else 1
        self._strings = {
            course: _String(course - 1 + first, rng.uniform(0.75, 1.2), rng.uniform(-12, 12)) for course in range(1, 7)
        }
        self._period_ms = rng.uniform(3, 11)
        # a hand that rests on the string before it picks leaves a gap
        self.pick_gap_ms = rng.choice((0.0, rng.uniform(6, 22)))
        self._slur_share = rng.uniform(0.4, 0.62)
        self._usual = rng.uniform(70, 100)
        self._spread = rng.uniform(0.04, 0.09)
        self.hidden: set[PlayedNote] = set()
        """Slurs that began where the bend could go no further, so that nothing of their way was sent."""
        self._waver_cents = rng.uniform(1, 5) if slips else 0.0

    def messages(self, notes: list[PlayedNote]) -> list[StampedMessage]:
        """All messages of a take, by stamp."""
        for number, note in enumerate(notes):
            later = notes[number + 1] if number + 1 < len(notes) else None
            self._play(note, later)
        sent = [*self._announced(), *(each for string in self._strings.values() for each in string.messages)]
        if self._slips:
            sent += self._made_up(notes)
        return sorted(sent, key=lambda message: message.stamp_ns)

    def _announced(self) -> Iterator[StampedMessage]:
        for string in self._strings.values():
            for number, value in ((101, 0), (100, 0), (6, self._style.range_semitones), (38, 0)):
                yield StampedMessage(0, bytes((0xB0 | string.channel - 1, number, value)))

    def _play(self, note: PlayedNote, later: PlayedNote | None) -> None:
        string = self._strings[note.course]
        at_ms = note.onset_ms + (self._rng.gauss(0, 0.6) if self._slips else 0.0)
        if note.from_pitch is not None and string.key is not None:
            self._slur(string, note, at_ms)
        else:
            self._strike(string, note, at_ms)
        ends_ms = later.onset_ms if later else note.onset_ms + 500
        goes_on = later is not None and later.from_pitch is not None
        self._shape(string, note, at_ms, ends_ms)
        if not goes_on:
            same_string = later is not None and later.course == note.course
            self._release(string, ends_ms - (self.pick_gap_ms if same_string else 0.0), at_ms)

    def _strike(self, string: _String, note: PlayedNote, at_ms: float) -> None:
        rng = self._rng
        velocity = self._velocity(string, 1.0)
        if self._slips and rng.random() < 0.02:
            high = note.pitch + rng.choice((12, 12, 19, 24, 7, 5))
            until_ms = at_ms + rng.uniform(12, 45)
            self._on(string, high, velocity, at_ms)
            self._off(string, until_ms)
            self._on(string, note.pitch, velocity, until_ms)
            return
        self._on(string, note.pitch, velocity, at_ms)
        if self._slips and rng.random() < 0.015:
            self._on(string, note.pitch, max(1, velocity - 8), at_ms + rng.uniform(4, 28))

    def _slur(self, string: _String, note: PlayedNote, at_ms: float) -> None:
        style, key, start = self._style, string.key, note.from_pitch
        if key is None or start is None:
            return
        step = 1 if note.pitch > start else -1
        passed = list(range(start + step, note.pitch, step)) if note.technique is Technique.SLIDE else []
        stairs = [at_ms - note.travel_ms * (1 - share) for share in self._stairs(len(passed))]
        velocity = self._velocity(string, self._slur_share)
        if not style.bends:
            for pitch, fret_ms in zip(passed if style.in_steps else [], stairs, strict=False):
                self._again(string, pitch, velocity, fret_ms)
            self._again(string, note.pitch, velocity, at_ms)
            return
        for reached, bend_ms in self._path(note, start, passed, stairs, at_ms):
            self._bend(string, 100 * (reached - key), bend_ms)
        if abs(note.pitch - key) <= style.range_semitones:
            self._bend(string, 100 * (note.pitch - key), at_ms)
        else:
            if abs(start - key) >= style.range_semitones and (start - key) * note.frets > 0:
                self.hidden.add(note)
            self._again(string, note.pitch, velocity, at_ms)

    def _stairs(self, count: int) -> list[float]:
        """Where on the way a slide reaches each of the frets passed, unevenly."""
        widths = [self._rng.uniform(0.7, 1.3) for _ in range(count + 1)]
        return [sum(widths[: place + 1]) / sum(widths) for place in range(count)]

    def _path(
        self, note: PlayedNote, start: int, passed: list[int], stairs: list[float], at_ms: float
    ) -> Iterator[tuple[float, float]]:
        rng = self._rng
        if note.technique is not Technique.SLIDE:
            count = rng.choice((0, 1, 1, 2))
            for place in range(count):
                yield start + note.frets * (place + 0.7) / (count + 0.5), at_ms - (count - place) * rng.uniform(2, 5)
        elif self._style.in_steps:
            yield from zip(passed, stairs, strict=True)
        else:
            shape, left_ms = rng.choice(SHAPES), at_ms - note.travel_ms
            for place in range(1, int(note.travel_ms / self._period_ms)):
                share = place * self._period_ms / note.travel_ms
                yield start + note.frets * shape(share), left_ms + share * note.travel_ms

    def _shape(self, string: _String, note: PlayedNote, at_ms: float, ends_ms: float) -> None:
        """The string bend or vibrato of a note; the string must be able to bend."""
        if not self._style.bends or string.key is None:
            return
        base = 100 * (note.pitch - string.key)
        room_ms = ends_ms - at_ms
        if note.bend_cents:
            shape = self._rng.choice(SHAPES[:3])
            rise_ms = self._rng.uniform(0.25, 0.4) * room_ms
            for place in range(1, int(rise_ms / self._period_ms) + 1):
                self._bend(
                    string,
                    base + note.bend_cents * shape(place * self._period_ms / rise_ms),
                    at_ms + 80 + place * self._period_ms,
                )
        elif note.vibrato_hz:
            for place in range(int((room_ms - 230) / self._period_ms)):
                since_ms = place * self._period_ms
                swing = math.sin(2 * math.pi * note.vibrato_hz * since_ms / 1000)
                self._bend(string, base + note.vibrato_cents * swing, at_ms + 120 + since_ms)

    def _release(self, string: _String, at_ms: float, began_ms: float) -> None:
        rng, key = self._rng, string.key
        if key is None:
            return
        if self._slips and self._style.bends and rng.random() < 0.43:
            tail_ms = min(60.0, (at_ms - began_ms) / 2)
            astray, power = rng.choice((-1, 1)) * rng.uniform(55, 190), rng.choice((1, 1.5, 3))
            standing = (string.bend - 8192) / 8192 * 100 * self._style.range_semitones - string.off_by_cents
            for place in range(1, int(tail_ms / self._period_ms) + 1):
                share = place * self._period_ms / tail_ms
                self._bend(string, standing + astray * share**power, at_ms - tail_ms * (1 - share))
        if not (self._slips and rng.random() < 0.03):
            self._off(string, at_ms)
        string.key = None

    def _made_up(self, notes: list[PlayedNote]) -> Iterator[StampedMessage]:
        """Notes of strings that nobody touched."""
        rng = self._rng
        for note in notes:
            drawn = rng.random()
            free = [
                course
                for course in range(1, 7)
                if all(abs(o.onset_ms - note.onset_ms) > 900 or o.course != course for o in notes)
            ]
            if drawn > 0.04 or not free:
                continue
            course = rng.choice(free)
            channel, start_ms = self._strings[course].channel - 1, note.onset_ms + rng.uniform(4, 60)
            pitch, length_ms, velocity = STANDARD.open_pitches[course - 1], rng.uniform(100, 350), rng.randint(8, 24)
            if drawn < 0.02:
                pitch, length_ms, velocity = pitch + rng.randint(0, 14), rng.uniform(8, 35), rng.randint(3, 18)
            velocity = self._style.fixed_velocity or velocity
            yield StampedMessage(round(start_ms * 1e6), bytes((0x90 | channel, pitch, velocity)))
            yield StampedMessage(round((start_ms + length_ms) * 1e6), bytes((0x80 | channel, pitch, 64)))

    def _velocity(self, string: _String, share: float) -> int:
        if self._style.fixed_velocity:
            return self._style.fixed_velocity
        tail = 3.0 if self._rng.random() < 0.05 else 1.0  # now and then far louder or softer than usual
        drawn = self._usual * string.loudness * share * math.exp(self._rng.gauss(0, self._spread * tail))
        return max(1, min(127, round(drawn)))

    def _on(self, string: _String, pitch: int, velocity: int, at_ms: float) -> None:
        self._bend(string, 0.0, at_ms)
        string.send(at_ms, 0x90 | string.channel - 1, pitch, velocity)
        string.key = pitch

    def _off(self, string: _String, at_ms: float) -> None:
        if string.key is not None:
            string.send(at_ms, 0x80 | string.channel - 1, string.key, 64)
        string.key = None

    def _again(self, string: _String, pitch: int, velocity: int, at_ms: float) -> None:
        self._off(string, at_ms)
        self._on(string, pitch, velocity, at_ms)

    def _bend(self, string: _String, cents: float, at_ms: float) -> None:
        if not self._style.bends:
            return
        cents += string.off_by_cents + self._rng.gauss(0, 1) * self._waver_cents
        value = max(0, min(16383, 8192 + round(cents / 100 / self._style.range_semitones * 8192)))
        if value != string.bend:
            string.bend = value
            string.send(at_ms, 0xE0 | string.channel - 1, value & 0x7F, value >> 7)
