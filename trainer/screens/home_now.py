"""What to do now, in a strip over the list of exercises: to go on with the line played last, and the day's plan.

Each has a field of its own, with the key that does it, and is pressed as a whole. The strip is always there, so that
nothing moves when its words come a moment later.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.screens.paint import Fonts
from trainer.screens.screen import Command, Target
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text

STRIP_PX = 96.0
"""How much lower the list begins for it, at unit 1."""
FIELD_TOP_PX, FIELD_BOTTOM_PX, INSET_PX = 20.0, 98.0, 16.0
HEADING_PX, WORDS_PX, GAP_PX = 40.0, 76.0, 10.0


@dataclass(frozen=True, slots=True)
class Ahead:
    """One thing to do now."""

    key: str
    """The name of the key that does it; empty while there is nothing to do."""
    heading: str
    words: str
    command: Command


def field_areas(width_px: float, unit: float) -> tuple[Rect, Rect]:
    """Where the two fields lie: over the list, and over what is chosen in it."""
    top_px, bottom_px, middle_px = FIELD_TOP_PX * unit, FIELD_BOTTOM_PX * unit, width_px * 0.5
    return (
        Rect(32 * unit, top_px, middle_px - 16 * unit, bottom_px),
        Rect(middle_px + 16 * unit, top_px, width_px - 32 * unit, bottom_px),
    )


def strip_glyphs(ahead: Sequence[Ahead], width_px: float, fonts: Fonts, unit: float) -> list[Glyph]:
    """The words in the fields; of what does not fit into one the end is left out."""
    glyphs: list[Glyph] = []
    for one, area in zip(ahead, field_areas(width_px, unit), strict=False):
        left_px, room_px = area.left_px + INSET_PX * unit, area.right_px - area.left_px - 2 * INSET_PX * unit
        heading_px = left_px + (fonts.width_px(one.key, Size.SMALL) + GAP_PX * unit if one.key else 0.0)
        words = fonts.elided(one.words, Size.BODY, room_px)
        glyphs += [
            Text(left_px, HEADING_PX * unit, one.key, Size.SMALL, Ink.INK, Anchor.LEFT),
            Text(heading_px, HEADING_PX * unit, one.heading, Size.SMALL, Ink.MUTED, Anchor.LEFT),
            Text(left_px, WORDS_PX * unit, words, Size.BODY, Ink.INK, Anchor.LEFT),
        ]
    return [glyph for glyph in glyphs if not isinstance(glyph, Text) or glyph.text]


def strip_targets(ahead: Sequence[Ahead], width_px: float, unit: float) -> list[Target]:
    """Where each can be pressed."""
    areas = field_areas(width_px, unit)
    return [Target(area, one.command) for one, area in zip(ahead, areas, strict=False) if one.key]
