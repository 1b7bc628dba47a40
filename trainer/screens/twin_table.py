"""Twins side by side: a row for each with the figures of its last take, the same on the list and on the result."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Protocol

from trainer.score.exercise import Exercise
from trainer.tablature.figures import TakeFigures
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text, TextMetrics

ROW_PX = 33.0
BRIEF: Mapping[str, float] = {"as written": 0.305, "spread": 0.46, "tempo": 0.575, "played": 0.68, "by": 0.85}
WHOLE: Mapping[str, float] = {
    "as written": 0.24,
    "bias": 0.34,
    "spread": 0.42,
    "techniques": 0.5,
    "tempo": 0.66,
    "pace": 0.74,
    "played": 0.83,
    "by": 0.93,
}
"""Heading -> where its column begins, as a share of the width; brief beside a list, whole over the whole width."""
NONE_KEPT = "no take kept yet"


@dataclass(slots=True)
class Comparison:
    """An exercise and its twins with the figures of their last takes, which are worked out one after the other.

    `figures(name)` reads and judges a take, which takes long for a frame: `go_on` does it for one line a frame.
    """

    lines: Sequence[Exercise]
    figures: Callable[[str], TakeFigures | None]
    known: dict[str, TakeFigures | None] = field(default_factory=dict)

    def go_on(self) -> bool:
        """Work out one more; whether there was one."""
        waiting = next((line.name for line in self.lines if line.name not in self.known), None)
        if waiting is None:
            return False
        self.known[waiting] = self.figures(waiting)
        return True


def table_glyphs(
    comparison: Comparison, selected: str, area: Rect, columns: Mapping[str, float], metrics: "Fitting", unit: float
) -> list[Glyph]:
    """The table from the top of an area on; the line called `selected` in the ink of what is chosen."""
    width_px = area.right_px - area.left_px
    columns = _that_fit(columns, comparison, width_px, metrics, unit)
    first_px = area.left_px + min(columns.values()) * width_px - 20 * unit
    glyphs: list[Glyph] = [
        Text(area.left_px, area.top_px, "twins, last takes", Size.SMALL, Ink.MUTED, Anchor.LEFT),
        *(
            Text(area.left_px + share * width_px, area.top_px, heading, Size.SMALL, Ink.MUTED, Anchor.LEFT)
            for heading, share in columns.items()
        ),
    ]
    for number, line in enumerate(comparison.lines, start=1):
        y_px = area.top_px + number * ROW_PX * unit
        ink = Ink.NOW if line.name == selected else Ink.INK
        title = metrics.elided(line.title, Size.SMALL, first_px - area.left_px)
        glyphs.append(Text(area.left_px, y_px, title, Size.SMALL, ink, Anchor.LEFT))
        if line.name not in comparison.known:
            continue
        figures = comparison.known[line.name]
        words = {next(iter(columns)): NONE_KEPT} if figures is None else figures.words
        starts = [*columns.items(), ("", 1.0)]
        for (heading, share), (_, end) in pairwise(starts):
            room_px = (end - share) * width_px - (0 if end == 1.0 else 12 * unit)
            said = words.get(heading, "")
            if figures is None:
                room_px = width_px
            if said:
                shown = metrics.elided(said, Size.SMALL, room_px)
                ink = Ink.MUTED if figures is None else Ink.INK
                glyphs.append(Text(area.left_px + share * width_px, y_px, shown, Size.SMALL, ink, Anchor.LEFT))
    return glyphs


def _that_fit(
    columns: Mapping[str, float], comparison: Comparison, width_px: float, metrics: TextMetrics, unit: float
) -> Mapping[str, float]:
    """Without the last columns, as long as a figure has no room in its own; those that stay share the room."""
    known = [figures.words for figures in comparison.known.values() if figures is not None]
    shares = dict(columns)

    def is_cut(heading: str, share: float, end: float) -> bool:
        room_px = (end - share) * width_px - (0 if end == 1.0 else 12 * unit)
        said = [heading, *(words.get(heading, "") for words in known)]
        return max(metrics.width_px(words, Size.SMALL) for words in said) > room_px

    while len(shares) > 2 and any(is_cut(*one, end) for one, (_, end) in pairwise([*shares.items(), ("", 1.0)])):
        first, (_, end) = min(shares.values()), shares.popitem()
        shares = {name: first + (share - first) * (1 - first) / (end - first) for name, share in shares.items()}
    return shares


def table_height_px(comparison: Comparison, unit: float) -> float:
    """How high the table is."""
    return (len(comparison.lines) + 1) * ROW_PX * unit


class Fitting(TextMetrics, Protocol):
    """Metrics that can also cut a text to a room."""

    def elided(self, text: str, size: Size, room_px: float) -> str:
        """The text, cut and ended with an ellipsis when it does not fit."""
        ...
