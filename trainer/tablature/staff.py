"""The staff: fret numbers, slides and slurs, and how each of them turned out.

The verdict of a note has a shape of its own: a bar under a number that was played as written, a box with what was
played instead, a ring on the string it was played on, a cross over a note that was missed. The stroke of a slide and
the slur of a hammer-on or pull-off are thin while to come, thick when heard as written, broken when picked again,
dotted when the pickup does not tell.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from trainer.following.verdict import Match, Missed, Slip, TechniqueResult, TechniqueVerdict, WrongNote
from trainer.score.exercise import ScoreNote
from trainer.tablature.axis import TimeAxis
from trainer.tablature.columns import OPEN_JOIN_PX, grace_px
from trainer.tablature.glyphs import Arc, Box, Cross, Dot, Glyph, Ink, Line, Rect, Size, Text, TextMetrics
from trainer.tablature.layout import StaffPlace
from trainer.tablature.state import NoteState
from trainer.theory.technique import Technique

SLUR_LETTERS = {Technique.HAMMER: "h", Technique.PULL: "p"}
"""The letters of the trade over a slur."""


@dataclass(frozen=True, slots=True)
class JoinStyle:
    """How a slide or a slur is drawn."""

    ink: Ink
    width_px: float
    dash_px: float = 0.0
    gap_px: float = 0.0


def staff_lines(place: StaffPlace, used: Sequence[int], left_px: float, right_px: float) -> tuple[Line, ...]:
    """The strings; those that the line does not use are fainter."""
    return tuple(
        Line(left_px, y_px, right_px, y_px, 2 * place.unit, Ink.LINE if course in used else Ink.FAINT)
        for course in range(1, place.strings + 1)
        for y_px in (place.string_y_px(course),)
    )


def bar_lines(xs_px: Iterable[float], place: StaffPlace) -> tuple[Line, ...]:
    """The lines between bars."""
    return tuple(Line(x_px, place.top_px, x_px, place.bottom_px, 2 * place.unit, Ink.FAINT) for x_px in xs_px)


def source_index(notes: Sequence[ScoreNote], index: int) -> int | None:
    """The note that a slide or slur starts from: the one before on its string; None for a picked or a grace note."""
    note = notes[index]
    if note.technique is Technique.PICK or note.slide_from is not None:
        return None
    for earlier in range(index - 1, max(-1, index - 9), -1):
        if notes[earlier].course == note.course and notes[earlier].onset_quarters < note.onset_quarters:
            return earlier
    return None


def join_style(technique: TechniqueVerdict | None, unit: float) -> JoinStyle:
    """How the stroke into a note is drawn, by what was heard."""
    match technique.result if technique is not None else None:
        case None:
            return JoinStyle(Ink.MUTED, 2 * unit)
        case TechniqueResult.AS_WRITTEN:
            return JoinStyle(Ink.AS_WRITTEN, 5 * unit)
        case TechniqueResult.OTHERWISE:
            return JoinStyle(Ink.SLIP, 4 * unit, gap_px=7 * unit)
        case TechniqueResult.NOT_MEASURABLE:
            return JoinStyle(Ink.MUTED, 2.5 * unit, dash_px=5 * unit)


def join_glyphs(
    note: ScoreNote, source: ScoreNote | None, axis: TimeAxis, place: StaffPlace, style: JoinStyle, metrics: TextMetrics
) -> tuple[Glyph, ...]:
    """The slide or slur into a note, and the grace note that it starts from."""
    if note.technique is Technique.PICK:
        return ()
    x_px, y_px = axis.x_px(note.onset_quarters), place.string_y_px(note.course)
    half_px = metrics.width_px(str(note.fret), Size.FRET) / 2
    if note.technique is Technique.SLIDE:
        return _slide_glyphs(note, source, axis, place, style, metrics)
    from_px = axis.x_px(source.onset_quarters) if source is not None else x_px - half_px - OPEN_JOIN_PX * place.unit
    lift_px = metrics.cap_px(Size.FRET) / 2 + 4 * place.unit
    arc = Arc(from_px, x_px, y_px - lift_px, 9 * place.unit, style.width_px, style.ink, style.dash_px, style.gap_px)
    above_px = (metrics.cap_px(Size.FRET) + metrics.cap_px(Size.SMALL)) / 2 + 2 * place.unit
    letter_y_px = y_px - max(lift_px + 9 * place.unit, above_px)
    letter = Text(
        (from_px + x_px) / 2, letter_y_px, SLUR_LETTERS[note.technique], Size.SMALL, style.ink, on_ground=True
    )
    return (arc, letter)


def _slide_glyphs(
    note: ScoreNote, source: ScoreNote | None, axis: TimeAxis, place: StaffPlace, style: JoinStyle, metrics: TextMetrics
) -> tuple[Glyph, ...]:
    x_px, y_px = axis.x_px(note.onset_quarters), place.string_y_px(note.course)
    end_px = x_px - metrics.width_px(str(note.fret), Size.FRET) / 2 - 4 * place.unit
    glyphs: list[Glyph] = []
    if note.slide_from is not None:
        from_fret = note.slide_from.fret
        grace = str(from_fret)
        grace_width_px = metrics.width_px(grace, Size.SMALL)
        start_px = end_px + 4 * place.unit - grace_px(from_fret, metrics, place.unit) + grace_width_px + 4 * place.unit
        middle_px = start_px - 4 * place.unit - grace_width_px / 2
        glyphs.append(Text(middle_px, y_px, grace, Size.SMALL, Ink.INK, on_ground=True))
    elif source is not None:
        from_fret = source.fret
        source_half_px = metrics.width_px(str(source.fret), Size.FRET) / 2
        start_px = axis.x_px(source.onset_quarters) + source_half_px + 4 * place.unit
    else:
        from_fret, start_px = 0, end_px - OPEN_JOIN_PX * place.unit
    rise_px = 10 * place.unit * (1 if note.fret >= from_fret else -1)
    stroke = Line(
        start_px, y_px + rise_px, end_px, y_px - rise_px, style.width_px, style.ink, style.dash_px, style.gap_px
    )
    clearing = Box(start_px, y_px - 3 * place.unit, end_px, y_px + 3 * place.unit, 0, Ink.GROUND)
    return (*glyphs, clearing, stroke)


def number_glyphs(
    note: ScoreNote, state: NoteState, x_px: float, place: StaffPlace, metrics: TextMetrics
) -> tuple[Glyph, ...]:
    """A fret number and what became of it."""
    y_px = place.string_y_px(note.course)
    light = state.verdict is not None and not state.is_settled
    text = str(note.fret)
    half_px = metrics.width_px(text, Size.FRET) / 2
    cap_half_px = metrics.cap_px(Size.FRET) / 2
    unit = place.unit
    match state.verdict:
        case None:
            return (Text(x_px, y_px, text, Size.FRET, Ink.INK, on_ground=True),)
        case Match():
            bar_px = y_px + cap_half_px + 7 * unit
            return (
                Text(x_px, y_px, text, Size.FRET, Ink.INK, on_ground=True),
                Box(
                    x_px - half_px,
                    bar_px - 2 * unit,
                    x_px + half_px,
                    bar_px + 2 * unit,
                    2 * unit,
                    Ink.AS_WRITTEN,
                    light=light,
                ),
            )
        case WrongNote(slip=slip):
            return (
                Text(x_px, y_px, text, Size.FRET, Ink.MUTED, on_ground=True),
                *_instead(state, slip, x_px, note, place, metrics, light=light),
            )
        case Missed():
            return (
                Text(x_px, y_px, text, Size.FRET, Ink.MUTED, on_ground=True),
                Cross(x_px, y_px, half_px + 5 * unit, cap_half_px + 5 * unit, 3 * unit, Ink.MISSED, light=light),
            )


def _instead(
    state: NoteState, slip: Slip, x_px: float, note: ScoreNote, place: StaffPlace, metrics: TextMetrics, *, light: bool
) -> tuple[Glyph, ...]:
    text = "?" if state.played is None else str(state.played.fret)
    unit, y_px = place.unit, place.string_y_px(note.course)
    if slip is Slip.STRING and state.played is not None and state.played.course != note.course:
        ring_px = metrics.cap_px(Size.SMALL) / 2 + 9 * unit
        at_px = place.string_y_px(state.played.course)
        side = 1 if at_px > y_px else -1
        number_edge_px = y_px + side * (metrics.cap_px(Size.FRET) / 2 + 5 * unit)
        return (
            Line(x_px, number_edge_px, x_px, at_px - side * ring_px, 2 * unit, Ink.SLIP, light=light),
            Dot(x_px, at_px, ring_px, Ink.GROUND),
            Dot(x_px, at_px, ring_px, Ink.SLIP, 2 * unit, light=light),
            Text(x_px, at_px, text, Size.SMALL, Ink.SLIP, light=light),
        )
    box = instead_box(text, x_px, note.course, place, metrics)
    return (
        Box(*box, 4 * unit, Ink.SLIP, 2 * unit, light=light),
        Text(x_px, (box.top_px + box.bottom_px) / 2, text, Size.SMALL, Ink.SLIP, light=light),
    )


def instead_box(text: str, x_px: float, course: int, place: StaffPlace, metrics: TextMetrics) -> Rect:
    """The box that shows, straight under a written number, what was played instead."""
    unit = place.unit
    half_px = metrics.width_px(text, Size.SMALL) / 2 + 7 * unit
    top_px = place.string_y_px(course) + metrics.cap_px(Size.FRET) / 2 + 3 * unit
    return Rect(x_px - half_px, top_px, x_px + half_px, top_px + metrics.cap_px(Size.SMALL) + 10 * unit)


def extra_glyphs(
    text: str, x_px: float, course: int, place: StaffPlace, drop_px: float = 0.0, *, light: bool = False
) -> tuple[Glyph, ...]:
    """A note that nothing was written for: its fret with a plus sign, on its string or `drop_px` under it."""
    y_px = place.string_y_px(course) + drop_px
    return (Text(x_px, y_px, f"+{text}", Size.SMALL, Ink.SLIP, on_ground=True, light=light),)
