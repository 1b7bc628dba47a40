"""Stems and beams under the staff, tuplet figures, strokes, accents and the count.

The number of beams follows from a note's length alone: an n-let is written with the beams of the next shorter power of
two (five in a quarter have two beams, three have one), which is the rule of common notation.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby
from math import lcm

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Dot, Glyph, Ink, Line, Size, Text, Wedge
from trainer.tablature.layout import TimeLayout
from trainer.theory.technique import Stroke


def odd_part(number: int) -> int:
    """What is left of a positive number when all twos are divided out."""
    while number % 2 == 0:
        number //= 2
    return number


def beams_of(duration_quarters: Fraction) -> int:
    """How many beams a note of this length has: 0 for a quarter or longer.

    >>> [beams_of(Fraction(1, n)) for n in (1, 2, 3, 4, 5, 6, 7, 8)]
    [0, 1, 1, 2, 2, 2, 2, 3]
    """
    tuplet = odd_part(duration_quarters.denominator)
    written = duration_quarters * tuplet / 2 ** (tuplet.bit_length() - 1)
    beams = 0
    while written < 1 and beams < 5:
        written *= 2
        beams += 1
    return beams


def tuplet_of(beat: Sequence[ScoreNote]) -> int | None:
    """The figure over the notes of a beat, None when their lengths are plain."""
    denominator = lcm(*(note.duration_quarters.denominator for note in beat))
    if odd_part(denominator) == 1:
        return None
    whole = sum(note.duration_quarters for note in beat)
    return (
        int(denominator * whole)
        if len(beat) * max(n.duration_quarters for n in beat) == whole
        else odd_part(denominator)
    )


def beats_of(exercise: Exercise) -> tuple[tuple[ScoreNote, ...], ...]:
    """The notes beat by beat, one note for each moment; beats without notes are left out."""
    unit = max(exercise.meter.beat_quarters, Fraction(1, 2))
    moments = {note.onset_quarters: note for note in reversed(exercise.notes)}
    in_order = [moments[onset] for onset in sorted(moments)]
    return tuple(tuple(beat) for _, beat in groupby(in_order, key=lambda note: note.onset_quarters // unit))


def beam_glyphs(beat: Sequence[ScoreNote], axis: TimeAxis, layout: TimeLayout) -> tuple[Glyph, ...]:
    """Stems, beams, dots and the tuplet figure of one beat."""
    unit, y_px = layout.unit, layout.beam_y_px
    beams = [beams_of(note.duration_quarters) for note in beat]
    xs = [axis.x_px(note.onset_quarters) for note in beat]
    glyphs: list[Glyph] = []
    for note, x_px, count in zip(beat, xs, beams, strict=True):
        if note.duration_quarters < 4:
            is_long = note.duration_quarters >= 2
            glyphs.append(Line(x_px, y_px - (10 if is_long else 19) * unit, x_px, y_px, 2 * unit, Ink.LINE))
        if _is_dotted(note.duration_quarters):
            glyphs.append(Dot(x_px + 8 * unit, y_px - 14 * unit, 2.5 * unit, Ink.MUTED))
        if count and len(beat) == 1:
            glyphs.extend(_beam(x_px, x_px + 12 * unit, y_px, level, unit) for level in range(count))
    for level in range(max(beams)):
        for reaches, run in groupby(range(len(beat)), key=[count > level for count in beams].__getitem__):
            members = list(run)
            first, last = members[0], members[-1]
            stub_px = 0.0 if last > first or len(beat) == 1 else (-12 * unit if first else 12 * unit)
            if reaches and len(beat) > 1:
                glyphs.append(_beam(xs[first], xs[last] + stub_px, y_px, level, unit))
    tuplet = tuplet_of(beat)
    if tuplet is not None and len(beat) > 1:
        glyphs.append(Text((xs[0] + xs[-1]) / 2, y_px + 1 * unit, str(tuplet), Size.SMALL, Ink.MUTED, on_ground=True))
    return tuple(glyphs)


def _beam(x1_px: float, x2_px: float, y_px: float, level: int, unit: float) -> Line:
    return Line(
        min(x1_px, x2_px), y_px - 7 * level * unit, max(x1_px, x2_px), y_px - 7 * level * unit, 4 * unit, Ink.LINE
    )


def _is_dotted(duration_quarters: Fraction) -> bool:
    return duration_quarters.numerator == 3 and odd_part(duration_quarters.denominator) == 1


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


def count_glyph(word: str, note: ScoreNote, x_px: float, meter: Meter, layout: TimeLayout) -> Text:
    """The count under a note; the beat itself stands out."""
    is_beat = (note.onset_quarters / meter.beat_quarters).denominator == 1
    return Text(x_px, layout.count_y_px, word, Size.BODY, Ink.INK if is_beat else Ink.MUTED, on_ground=True)


def now_glyphs(layout: TimeLayout) -> tuple[Glyph, ...]:
    """The upright line that marks now, through staff and trace."""
    unit, x_px = layout.unit, layout.now_x_px
    top_px = layout.bracket_y_px - 3 * unit
    bottom_px = layout.trace.zero_px + layout.trace.reach_px + 24 * unit
    return (
        Line(x_px, top_px + 8 * unit, x_px, bottom_px, 3 * unit, Ink.NOW),
        Wedge(((x_px, top_px + 17 * unit), (x_px - 11 * unit, top_px), (x_px + 11 * unit, top_px)), Ink.NOW),
    )
