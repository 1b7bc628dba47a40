"""What joins notes: techniques to the note before on the same string, and notes to the positions of the hand."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from trainer.score.exercise import Exercise
from trainer.theory.technique import Technique


@dataclass(frozen=True, slots=True)
class Slurs:
    """The hammer-ons, pull-offs and slides of a line as pairs of notes; slides out of a grace note are none."""

    source_of: Mapping[int, int | None] = field(default_factory=dict)
    """By the note that is begun so: the note it comes from, None from nowhere (a hammer-on onto a resting string)."""
    target_of: Mapping[int, int] = field(default_factory=dict)
    """By the note that it comes from: the note that is begun so."""


def slurs_of(exercise: Exercise) -> Slurs:
    """The slurs of a line."""
    last_on: dict[int, int] = {}
    source_of: dict[int, int | None] = {}
    target_of: dict[int, int] = {}
    for index, note in enumerate(exercise.notes):
        if note.technique is not Technique.PICK and note.slide_from is None:
            source = source_of[index] = last_on.get(note.course)
            if source is not None:
                target_of[source] = index
        last_on[note.course] = index
    return Slurs(source_of, target_of)


def position_changes(exercise: Exercise) -> Iterator[tuple[int, int]]:
    """The notes at which the hand comes into another position, with its number."""
    current: int | None = None
    for index, note in enumerate(exercise.notes):
        if note.position is not None and note.position != current:
            current = note.position
            yield index, current
