"""What a measurement says: a name, a figure, its unit, and the goal of the house that it is held against.

Nothing is asserted here; whether a goal is met is said, and the reader decides. Figures by the clock are only as good
as the machine is idle, which is why the load is told beside them.
"""

import json
import math
import os
import platform
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Goal:
    """Figures from `least` to `most`, both included, are what was wanted."""

    least: float = -math.inf
    most: float = math.inf

    def __str__(self) -> str:
        if math.isinf(self.least):
            return f"at most {self.most:g}"
        return f"at least {self.least:g}" if math.isinf(self.most) else f"{self.least:g} to {self.most:g}"


@dataclass(frozen=True, slots=True)
class Figure:
    """One row."""

    name: str
    figure: float | None
    """None: not measured, and `why` says why."""
    unit: str = ""
    goal: Goal | None = None
    why: str = ""

    @property
    def is_met(self) -> bool | None:
        """Whether the goal is met; None without a figure or a goal."""
        if self.figure is None or self.goal is None:
            return None
        return self.goal.least <= self.figure <= self.goal.most

    def as_json(self) -> dict[str, object]:
        """The row as plain values."""
        row: dict[str, object] = {
            "name": self.name,
            "figure": self.figure,
            "unit": self.unit,
            "target": None if self.goal is None else str(self.goal),
            "met": self.is_met,
        }
        return row | ({"not measured": self.why} if self.figure is None else {})

    def as_words(self) -> str:
        """The row of a table."""
        target = "" if self.goal is None else str(self.goal)
        if self.figure is None:
            return f"| {self.name} | not measured: {self.why} | {target} | |"
        met = {True: "yes", False: "no", None: ""}[self.is_met]
        return f"| {self.name} | {self.figure:.4g} {self.unit} | {target} | {met} |"


HEADING = "| what | figure | goal | met |\n| --- | --- | --- | --- |"


class NotMeasurableError(Exception):
    """Why something cannot be measured on this machine."""


class Way(Enum):
    """How thoroughly something is measured."""

    SHORT = "short"
    WHOLE = "whole"


@dataclass(frozen=True, slots=True)
class Measurement:
    """Some rows that are measured together."""

    name: str
    about: str
    measure: Callable[[Way], Iterable[Figure]]
    is_quick: bool = True
    """Whether it is among those that are measured when none is named."""

    def figures(self, way: Way) -> Iterator[Figure]:
        """The rows as they come; one that says why, when they cannot be had."""
        try:
            yield from self.measure(way)
        except NotMeasurableError as error:
            yield Figure(self.about, None, why=str(error))


def machine() -> dict[str, object]:
    """What the figures were measured on, and what else it is doing: the load of the last minute."""
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else None
    python = platform.python_version()
    return {"cores": os.cpu_count(), "system": platform.system(), "python": python, "load": load}


def report(measurements: Iterable[Measurement], way: Way, *, as_json: bool) -> None:
    """Measure, and print each row as it comes, or all of them as JSON at the end."""
    before = machine()
    figures = []
    if not as_json:
        say(", ".join(f"{name} {value}" for name, value in before.items()) + "\n\n" + HEADING)
    for measurement in measurements:
        for figure in measurement.figures(way):
            figures.append(figure)
            if not as_json:
                say(figure.as_words())
    after = machine()
    if as_json:
        rows = [figure.as_json() for figure in figures]
        say(json.dumps({"machine": before, "load afterwards": after["load"], "figures": rows}, indent=1))
    else:
        missed = sum(figure.is_met is False for figure in figures)
        say(f"\n{missed} of {sum(figure.goal is not None for figure in figures)} goals missed; load {after['load']}")


def say(line: str) -> None:
    """One line of the answer, at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def resident_mb(process: int | str = "self") -> float:
    """How much memory a process holds; `NotMeasurableError` where the system does not say."""
    try:
        lines = Path(f"/proc/{process}/status").read_text(encoding="ascii", errors="replace").splitlines()
    except OSError as error:
        raise NotMeasurableError("the memory of a process is read from /proc, which is not here") from error
    (line,) = (line for line in lines if line.startswith("VmRSS:"))
    return int(line.split()[1]) / 1000
