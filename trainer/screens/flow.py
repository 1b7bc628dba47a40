"""Headings with rows under them, set in columns over as many pages as they need.

A row leads with a name or a drawn sample, and its words are wrapped. Lengths are at unit 1 where they say `at unit 1`,
so that a page holds less when the text is larger, and nothing is ever cut off.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.screens.paint import Fonts
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text

LINE_SHARE = 2.2
"""From one line of text to the next, over the height of its capitals."""
GAP_PX = 28.0
"""Between a name and its words, and between columns, at unit 1."""
SHARES = (0.9, 0.8, 0.7, 0.6, 0.5)
"""Of the height of a page, tried in turn when its columns are made even."""
NARROWEST_EM = 34
"""A column is at least as wide as this many letters m."""

Sample = Callable[[float, float], list[Glyph]]
"""Draws something whose middle stands at x, y."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A sample, and the room it takes at unit 1."""

    draw: Sample
    width_px: float
    height_px: float


@dataclass(frozen=True, slots=True)
class Row:
    """A name or a sample, and what it means."""

    lead: str | Drawn
    words: str


@dataclass(frozen=True, slots=True)
class Block:
    """Rows under a heading; no heading when it is empty."""

    heading: str
    rows: Sequence[Row]


def flowed(blocks: Sequence[Block], area: Rect, fonts: Fonts, unit: float) -> tuple[list[Glyph], ...]:
    """The fewest pages, each as wide and high as `area`, with columns of about one height.

    A block that fits into a column is not broken; a heading stands with its first row.
    """
    pages = _filled(blocks, area, fonts, unit)
    for share in SHARES:
        lower = area._replace(bottom_px=area.top_px + share * (area.bottom_px - area.top_px))
        evener = _filled(blocks, lower, fonts, unit)
        if len(evener) > len(pages):
            break
        pages = evener
    return pages


def _filled(blocks: Sequence[Block], area: Rect, fonts: Fonts, unit: float) -> tuple[list[Glyph], ...]:
    width_px = area.right_px - area.left_px
    columns = max(1, min(2, int(width_px / (NARROWEST_EM * fonts.width_px("m", Size.SMALL)))))
    column_px = (width_px - (columns - 1) * GAP_PX * unit) / columns
    line_px = LINE_SHARE * fonts.cap_px(Size.SMALL)
    places: list[list[Glyph]] = [[]]
    y_px = area.top_px
    for block in blocks:
        lead_px = max(_lead_px(row.lead, fonts, unit) for row in block.rows) + GAP_PX * unit
        lines = [fonts.wrapped(row.words, Size.SMALL, column_px - lead_px) for row in block.rows]
        heights_px = [_height_px(row, len(words), line_px, unit) for row, words in zip(block.rows, lines, strict=True)]
        heading_px = line_px * 1.15 if block.heading else 0.0
        if places[-1]:
            y_px += 0.8 * line_px
        whole_px = heading_px + sum(heights_px)
        if places[-1] and y_px + whole_px > area.bottom_px and whole_px <= area.bottom_px - area.top_px:
            places.append([])
            y_px = area.top_px
        for number, (row, words, height_px) in enumerate(zip(block.rows, lines, heights_px, strict=True)):
            above_px = 0.0 if number else heading_px
            if places[-1] and y_px + above_px + height_px > area.bottom_px:
                places.append([])
                y_px = area.top_px
            if above_px:
                middle_px = y_px + line_px / 2
                places[-1].append(Text(0, middle_px, block.heading, Size.SMALL, Ink.MUTED, Anchor.LEFT))
                y_px += above_px
            places[-1] += _row(row.lead, words, lead_px, y_px, height_px, line_px)
            y_px += height_px
    return tuple(
        [
            glyph.moved(area.left_px + place * (column_px + GAP_PX * unit))
            for place, column in enumerate(places[first : first + columns])
            for glyph in column
        ]
        for first in range(0, len(places), columns)
    )


def _height_px(row: Row, lines: int, line_px: float, unit: float) -> float:
    """A row of several lines stands a little apart."""
    words_px = lines * line_px + (0.3 * line_px if lines > 1 else 0)
    return max(words_px, row.lead.height_px * unit) if isinstance(row.lead, Drawn) else words_px


def _lead_px(lead: str | Drawn, fonts: Fonts, unit: float) -> float:
    return fonts.width_px(lead, Size.SMALL) if isinstance(lead, str) else lead.width_px * unit


def _row(
    lead: str | Drawn, lines: Sequence[str], lead_px: float, top_px: float, height_px: float, line_px: float
) -> list[Glyph]:
    """One row in a column that begins at 0; a sample stands before the middle of its words."""
    text_px = top_px + (height_px - len(lines) * line_px) / 2 + line_px / 2
    glyphs: list[Glyph] = [
        Text(lead_px, text_px + number * line_px, line, Size.SMALL, Ink.INK, Anchor.LEFT)
        for number, line in enumerate(lines)
    ]
    if isinstance(lead, str):
        return [Text(0, text_px, lead, Size.SMALL, Ink.INK, Anchor.LEFT), *glyphs]
    return [*lead.draw(lead_px / 2, top_px + height_px / 2), *glyphs]
