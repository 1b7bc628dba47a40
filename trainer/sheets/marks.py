"""What a printed page is made of, without any paper or file: marks at points.

Conventions: points of 1/72 inch from the upper left corner of the page, y downwards; a text stands on its baseline.
Everything is black, so that a copier keeps it; `Blank` is white and hides what was drawn before it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import NamedTuple

from trainer.sheets.lettering import CAP_SHARE, DESCENT_SHARE, width_pt


class Point(NamedTuple):
    """A place on the page."""

    x_pt: float
    y_pt: float


class Box(NamedTuple):
    """An upright rectangle."""

    left_pt: float
    top_pt: float
    right_pt: float
    bottom_pt: float

    def overlaps(self, other: "Box") -> bool:
        """Whether the two share more than an edge."""
        across = self.left_pt < other.right_pt and other.left_pt < self.right_pt
        return across and self.top_pt < other.bottom_pt and other.top_pt < self.bottom_pt


class Anchor(Enum):
    """Which part of a text stands at its point."""

    LEFT = "start"
    MIDDLE = "middle"
    RIGHT = "end"


@dataclass(frozen=True, slots=True)
class Words:
    """A text in one line."""

    x_pt: float
    y_pt: float
    text: str
    size_pt: float
    bold: bool = False
    anchor: Anchor = Anchor.LEFT

    @property
    def width_pt(self) -> float:
        """How wide it is."""
        return width_pt(self.text, self.size_pt, bold=self.bold)

    @property
    def left_pt(self) -> float:
        """Where it begins."""
        shares = {Anchor.LEFT: 0.0, Anchor.MIDDLE: 0.5, Anchor.RIGHT: 1.0}
        return self.x_pt - self.width_pt * shares[self.anchor]

    @property
    def box(self) -> Box:
        """The room that it takes: figures and capitals above the baseline, descenders only where it has some."""
        descends = any(sign in "gjpqy,;()Q" for sign in self.text)
        bottom = self.y_pt + (DESCENT_SHARE * self.size_pt if descends else 0)
        return Box(self.left_pt, self.y_pt - CAP_SHARE * self.size_pt, self.left_pt + self.width_pt, bottom)


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line."""

    start: Point
    end: Point
    weight_pt: float


@dataclass(frozen=True, slots=True)
class Shape:
    """A polygon, filled with black or, when its outline has a weight, with white."""

    corners: tuple[Point, ...]
    weight_pt: float = 0.0


@dataclass(frozen=True, slots=True)
class Oval:
    """An ellipse, filled or with a white inside and an outline."""

    centre: Point
    across_pt: float
    """Half of its width."""
    down_pt: float
    """Half of its height."""
    weight_pt: float = 0.0
    """Of the outline; 0 = filled."""


@dataclass(frozen=True, slots=True)
class Bow:
    """A curve from point to point that rises to `rise_pt` above them half way; below them when negative."""

    start: Point
    end: Point
    rise_pt: float
    weight_pt: float

    @property
    def controls(self) -> tuple[Point, Point]:
        """The inner points of the cubic curve, which reaches three quarters of their height."""
        across, lift = self.end.x_pt - self.start.x_pt, 4 / 3 * self.rise_pt
        return (
            Point(self.start.x_pt + across / 4, self.start.y_pt - lift),
            Point(self.end.x_pt - across / 4, self.end.y_pt - lift),
        )


@dataclass(frozen=True, slots=True)
class Blank:
    """A white rectangle."""

    box: Box


@dataclass(frozen=True, slots=True)
class Jump:
    """A rectangle that leads to another page where the file can do that."""

    box: Box
    page: int
    """0 = the first."""


Mark = Words | Rule | Shape | Oval | Bow | Blank | Jump


def moved(marks: Iterable[Mark], dx_pt: float, dy_pt: float) -> tuple[Mark, ...]:
    """The marks at another place."""
    return tuple(_moved(mark, dx_pt, dy_pt) for mark in marks)


def _moved(mark: Mark, dx_pt: float, dy_pt: float) -> Mark:
    def point(old: Point) -> Point:
        return Point(old.x_pt + dx_pt, old.y_pt + dy_pt)

    def box(old: Box) -> Box:
        return Box(old.left_pt + dx_pt, old.top_pt + dy_pt, old.right_pt + dx_pt, old.bottom_pt + dy_pt)

    match mark:
        case Words():
            return replace(mark, x_pt=mark.x_pt + dx_pt, y_pt=mark.y_pt + dy_pt)
        case Rule() | Bow():
            return replace(mark, start=point(mark.start), end=point(mark.end))
        case Shape():
            return replace(mark, corners=tuple(point(corner) for corner in mark.corners))
        case Oval():
            return replace(mark, centre=point(mark.centre))
        case Blank() | Jump():
            return replace(mark, box=box(mark.box))
