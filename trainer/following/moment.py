"""A heard note in its place among the others, and what they say about it."""

from collections.abc import Sequence

from trainer.following.paths import Beam, Step
from trainer.following.waiting import Sound
from trainer.playing.messages import NoteOnset

DUPLICATE_NS = 70_000_000
"""The same pitch on one string again within this is a pickup's double trigger."""
OCTAVE_NS = 60_000_000
"""Converters correct a wrong octave within this."""
RETRIGGER_NS = 35_000_000
"""A string cannot be played twice within this; 20 notes a second are 50 ms apart."""
NEIGHBOURS = 4
"""As many notes before one can tell that the pickup made it up."""


class Moment:
    """A heard note in its place, and the beam from before it."""

    __slots__ = ("before", "is_passed", "missed", "ordinal", "sound", "step")

    def __init__(self, sound: Sound, ordinal: int) -> None:
        self.sound = sound
        self.ordinal = ordinal
        """How many notes had been received before it."""
        self.before: Beam = ()
        self.is_passed = False
        self.step: Step | None = None
        """How it was read when it was settled."""
        self.missed: tuple[int, ...] = ()
        """The written notes that were settled as missed with it."""


def is_slip(note: NoteOnset, before: Sequence[Moment]) -> bool:
    """Whether a note follows so soon on another one of its string that only the pickup can have made it."""
    for moment in before:
        other = moment.sound.note
        since_ns = note.onset_ns - other.onset_ns
        if note.course != other.course or moment.is_passed:
            continue
        if (
            (note.pitch == other.pitch and since_ns <= DUPLICATE_NS)
            or (note.pitch == other.pitch + 12 and since_ns <= OCTAVE_NS)
            or (note.course is not None and since_ns <= RETRIGGER_NS)
        ):
            return True
    return False
