"""Rests as shapes: whole to 256th, with their dots.

The shapes are those of common notation, drawn from strokes, discs and boxes. A rest is `REST_HEIGHT_PX` high at unit 1
and stands around a middle line, as far up as down.
"""

from collections.abc import Iterator
from itertools import pairwise

from trainer.score.note_values import LONGEST_VALUE, NoteValue
from trainer.tablature.glyphs import Box, Dot, Glyph, Ink, Line

REST_HEIGHT_PX = 24.0
REST_ACROSS_PX = 11.0
"""How far the widest rest reaches to each side, at unit 1."""

INK = Ink.MUTED
WHOLE = NoteValue(LONGEST_VALUE)
"""Also the sign of a bar without a note, whatever its meter."""

_ZIGZAG = ((-3.0, -12.0), (3.0, -5.0), (-2.5, 1.0), (3.5, 7.0), (-3.0, 6.0), (1.0, 12.0))
_WEIGHTS = (2.0, 4.0, 2.0, 3.0, 2.0)


def rest_glyphs(value: NoteValue, x_px: float, middle_px: float, unit: float) -> Iterator[Glyph]:
    """The sign of a rest, its middle at `x_px`."""
    plain = value.plain_quarters
    if plain >= 2:
        yield from _hanging_or_sitting(x_px, middle_px, unit, is_whole=plain >= LONGEST_VALUE)
    elif plain == 1:
        corners = [(x_px + dx * unit, middle_px + dy * unit) for dx, dy in _ZIGZAG]
        for weight, (start, end) in zip(_WEIGHTS, pairwise(corners), strict=True):
            yield Line(*start, *end, weight * unit, INK)
    else:
        yield from _flagged(value.flags, x_px, middle_px, unit)
    for dot in range(value.dots):
        yield Dot(x_px + (13 + 7 * dot) * unit, middle_px - 3 * unit, 2.5 * unit, INK)


def _hanging_or_sitting(x_px: float, middle_px: float, unit: float, *, is_whole: bool) -> Iterator[Glyph]:
    """A whole rest hangs from its line, a half rest sits on it."""
    across_px, half_px, height_px = REST_ACROSS_PX * unit, 7 * unit, 7 * unit
    top_px = middle_px if is_whole else middle_px - height_px
    yield Line(x_px - across_px, middle_px, x_px + across_px, middle_px, 2 * unit, INK)
    yield Box(x_px - half_px, top_px, x_px + half_px, top_px + height_px, 0, INK)


def _flagged(flags: int, x_px: float, middle_px: float, unit: float) -> Iterator[Glyph]:
    """A slanted stem with a disc and a hook for each flag; the more flags, the taller."""
    step = min(6.0, REST_HEIGHT_PX / (flags + 1))
    height = min(REST_HEIGHT_PX, 17 + step * (flags - 1))
    foot_x, foot_y, head_x, head_y = -2.0, height / 2, 5.0, -height / 2
    yield Line(
        x_px + foot_x * unit, middle_px + foot_y * unit, x_px + head_x * unit, middle_px + head_y * unit, 2 * unit, INK
    )
    for flag in range(flags):
        y = head_y + step * flag
        stem_x = head_x + (foot_x - head_x) * (y - head_y) / (foot_y - head_y)
        disc_x, disc_y = stem_x - 7.5, y + 1.5
        yield Dot(x_px + disc_x * unit, middle_px + disc_y * unit, 2.8 * unit, INK)
        for (x1, y1), (x2, y2) in pairwise(((disc_x, disc_y + 1.5), (stem_x - 3, y + 2.6), (stem_x, y))):
            yield Line(
                x_px + x1 * unit, middle_px + y1 * unit, x_px + x2 * unit, middle_px + y2 * unit, 1.8 * unit, INK
            )
