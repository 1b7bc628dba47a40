"""The path through the shipped exercises: from first steps to fast, step by step (`shared/path.json`)."""

import json
from dataclasses import dataclass

from trainer.shipped import SHARED


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
