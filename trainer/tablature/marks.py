"""Strokes, fingers, accents and the count of a line, and the mark of now."""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from trainer.score.exercise import ScoreNote
from trainer.score.meter import Meter
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Glyph, Ink, Line, Size, Text, TextMetrics, Wedge
from trainer.tablature.layout import TimeLayout
from trainer.theory.technique import Stroke


def mark_glyphs(moment: Sequence[ScoreNote], x_px: float, layout: TimeLayout) -> tuple[Glyph, ...]:
    """The accent above the staff; the prescribed stroke and the fingers below it, those of a chord side by side."""
    unit = layout.unit
    glyphs: list[Glyph] = []
    if any(note.accent for note in moment):
        glyphs += accent_sign(x_px, layout.staff.top_px - 38 * unit, unit)
    strokes = [note.stroke for note in moment if note.stroke is not None]
    if strokes:
        glyphs += stroke_sign(strokes[0], x_px, layout.strokes_y_px, unit)
    fingers = dict.fromkeys(str(note.finger) for note in moment if note.finger is not None)
    if fingers:
        glyphs.append(Text(x_px, layout.fingers_y_px, " ".join(fingers), Size.SMALL, Ink.MUTED, on_ground=True))
    return tuple(glyphs)


def accent_sign(x_px: float, y_px: float, unit: float) -> list[Glyph]:
    """The wedge of common notation, open to the left."""
    left_px, right_px = x_px - 9 * unit, x_px + 9 * unit
    return [
        Line(left_px, y_px - 6 * unit, right_px, y_px, 2.5 * unit, Ink.INK),
        Line(left_px, y_px + 6 * unit, right_px, y_px, 2.5 * unit, Ink.INK),
    ]


def stroke_sign(stroke: Stroke, x_px: float, y_px: float, unit: float) -> list[Glyph]:
    """The signs of common notation: a bracket open below for down, a wedge for up."""
    half_px, height_px, width_px = 6 * unit, 7 * unit, 2 * unit
    left_px, right_px, top_px, bottom_px = x_px - half_px, x_px + half_px, y_px - height_px, y_px + height_px
    if stroke is Stroke.DOWN:
        return [
            Line(left_px, top_px + width_px, right_px, top_px + width_px, 2 * width_px, Ink.MUTED),
            Line(left_px, top_px, left_px, bottom_px, width_px, Ink.MUTED),
            Line(right_px, top_px, right_px, bottom_px, width_px, Ink.MUTED),
        ]
    return [
        Line(left_px, top_px, x_px, bottom_px, width_px, Ink.MUTED),
        Line(right_px, top_px, x_px, bottom_px, width_px, Ink.MUTED),
    ]


def count_glyphs(
    words: Mapping[Fraction, str], meter: Meter, axis: TimeAxis, layout: TimeLayout, metrics: TextMetrics
) -> Iterator[Text]:
    """The count under the line; a beat that has a note stands out, one that has none is left out where it is tight."""
    seen = list(words)
    for at, (moment, word) in enumerate(words.items()):
        is_silent = word.startswith("(")
        ink = Ink.INK if not is_silent and (moment / meter.beat_quarters).denominator == 1 else Ink.MUTED
        glyph = Text(axis.x_px(moment), layout.count_y_px, word, Size.BODY, ink, on_ground=True)
        near = [*seen[max(0, at - 1) : at], *seen[at + 1 : at + 2]]
        if not is_silent or all(_are_clear(moment, word, one, words[one], axis, layout, metrics) for one in near):
            yield glyph


def _are_clear(
    moment: Fraction,
    word: str,
    near: Fraction,
    near_word: str,
    axis: TimeAxis,
    layout: TimeLayout,
    metrics: TextMetrics,
) -> bool:
    widths_px = metrics.width_px(word, Size.BODY) + metrics.width_px(near_word, Size.BODY)
    return axis.x_px(abs(near - moment)) >= widths_px / 2 + 10 * layout.unit


def now_glyphs(layout: TimeLayout) -> tuple[Glyph, ...]:
    """The upright line that marks now, through staff and trace."""
    unit, x_px = layout.unit, layout.now_x_px
    top_px = layout.bracket_y_px - 3 * unit
    bottom_px = layout.trace.zero_px + layout.trace.reach_px + 24 * unit
    return (
        Line(x_px, top_px + 8 * unit, x_px, bottom_px, 3 * unit, Ink.NOW),
        Wedge(((x_px, top_px + 17 * unit), (x_px - 11 * unit, top_px), (x_px + 11 * unit, top_px)), Ink.NOW),
    )
