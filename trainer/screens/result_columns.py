"""The columns of the result: the figures of this sitting, what the coach says, the passes or the neck."""

from collections.abc import Iterator, Sequence
from statistics import median

from trainer.coaching.advice import Advice
from trainer.following.verdict import Match, Missed, Slip, WrongNote
from trainer.screens.look import worn
from trainer.screens.paint import Painter
from trainer.tablature.figures import pass_summary, technique_words
from trainer.tablature.glyphs import Anchor, Box, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import NeckPlace
from trainer.tablature.record import Stretch, deviations_ms, pooled_techniques
from trainer.tablature.trace import signed_ms
from trainer.tablature.weak_places import weak_place_glyphs

TOP_PX, LINE_PX = 172.0, 33.0
"""Where the columns begin and how far apart their lines are, at unit 1."""
LINES = 8
SHOWN_PASSES = 7
ROWS_SHOWN = 3
NECK_TOP_PX, NECK_HEIGHT_PX = 208.0, 170.0


def column(heading: str, lines: Sequence[str], x_px: float, room_px: float, painter: Painter) -> list[Glyph]:
    """A heading and lines under it, gone on with in the next line where they are too long."""
    return remarks_column(heading, [(line, Ink.INK) for line in lines], x_px, room_px, painter)


def rows_column(
    heading: str, rows: Sequence[Sequence[str]], x_px: float, room_px: float, painter: Painter
) -> list[Glyph]:
    """A heading and a row of figures in each line under it; the last figures are left out where they have no room."""
    fonts = painter.fonts
    lines = []
    for row in rows:
        fitting = [count for count in range(1, len(row) + 1) if _row_px(row[:count], painter) <= room_px]
        lines.append(fonts.elided(_row_words(row[: max(fitting, default=1)]), Size.SMALL, room_px))
    return _set(heading, [(line, Ink.INK) for line in lines], x_px, painter)


def _row_words(row: Sequence[str]) -> str:
    return "  ".join(row)


def _row_px(row: Sequence[str], painter: Painter) -> float:
    return painter.fonts.width_px(_row_words(row), Size.SMALL)


Remark = tuple[str, Ink]


def coach_column(
    advice: Advice, remarks: Sequence[Remark], x_px: float, room_px: float, painter: Painter
) -> list[Glyph]:
    """What the coach says: remarks, the worst transition as a sentence, each in a row, then the rest that has room."""
    unit, fonts = painter.unit, painter.fonts
    first, *others = advice.sentences()
    glyphs = remarks_column(advice.heading(), [*remarks, (first, Ink.INK)], x_px, room_px, painter)
    place = len(glyphs) - 1
    for number, each in enumerate(advice.weak[:ROWS_SHOWN], start=1):
        if place < LINES:
            words = fonts.elided(advice.figures(each), Size.SMALL, room_px - 40 * unit)
            glyphs += _numbered(number, words, x_px, _line_px(place, unit), unit)
            place += 1
    for sentence in others:
        lines = fonts.wrapped(sentence, Size.SMALL, room_px)
        if place + len(lines) <= LINES:
            for line in lines:
                glyphs.append(Text(x_px, _line_px(place, unit), line, Size.SMALL, Ink.MUTED, Anchor.LEFT))
                place += 1
    return glyphs


def coach_rows(
    advice: Advice, remarks: Sequence[Remark], x_px: float, room_px: float, painter: Painter
) -> list[tuple[int, Rect]]:
    """Where the rows of weak transitions lie, each by the note that it leads to."""
    unit, half_px = painter.unit, LINE_PX * painter.unit / 2
    first = len(remarks_column("", [*remarks, (advice.sentences()[0], Ink.INK)], x_px, room_px, painter)) - 1
    places = range(first, min(LINES, first + ROWS_SHOWN))
    return [
        (each.to_index, Rect(x_px, _line_px(place, unit) - half_px, x_px + room_px, _line_px(place, unit) + half_px))
        for place, each in zip(places, advice.weak, strict=False)
    ]


def remarks_column(
    heading: str, remarks: Sequence[Remark], x_px: float, room_px: float, painter: Painter
) -> list[Glyph]:
    """Sentences in the coach's place, after a heading."""
    lines = [(line, ink) for words, ink in remarks for line in painter.fonts.wrapped(words, Size.SMALL, room_px)]
    return _set(heading, lines, x_px, painter)


