"""What a target is, and what is done with whatever line was read."""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from tests.fuzzing.bending import Bend
from trainer.score.exercise import Exercise
from trainer.score.file_reading import read_file
from trainer.score.note_list import exercise_from_note_list, note_list_text
from trainer.score.one_line import exercise_from_line
from trainer.score.serial import exercise_from_dict, exercise_to_dict
from trainer.sheets.text_tablature import text_tablature

SHORT = 40
"""Notes of a line that is used as well as read: enough to meet what is odd in it."""


@dataclass(frozen=True, slots=True)
class Target:
    """One kind of input."""

    name: str
    seeds: Callable[[], Sequence[Any]]
    """Valid ones, made when they are first asked for."""
    bend: Bend[Any]
    read: Callable[[Any, Path], object]
    """Reads one in a folder of its own, and uses what it reads."""
    refusals: tuple[type[Exception], ...]
    share: int = 1
    """Of the cases, in parts: more for what is cheap and likely to come from strangers."""


def used(exercise: Exercise) -> None:
    """What is done with any line that was read: kept, shown, and written down again."""
    assert exercise_from_dict(json.loads(json.dumps(exercise_to_dict(exercise)))) == exercise
    if len(exercise.notes) <= SHORT:
        text_tablature(exercise)
        again = exercise_from_note_list(note_list_text(exercise), exercise.name, "again")
        assert [note.location for note in again.notes] == [note.location for note in exercise.notes]


def read_as(name: str) -> Callable[[bytes, Path], None]:
    def read(data: bytes, folder: Path) -> None:
        path = folder / name
        path.write_bytes(data)
        used(read_file(path).exercise)

    return read


def encoded(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


@cache
def lines() -> tuple[Exercise, ...]:
    """Lines with everything in them: slides, slurs, rests, graces, fingers, several voices."""
    words = (
        "B minor pentatonic, strings 1-2, positions 1 2 1, fours down, eighths",
        "A minor, strings 1-3, position 2, threes up, triplets, one pick a string",
        "E minor pentatonic, strings 3-4, positions 1 2, steps 1 r 2 ~ | 3 4 ~, sixteenths, legato",
    )
    return tuple(exercise_from_line(each) for each in words)


def text_file(name: str) -> Callable[[str, Path], None]:
    read = read_as(name)
    return lambda text, folder: read(encoded(text), folder)
