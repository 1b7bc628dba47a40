"""One system of tablature as marks: strings, bar lines, fret figures, slides, bows, strokes, accents, count, fingers.

Its origin is the upper left corner of the system; the strings begin at `LABEL_ROOM_PT`, left of them are labels.
The signs are those of common notation where it has any: the bracket and the wedge for strokes, the wedge for an accent,
a bow with H or P for hammer-on and pull-off, a slanted line for a slide, a small figure for where a slide is picked.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.strings import string_letters
from trainer.sheets import paper
from trainer.sheets.columns import POSITION_PAD_PT, SLIDE_ROOM_PT, STROKE_ACROSS_PT, Column
from trainer.sheets.joins import Slurs
from trainer.sheets.lettering import CAP_SHARE, width_pt
from trainer.sheets.marks import Anchor, Blank, Bow, Box, Mark, Point, Rule, Shape, Words, moved
from trainer.sheets.rhythm_marks import rhythm_marks
from trainer.sheets.rows import Rows
from trainer.sheets.spacing import METER_ROOM_PT, System
from trainer.theory.technique import Stroke, Technique

LABEL_ROOM_PT = 34.0

_HALF_FIGURE_PT = CAP_SHARE * paper.FRET_PT / 2
_SLANT_PT = 2.8


@dataclass(frozen=True, slots=True)
class Line:
    """A line made ready to be drawn: its columns, the joins of its notes, and the rows of its systems."""

    exercise: Exercise
    columns: tuple[Column, ...]
    slurs: Slurs
    rows: Rows
    column_of: Mapping[int, int]
    """The column in which each note is begun."""


def system_marks(line: Line, system: System) -> tuple[Mark, ...]:
    """Everything of one system."""
    rows = line.rows
    shown = line.columns[system.first : system.last + 1]
    marks: list[Mark] = [*_strings(line, system)]
    for column, x_pt in zip(shown, system.xs_pt, strict=True):
        marks += _figures(line, column, x_pt)
        marks += _signs(line, column, x_pt)
    marks += _counts(shown, system, rows)
    marks += _letters(shown, system, rows)
    for source, target in _joins(line, shown):
        marks += _join(line, system, source, target)
    marks += rhythm_marks(line.columns, system, rows, line.exercise.meter)
    if system.is_first:
        marks += _meter(line)
    return (*moved(marks, LABEL_ROOM_PT, 0.0), *_labels(line, system))


def _strings(line: Line, system: System) -> Iterator[Mark]:
    ys = line.rows.string_pt
    right = system.width_pt
    for y_pt in ys:
        yield Rule(Point(0.0, y_pt), Point(right, y_pt), paper.HAIR_PT)
    ends = [0.0, *system.bar_lines_pt, *([right] if system.ends_bar and not system.is_last else [])]
    for x_pt in ends:
        yield Rule(Point(x_pt, ys[0] - paper.HAIR_PT / 2), Point(x_pt, ys[-1] + paper.HAIR_PT / 2), paper.LINE_PT)
    if system.is_last:
        thin, thick = right - 5.0, right - paper.THICK_PT / 2
        yield Rule(Point(thin, ys[0]), Point(thin, ys[-1]), paper.LINE_PT)
        yield Rule(Point(thick, ys[0] - 0.3), Point(thick, ys[-1] + 0.3), paper.THICK_PT)


def _labels(line: Line, system: System) -> Iterator[Mark]:
    """What stands left of the strings: their letters, the bar's number, and what the rows are."""
    rows, x_pt = line.rows, LABEL_ROOM_PT - 5.0
    for letter, y_pt in zip(string_letters(line.exercise.tuning), rows.string_pt, strict=True):
        yield Words(x_pt, y_pt + CAP_SHARE * paper.SMALLEST_PT / 2, letter, paper.SMALLEST_PT, anchor=Anchor.RIGHT)
    shown = line.columns[system.first : system.last + 1]
    bar = shown[0].bar + 1
    named = [(rows.head_pt + 2.0, f"bar {bar}")]
    if rows.position_pt is not None and any(column.position for column in shown):
        named.append((rows.position_pt, "pos."))
    if rows.stroke_pt is not None:
        named.append((rows.stroke_pt + 3.0, "pick"))
    named.append((rows.count_pt, "count"))
    if rows.finger_pt is not None:
        named.append((rows.finger_pt, "finger"))
    for y_pt, text in named:
        yield Words(x_pt, y_pt, text, paper.SMALLEST_PT, anchor=Anchor.RIGHT)