def _set(heading: str, lines: Sequence[Remark], x_px: float, painter: Painter) -> list[Glyph]:
    """As many of the lines as there is room for, under their heading."""
    unit = painter.unit
    return [
        Text(x_px, (TOP_PX - 24) * unit, heading, Size.SMALL, Ink.MUTED, Anchor.LEFT),
        *(
            Text(x_px, _line_px(place, unit), line, Size.SMALL, ink, Anchor.LEFT)
            for place, (line, ink) in enumerate(lines[:LINES])
        ),
    ]


def neck_column(advice: Advice, x_px: float, right_px: float, painter: Painter) -> list[Glyph]:
    """The weak transitions on the neck."""
    unit, exercise = painter.unit, advice.exercise
    board = Rect(x_px + 34 * unit, NECK_TOP_PX * unit, right_px, (NECK_TOP_PX + NECK_HEIGHT_PX) * unit)
    strings = len(exercise.tuning.open_pitches)
    place = NeckPlace(board, strings, exercise.last_fret, unit, worn().is_left_handed)
    transitions = [(each.from_index, each.to_index) for each in advice.weak]
    return [
        *column("On the neck", [], x_px, right_px - x_px, painter),
        *weak_place_glyphs(exercise, transitions, place),
    ]


def sitting_words(stretches: Sequence[Stretch]) -> list[str]:
    """Counts, bias and spread, and the techniques, over everything that was played."""
    verdicts = [stretch.ledger.of_written(index) for stretch in stretches for index in stretch.attempted]
    slips = [verdict.slip for verdict in verdicts if isinstance(verdict, WrongNote)]
    missed = sum(isinstance(verdict, Missed) for verdict in verdicts)
    matched = sum(isinstance(verdict, Match) for verdict in verdicts)
    extra = sum(stretch.assess().extra for stretch in stretches)
    deviations = [one for values in deviations_ms(stretches).values() for one in values]
    lines = [
        f"{matched} of {len(verdicts)} notes as written",
        f"{missed} missed · {extra} not written",
        f"{slips.count(Slip.PITCH)} wrong pitch · {slips.count(Slip.STRING)} wrong string",
    ]
    if len(deviations) > 1:
        mean_ms = sum(deviations) / len(deviations)
        spread_ms = (sum((one - mean_ms) ** 2 for one in deviations) / len(deviations)) ** 0.5
        by_click = [one for values in deviations_ms(s for s in stretches if s.is_timed).values() for one in values]
        bias = f"bias {signed_ms(median(by_click))} ms · " if by_click else ""
        lines.append(f"{bias}spread {spread_ms:.0f} ms")
    return lines + [technique_words(count) for count in pooled_techniques(stretches)]


def pass_rows(stretches: Sequence[Stretch]) -> list[Sequence[str]]:
    """The figures of each pass, the latest ones when there are many."""
    rows = list(_all_pass_rows(stretches))
    if len(rows) <= SHOWN_PASSES:
        return rows
    return [(f"… {len(rows) - SHOWN_PASSES + 1} before",), *rows[1 - SHOWN_PASSES :]]


def _all_pass_rows(stretches: Sequence[Stretch]) -> Iterator[Sequence[str]]:
    for stretch in stretches:
        by_pass: dict[int, list[int]] = {}
        for index in stretch.attempted:
            by_pass.setdefault(stretch.pass_number(index), []).append(index)
        for number, indices in by_pass.items():
            summary = pass_summary(stretch.exercise, stretch.ledger, indices, is_timed=stretch.is_timed)
            name = f"loop {number}" if stretch.is_loop else str(number)
            first, *others = summary.brief_words
            yield f"{name}   {first}", *others


def _line_px(place: int, unit: float) -> float:
    return (TOP_PX + 14 + LINE_PX * place) * unit


def _numbered(number: int, words: str, x_px: float, y_px: float, unit: float) -> list[Glyph]:
    half_px = 13 * unit
    return [
        Box(x_px, y_px - half_px, x_px + 2 * half_px, y_px + half_px, 4 * unit, Ink.NOW),
        Text(x_px + half_px, y_px, str(number), Size.SMALL, Ink.GROUND),
        Text(x_px + 40 * unit, y_px, words, Size.SMALL, Ink.INK, Anchor.LEFT),
    ]
