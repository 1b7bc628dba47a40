"""What a line has to keep on its way through a file and back, in values that compare."""

from collections.abc import Callable
from pathlib import Path

from trainer.score.exercise import Exercise, ScoreNote


def through_a_file(data: bytes, name: str, read: Callable[[Path], Exercise], folder: Path) -> Exercise:
    """The line that is read from a file of these bytes."""
    path = folder / name
    path.write_bytes(data)
    return read(path)


def written(exercise: Exercise) -> list[tuple[object, ...]]:
    """Everything about its notes that a MusicXML file carries, those of a chord from string 1 on."""
    return [
        (
            note.onset_quarters,
            note.duration_quarters,
            note.location,
            note.pitch,
            note.technique,
            note.slide_from,
            note.stroke,
            note.finger,
            note.accent,
        )
        for note in in_order(exercise)
    ]


def sounded(exercise: Exercise) -> list[tuple[object, ...]]:
    """Everything about its notes that a MIDI file carries, those of a chord from string 1 on."""
    return [(note.onset_quarters, note.duration_quarters, note.location, note.pitch) for note in in_order(exercise)]


def in_order(exercise: Exercise) -> list[ScoreNote]:
    """The notes by onset and string."""
    return sorted(exercise.notes, key=lambda note: (note.onset_quarters, note.course))