def _meter(line: Line) -> Iterator[Mark]:
    ys, meter = line.rows.string_pt, line.exercise.meter
    middle, size_pt = (ys[0] + ys[-1]) / 2, 14.0
    x_pt = METER_ROOM_PT / 2 + 3.0
    for text, baseline in (
        (str(meter.beats), middle - 2.0),
        (str(meter.beat_unit), middle + 2.0 + CAP_SHARE * size_pt),
    ):
        words = Words(x_pt, baseline, text, size_pt, bold=True, anchor=Anchor.MIDDLE)
        yield Blank(words.box)
        yield words


def _figures(line: Line, column: Column, x_pt: float) -> Iterator[Mark]:
    """Fret figures on their strings, with the small figure and the slanted line of a slide out of a grace note."""
    for index in column.notes:
        note = line.exercise.notes[index]
        y_pt = line.rows.string_pt[note.course - 1]
        figure = Words(x_pt, y_pt + _HALF_FIGURE_PT, str(note.fret), paper.FRET_PT, bold=True, anchor=Anchor.MIDDLE)
        yield from _on_string(figure)
        if note.slide_from is not None:
            right = figure.box.left_pt - SLIDE_ROOM_PT
            baseline = y_pt + CAP_SHARE * paper.GRACE_PT / 2
            grace = Words(right, baseline, str(note.slide_from.fret), paper.GRACE_PT, bold=True, anchor=Anchor.RIGHT)
            yield from _on_string(grace)
            yield _slide(right + 1.2, figure.box.left_pt - 1.2, y_pt, rises=note.slide_from.fret < note.fret)


def _on_string(figure: Words) -> tuple[Mark, Mark]:
    """A figure with the string cut out behind it."""
    box = figure.box
    return Blank(Box(box.left_pt - 0.8, box.top_pt, box.right_pt + 0.8, box.bottom_pt)), figure


def _slide(left_pt: float, right_pt: float, y_pt: float, *, rises: bool) -> Rule:
    slant = _SLANT_PT if rises else -_SLANT_PT
    return Rule(Point(left_pt, y_pt + slant), Point(right_pt, y_pt - slant), paper.SLIDE_PT)


def _joins(line: Line, shown: Sequence[Column]) -> Iterator[tuple[int | None, int]]:
    """The pairs of notes of which at least one stands in these columns, each pair once."""
    seen = set()
    for index in (index for column in shown for index in column.notes):
        if index in line.slurs.source_of:
            seen.add(index)
            yield line.slurs.source_of[index], index
    for index in (index for column in shown for index in column.notes):
        target = line.slurs.target_of.get(index)
        if target is not None and target not in seen:
            yield index, target


def _join(line: Line, system: System, source: int | None, target: int) -> Iterator[Mark]:
    """The slide or bow from note to note, as far as it lies in this system."""
    note = line.exercise.notes[target]
    target_x = system.x_pt(line.column_of[target])
    source_x = None if source is None else system.x_pt(line.column_of[source])
    if target_x is None and source_x is None:
        return
    half = _half_width(note)
    right = system.width_pt - 2.0 if target_x is None else target_x - half
    if source_x is not None and source is not None:
        left = source_x + _half_width(line.exercise.notes[source])
    else:
        # From another system, or from nowhere.
        left = right - SLIDE_ROOM_PT
    y_pt = line.rows.string_pt[note.course - 1]
    if note.technique is Technique.SLIDE:
        rises = source is None or line.exercise.notes[source].fret < note.fret
        yield _slide(left + 1.2, right - 1.2, y_pt, rises=rises)
    else:
        top = y_pt - _HALF_FIGURE_PT - 0.8
        yield Bow(Point(left - 1.5, top), Point(right + 1.5, top), 3.6, paper.LINE_PT)


