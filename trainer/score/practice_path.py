"""The path through the shipped exercises: from first steps to fast, step by step (`shared/path.json`)."""

import json
from collections.abc import Iterable
from dataclasses import dataclass

from trainer.score.exercise import Exercise
from trainer.shipped import SHARED
from trainer.theory.tuning import Tuning


@dataclass(frozen=True, slots=True)
class PathStep:
    """Exercises that belong together on the path."""

    number: int
    """From 1, the first."""
    title: str
    about: str
    """What is learned here, and when to go on."""
    exercises: tuple[str, ...]
    """Names, in the order in which they are best taken."""


def _read_path() -> tuple[PathStep, ...]:
    rows = json.loads((SHARED / "path.json").read_text(encoding="utf-8"))["steps"]
    return tuple(
        PathStep(number, row["title"], row["about"], tuple(row["exercises"]))
        for number, row in enumerate(rows, start=1)
    )


PATH = _read_path()


def step_of(name: str) -> PathStep | None:
    """The step that an exercise belongs to; None for one that is not on the path."""
    return next((step for step in PATH if name in step.exercises), None)


def first_line(lines: Iterable[Exercise], tuning: Tuning) -> Exercise | None:
    """The first along the path that sounds as written on an instrument in this tuning; None when none does.

    A line needs only the strings that it uses: what is for the upper six is for seven as well.
    """
    by_name = {line.name: line for line in lines}
    along = (by_name[name] for step in PATH for name in step.exercises if name in by_name)
    return next((line for line in along if _sounds(line, tuning)), None)


def _sounds(line: Exercise, tuning: Tuning) -> bool:
    return all(
        course in tuning.courses and tuning.open_pitches[course - 1] == line.tuning.open_pitches[course - 1]
        for course in line.courses
    )
