"""The marks that pictures are made of.

Conventions: pixels, x to the right, y down; `y_px` of a text is the middle of its capitals. An ink and a size are
roles, what they look like is decided by whoever paints. A mark is light while what it says may still be revised.
"""

from dataclasses import dataclass, replace
from enum import Enum
from typing import NamedTuple, Protocol


class Ink(Enum):
    """What a colour stands for. Every one that judges goes with a shape of its own."""

    GROUND = "ground"
    CHOSEN = "chosen"
    """The ground of what is chosen."""
    INK = "ink"
    MUTED = "muted"
    LINE = "line"
    FAINT = "faint"
    BAND = "band"
    NOW = "now"
    AS_WRITTEN = "as written"
    SLIP = "slip"
    MISSED = "missed"
    GHOST = "ghost"
    """An earlier pass that is played against."""


class Size(Enum):
    """What a text size stands for."""

    TITLE = "title"
    HEAD = "head"
    BODY = "body"
    SMALL = "small"
    FRET = "fret"
    COUNT_IN = "count-in"


class Anchor(Enum):
    """Which part of a text stands at its x."""

    LEFT = "left"
    MIDDLE = "middle"
    RIGHT = "right"


class Rect(NamedTuple):
    """A rectangle."""

    left_px: float
    top_px: float
    right_px: float
    bottom_px: float

    def overlaps(self, other: "Rect") -> bool:
        """Whether the two share more than an edge."""
        return (
            self.left_px < other.right_px
            and other.left_px < self.right_px
            and self.top_px < other.bottom_px
            and other.top_px < self.bottom_px
        )

    def holds(self, x_px: float, y_px: float) -> bool:
        """Whether a place lies within, edges included."""
        return self.left_px <= x_px <= self.right_px and self.top_px <= y_px <= self.bottom_px

    def contains(self, other: "Rect") -> bool:
        """Whether the other lies within, edges included."""
        return (
            self.left_px <= other.left_px
            and other.right_px <= self.right_px
            and self.top_px <= other.top_px
            and other.bottom_px <= self.bottom_px
        )


class TextMetrics(Protocol):
    """How large a text comes out."""

    def width_px(self, text: str, size: Size) -> float:
        """The width of a text."""
        ...

    def cap_px(self, size: Size) -> float:
        """The height of its capitals and figures."""
        ...


@dataclass(frozen=True, slots=True)
class Text:
    """A word or a figure."""

    x_px: float
    y_px: float
    text: str
    size: Size
    ink: Ink
    anchor: Anchor = Anchor.MIDDLE
    on_ground: bool = False
    """Clears what lies behind it, as a fret number interrupts its string."""
    light: bool = False

    def bounds(self, metrics: TextMetrics) -> Rect:
        """Where its capitals lie."""
        width_px = metrics.width_px(self.text, self.size)
        half_px = metrics.cap_px(self.size) / 2
        share = {Anchor.LEFT: 0.0, Anchor.MIDDLE: 0.5, Anchor.RIGHT: 1.0}[self.anchor]
        left_px = self.x_px - share * width_px
        return Rect(left_px, self.y_px - half_px, left_px + width_px, self.y_px + half_px)

    def moved(self, dx_px: float) -> "Text":
        """The same further to the right."""
        return replace(self, x_px=self.x_px + dx_px)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke; broken in two when `gap_px` > 0, its halves offset; dashed when `dash_px` > 0."""

    x1_px: float
    y1_px: float
    x2_px: float
    y2_px: float
    width_px: float
    ink: Ink
    dash_px: float = 0.0
    gap_px: float = 0.0
    light: bool = False

    def moved(self, dx_px: float) -> "Line":
        """The same further to the right."""
        return replace(self, x1_px=self.x1_px + dx_px, x2_px=self.x2_px + dx_px)


@dataclass(frozen=True, slots=True)
class Arc:
    """A slur from left to right over `y_px`, `height_px` high; dashed and broken as a line is."""

    x1_px: float
    x2_px: float
    y_px: float
    height_px: float
    width_px: float
    ink: Ink
    dash_px: float = 0.0
    gap_px: float = 0.0
    light: bool = False

    def moved(self, dx_px: float) -> "Arc":
        """The same further to the right."""
        return replace(self, x1_px=self.x1_px + dx_px, x2_px=self.x2_px + dx_px)


@dataclass(frozen=True, slots=True)
class Dot:
    """A disc, or a ring when it is not filled."""

    x_px: float
    y_px: float
    radius_px: float
    ink: Ink
    width_px: float = 0.0
    """Width of the ring; 0 = filled."""
    light: bool = False

    def moved(self, dx_px: float) -> "Dot":
        """The same further to the right."""
        return replace(self, x_px=self.x_px + dx_px)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle with round corners, filled, or outlined on ground when `width_px` > 0."""

    left_px: float
    top_px: float
    right_px: float
    bottom_px: float
    radius_px: float
    ink: Ink
    width_px: float = 0.0
    light: bool = False

    def moved(self, dx_px: float) -> "Box":
        """The same further to the right."""
        return replace(self, left_px=self.left_px + dx_px, right_px=self.right_px + dx_px)


@dataclass(frozen=True, slots=True)
class Arrow:
    """A straight stroke with a head at its second end."""

    x1_px: float
    y1_px: float
    x2_px: float
    y2_px: float
    width_px: float
    head_px: float
    ink: Ink
    light: bool = False

    def moved(self, dx_px: float) -> "Arrow":
        """The same further to the right."""
        return replace(self, x1_px=self.x1_px + dx_px, x2_px=self.x2_px + dx_px)


@dataclass(frozen=True, slots=True)
class Cross:
    """Two crossing strokes."""

    x_px: float
    y_px: float
    half_width_px: float
    half_height_px: float
    width_px: float
    ink: Ink
    light: bool = False

    def moved(self, dx_px: float) -> "Cross":
        """The same further to the right."""
        return replace(self, x_px=self.x_px + dx_px)


@dataclass(frozen=True, slots=True)
class Wedge:
    """A filled triangle; its point is the first corner."""

    corners: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
    ink: Ink
    light: bool = False

    def moved(self, dx_px: float) -> "Wedge":
        """The same further to the right."""
        one, two, three = ((x_px + dx_px, y_px) for x_px, y_px in self.corners)
        return replace(self, corners=(one, two, three))


Glyph = Text | Line | Arc | Dot | Box | Arrow | Cross | Wedge
