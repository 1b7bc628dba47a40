"""The values between the MIDI wire and the notes.

Conventions: stamps are ns from the start of the take; `course` is None when the device does not say which string
sounded; bends are cents of effective pitch, already multiplied by the channel's bend range.
"""

from dataclasses import dataclass
from typing import NamedTuple

from trainer.theory.technique import Technique


class StampedMessage(NamedTuple):
    """One complete MIDI message and when it reached the computer."""

    stamp_ns: int
    data: bytes


@dataclass(frozen=True, slots=True)
class StringOn:
    """A note-on: something on this string was heard as a new note."""

    stamp_ns: int
    channel: int
    course: int | None
    pitch: int
    velocity: int
    bend_cents: float
    """The bend that already stood on the channel when the note began."""
    event: int
    """Ordinal of this note-on in the take, from 0."""


@dataclass(frozen=True, slots=True)
class StringOff:
    """A note-off, or a note-on at velocity 0."""

    stamp_ns: int
    channel: int
    course: int | None
    pitch: int


@dataclass(frozen=True, slots=True)
class StringBend:
    """The bend of a channel changed."""

    stamp_ns: int
    channel: int
    course: int | None
    bend_cents: float


StringEvent = StringOn | StringOff | StringBend


@dataclass(frozen=True, slots=True)
class NoteOnset:
    """A note was heard to begin, by a note-on or by a bend that arrived at another semitone."""

    heard: int
    """Ordinal of the heard note in the take, from 0."""
    event: int
    """Ordinal of the note-on that carries it; several heard notes share one when they arrive as bends."""
    onset_ns: int
    """When it began, after latency compensation."""
    known_ns: int
    """When the stream had told enough to know it, without compensation; never before `onset_ns`."""
    course: int | None
    pitch: int
    velocity: int
    """Velocity of the note-on that carries it, 1..127."""
    arrived_as_bend: bool = False


@dataclass(frozen=True, slots=True)
class Inflection:
    """What the left hand did to the pitch of a note while it sounded; its last 60 ms are not counted."""

    bend_cents: float = 0.0
    """How far the string was bent from where the note began, + upwards; 0: it was not."""
    vibrato_hz: float = 0.0
    """0: the string was not shaken."""
    vibrato_cents: float = 0.0
    """Half of the way from trough to crest."""


@dataclass(frozen=True, slots=True)
class NoteEnd:
    """A heard note stopped sounding or gave way to the next one on its string."""

    heard: int
    offset_ns: int
    inflection: Inflection = Inflection()


@dataclass(frozen=True, slots=True)
class NotePassed:
    """A heard note turned out to be only passed through on the way of a slide, or a slip of the pickup's tracking.

    It is not charged to the player.
    """

    heard: int
    reason: str
    """`slide` (a fret passed on the way), `approach` (where a slide began), `attack` (before tracking had found its
    pitch), `ghost`, `octave` or `duplicate`."""
    known_ns: int


@dataclass(frozen=True, slots=True)
class TechniqueHeard:
    """How a heard note was begun, as far as the stream tells; at its onset, or later when more was needed."""

    heard: int
    technique: Technique | None
    """None: not measurable from this stream."""
    known_ns: int
    one_of: tuple[Technique, ...] = ()
    """With None: what is left where the stream rules out the rest; empty where it rules out nothing."""


PlayedEvent = NoteOnset | NoteEnd | NotePassed | TechniqueHeard