def _half_width(note: ScoreNote) -> float:
    return width_pt(str(note.fret), paper.FRET_PT, bold=True) / 2


def _signs(line: Line, column: Column, x_pt: float) -> Iterator[Mark]:
    """Position, stroke, accent and fingers of a column."""
    rows = line.rows
    notes = [line.exercise.notes[index] for index in column.notes]
    if column.position and rows.position_pt is not None:
        words = Words(x_pt, rows.position_pt, column.position, paper.SMALLEST_PT, bold=True, anchor=Anchor.MIDDLE)
        yield _boxed(words.box)
        yield words
    strokes = [note.stroke for note in notes if note.stroke is not None]
    if strokes and rows.stroke_pt is not None:
        yield from _stroke(strokes[0], x_pt, rows.stroke_pt)
    if rows.accent_pt is not None and any(note.accent for note in notes):
        y_pt = rows.accent_pt
        yield Rule(Point(x_pt - 4.0, y_pt - 2.6), Point(x_pt + 4.0, y_pt), paper.LINE_PT)
        yield Rule(Point(x_pt - 4.0, y_pt + 2.6), Point(x_pt + 4.0, y_pt), paper.LINE_PT)
    if column.fingers and rows.finger_pt is not None:
        yield Words(x_pt, rows.finger_pt, column.fingers, paper.SMALLEST_PT, anchor=Anchor.MIDDLE)


def _boxed(box: Box) -> Shape:
    left, right = box.left_pt - POSITION_PAD_PT, box.right_pt + POSITION_PAD_PT
    top, bottom = box.top_pt - 2.2, box.bottom_pt + 2.2
    return Shape((Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom)), paper.HAIR_PT)


def _stroke(stroke: Stroke, x_pt: float, y_pt: float) -> Iterator[Mark]:
    left, right, top, bottom = x_pt - STROKE_ACROSS_PT, x_pt + STROKE_ACROSS_PT, y_pt - 3.5, y_pt + 3.5
    if stroke is Stroke.DOWN:
        yield Rule(Point(left, top + 0.8), Point(right, top + 0.8), 1.8)
        yield Rule(Point(left + 0.4, top), Point(left + 0.4, bottom), paper.LINE_PT)
        yield Rule(Point(right - 0.4, top), Point(right - 0.4, bottom), paper.LINE_PT)
    else:
        yield Rule(Point(left, top), Point(x_pt, bottom), paper.LINE_PT)
        yield Rule(Point(right, top), Point(x_pt, bottom), paper.LINE_PT)


def _counts(shown: Sequence[Column], system: System, rows: Rows) -> Iterator[Mark]:
    ends = [*system.xs_pt[1:], system.width_pt]
    for column, x_pt, end_pt in zip(shown, system.xs_pt, ends, strict=True):
        for count in column.counts:
            middle = x_pt + float(count.share) * (end_pt - x_pt)
            yield Words(middle, rows.count_pt, count.word, paper.COUNT_PT, bold=count.is_beat, anchor=Anchor.MIDDLE)


def _letters(shown: Sequence[Column], system: System, rows: Rows) -> Iterator[Mark]:
    if rows.letter_pt is None:
        return
    before = [system.xs_pt[0] - 24.0, *system.xs_pt]
    for column, x_pt, before_pt in zip(shown, system.xs_pt, before, strict=False):
        if column.letters:
            middle = max((x_pt + before_pt) / 2, x_pt - 12.0)
            yield Words(middle, rows.letter_pt, column.letters, paper.SMALLEST_PT, bold=True, anchor=Anchor.MIDDLE)
