"""The picture of the builder: the line in words on top, rows to pick from on the left, what it makes on the right."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainer.score.exercise import Exercise
from trainer.score.one_line import LineProblem
from trainer.screens.hints import Hint, hint_targets, key_hints
from trainer.screens.look import worn
from trainer.screens.paint import Fonts
from trainer.screens.pickers import Picker
from trainer.screens.screen import Target
from trainer.screens.text_field import TextField
from trainer.tablature.glyphs import Anchor, Box, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.layout import NeckPlace, unit_of
from trainer.tablature.neck import neck_glyphs

TEXT_TOP_PX, TEXT_ROW_PX, TEXT_ROWS = 84.0, 36.0, 2
"""Where the box of the line begins, how far apart its rows are and how many are seen, at unit 1."""
TOLD_PX = 204.0
"""Where it is said what is wrong."""
ROWS_PX, ROW_PX, GROUP_PX = 252.0, 31.0, 12.0
"""Where the rows begin, how high they are, and what parts two groups."""
VALUE_PX, ROWS_RIGHT_PX, RIGHT_PX = 240.0, 590.0, 640.0
"""Where the values begin, where the rows end, and where the part on the right begins."""
CHOICES_ROWS, CHOICE_ROW_PX = 4, 31.0
SUMMARY_PX, PREVIEW_PX, PREVIEW_BOTTOM_PX = 382.0, 398.0, 818.0
BOARD_TOP_PX, BOARD_BOTTOM_PX = 894.0, 998.0


@dataclass(frozen=True, slots=True)
class BuilderView:
    """What the builder shows."""

    caption: str
    text: str
    cursor: int | None
    """The column that is written at; None while the rows have the keys."""
    problems: Sequence[LineProblem]
    marked: tuple[int, int] | None
    """The columns that say what the chosen row shows."""
    rows: Sequence[Picker]
    groups: Sequence[int]
    row: int | None
    """The row that has the keys."""
    open_row: int
    """The row whose choices lie open."""
    summary: str
    told: str
    """A sentence; what is wrong with the line goes before it."""
    naming: str | None
    """The title that is being typed; None while none is asked for."""
    hints: Sequence[Hint]


class BuilderPicture:
    """Lays out the builder at one size."""

    def __init__(self, size: tuple[int, int], fonts: Fonts) -> None:
        self._unit = unit_of(*size)
        self._height_px = size[1]
        self._fonts = fonts
        self._left_px = 48 * self._unit
        self._right_px = size[0] - 48 * self._unit

    def glyphs(self, view: BuilderView) -> list[Glyph]:
        """Everything but the tablature and the neck."""
        unit, fonts = self._unit, self._fonts
        title = fonts.elided(view.caption, Size.TITLE, self._right_px - self._left_px)
        return [
            Text(self._left_px, 46 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            *self._text(view),
            *self._told(view),
            *self._rows(view),
            *(glyph for _, glyphs in self._choices(view) for glyph in glyphs),
            self._summary(view),
            *self._hints(view),
        ]

    def _field(self, view: BuilderView) -> TextField:
        return TextField(view.text, Size.BODY, self._right_px - self._left_px - 32 * self._unit, self._fonts)

    def _first_row(self, view: BuilderView, field: TextField) -> int:
        """The first row of the text that is seen: that of the cursor, or of a mistake, is among them."""
        column = view.problems[0].column if view.problems else view.marked[0] if view.marked else 0
        row, _ = field.place_of(column if view.cursor is None else view.cursor)
        return max(0, row - TEXT_ROWS + 1)

    def _row_y_px(self, row: int) -> float:
        return (TEXT_TOP_PX + 26 + TEXT_ROW_PX * row) * self._unit

    def _text(self, view: BuilderView) -> Iterator[Glyph]:
        unit, field = self._unit, self._field(view)
        box = self.text_box
        has_keys = view.cursor is not None
        yield Box(*box, 6 * unit, Ink.NOW if has_keys else Ink.LINE, 2 * unit)
        x_px, first = self._left_px + 16 * unit, self._first_row(view, field)
        if not view.text:
            words = "Write a line: key, strings, positions, pattern, rhythm, tempo. Or pick below."
            if view.marked is None and not has_keys:
                words = "This exercise lists its notes one by one; it has no line of words. Pick what is to change."
            yield Text(x_px, self._row_y_px(0), words, Size.BODY, Ink.MUTED, Anchor.LEFT)
        for number, row in enumerate(field.rows[first : first + TEXT_ROWS]):
            words = view.text[row.begin : row.end].rstrip()
            if words:
                yield Text(x_px, self._row_y_px(number), words, Size.BODY, Ink.INK, Anchor.LEFT)
        marks = [(view.marked, Ink.BAND, 3.0)] if view.marked is not None and not has_keys else []
        wrong = [((one.column, one.column + one.width), Ink.MISSED, 4.0) for one in view.problems if one.width]
        for (begin, end), ink, width_px in (*marks, *wrong):
            for number, left_px, right_px in field.stretches(begin, end):
                if first <= number < first + TEXT_ROWS:
                    y_px = self._row_y_px(number - first) + 15 * unit
                    yield Line(x_px + left_px, y_px, x_px + right_px, y_px, width_px * unit, ink)
        if view.cursor is not None:
            number, at_px = field.place_of(view.cursor)
            y_px = self._row_y_px(number - first)
            yield Line(x_px + at_px, y_px - 15 * unit, x_px + at_px, y_px + 13 * unit, 2.5 * unit, Ink.NOW)

    @property
    def text_box(self) -> Rect:
        """The box of the line."""
        unit = self._unit
        bottom_px = (TEXT_TOP_PX + TEXT_ROW_PX * TEXT_ROWS + 18) * unit
        return Rect(self._left_px, TEXT_TOP_PX * unit, self._right_px, bottom_px)

    def column_at(self, view: BuilderView, x_px: float, y_px: float) -> int:
        """The column of the line nearest to a place."""
        field = self._field(view)
        row = int((y_px / self._unit - TEXT_TOP_PX - 8) // TEXT_ROW_PX)
        return field.column_at(self._first_row(view, field) + max(0, row), x_px - self._left_px - 16 * self._unit)

    def _told(self, view: BuilderView) -> Iterator[Glyph]:
        """What is wrong, what happened, or the title that is asked for."""
        unit, y_px, room_px = self._unit, TOLD_PX * self._unit, self._right_px - self._left_px
        if view.naming is not None:
            words = "Keep it as: "
            yield Text(self._left_px, y_px, words, Size.BODY, Ink.NOW, Anchor.LEFT)
            x_px = self._left_px + self._fonts.width_px(words, Size.BODY)
            if view.naming:
                yield Text(x_px, y_px, view.naming, Size.BODY, Ink.INK, Anchor.LEFT)
            x_px += self._fonts.width_px(view.naming, Size.BODY) + 2 * unit
            yield Line(x_px, y_px - 15 * unit, x_px, y_px + 13 * unit, 2.5 * unit, Ink.NOW)
            if view.told:
                told = self._fonts.elided(view.told, Size.SMALL, self._right_px - x_px - 40 * unit)
                yield Text(self._right_px, y_px, told, Size.SMALL, Ink.NOW, Anchor.RIGHT)
            return
        if view.problems:
            more = len(view.problems) - 1
            words = view.problems[0].text + (f"  (and {more} more)" if more else "")
            cross_px = 8 * unit
            yield Line(
                self._left_px, y_px - cross_px, self._left_px + 2 * cross_px, y_px + cross_px, 3 * unit, Ink.MISSED
            )
            yield Line(
                self._left_px, y_px + cross_px, self._left_px + 2 * cross_px, y_px - cross_px, 3 * unit, Ink.MISSED
            )
            told = self._fonts.elided(words, Size.SMALL, room_px - 40 * unit)
            yield Text(self._left_px + 32 * unit, y_px, told, Size.SMALL, Ink.INK, Anchor.LEFT)
        elif view.told:
            told = self._fonts.elided(view.told, Size.SMALL, room_px)
            yield Text(self._left_px, y_px, told, Size.SMALL, Ink.NOW, Anchor.LEFT)

    def _tops_px(self, view: BuilderView) -> list[float]:
        """Where each row begins."""
        tops_px, y_px, left = [], ROWS_PX - ROW_PX / 2, list(view.groups)
        for _ in view.rows:
            while left and left[0] == 0:
                left.pop(0)
                y_px += GROUP_PX
            tops_px.append(y_px * self._unit)
            y_px += ROW_PX
            if left:
                left[0] -= 1
        return tops_px

    def row_area(self, view: BuilderView, row: int) -> Rect:
        """Where a row lies."""
        top_px = self._tops_px(view)[row]
        unit = self._unit
        return Rect(32 * unit, top_px, ROWS_RIGHT_PX * unit + 18 * unit, top_px + ROW_PX * unit)

    def _rows(self, view: BuilderView) -> Iterator[Glyph]:
        unit, fonts = self._unit, self._fonts
        room_px = (ROWS_RIGHT_PX - VALUE_PX) * unit
        for number, (picker, top_px) in enumerate(zip(view.rows, self._tops_px(view), strict=True)):
            y_px = top_px + ROW_PX * unit / 2
            is_open = number == view.open_row
            name = fonts.elided(picker.name, Size.SMALL, (VALUE_PX - 14) * unit - self._left_px)
            yield Text(self._left_px, y_px, name, Size.SMALL, Ink.MUTED, Anchor.LEFT)
            says = fonts.elided(picker.says, Size.SMALL, room_px - (44 * unit if is_open else 0))
            ink = Ink.INK if picker.picks and not picker.is_quiet else Ink.MUTED
            yield Text(VALUE_PX * unit, y_px, says, Size.SMALL, ink, Anchor.LEFT)
            if is_open and picker.picks:
                ink = Ink.NOW if number == view.row else Ink.MUTED
                for words, left_px in (("‹", VALUE_PX - 14), ("›", ROWS_RIGHT_PX - 4)):
                    yield Text(left_px * unit, y_px, words, Size.BODY, ink)

    def _choices(self, view: BuilderView) -> Iterator[tuple[int, tuple[Glyph, ...]]]:
        """The choices of the open row, as many as there is room for around the one that is chosen."""
        unit, fonts, picker = self._unit, self._fonts, view.rows[view.open_row]
        left_px, gap_px = RIGHT_PX * unit, 30 * unit
        rows: list[list[tuple[int, float]]] = [[]]
        x_px = left_px
        for number, pick in enumerate(picker.picks):
            width_px = fonts.width_px(pick.words, Size.SMALL)
            if rows[-1] and x_px + width_px > self._right_px:
                rows.append([])
                x_px = left_px
            rows[-1].append((number, x_px))
            x_px += width_px + gap_px
        now_row = next((n for n, row in enumerate(rows) if any(one == picker.now for one, _ in row)), 0)
        first = max(0, min(now_row - 1, len(rows) - CHOICES_ROWS))
        for place, row in enumerate(rows[first : first + CHOICES_ROWS]):
            y_px = (ROWS_PX + CHOICE_ROW_PX * place) * unit
            for number, at_px in row:
                words, is_now = picker.picks[number].words, number == picker.now
                text = Text(at_px, y_px, words, Size.SMALL, Ink.INK if is_now else Ink.MUTED, Anchor.LEFT)
                right_px = at_px + fonts.width_px(words, Size.SMALL)
                below = (
                    (Line(at_px, y_px + 13 * unit, right_px, y_px + 13 * unit, 3 * unit, Ink.NOW),) if is_now else ()
                )
                yield number, (text, *below)

    def _summary(self, view: BuilderView) -> Glyph:
        unit = self._unit
        words = self._fonts.elided(view.summary, Size.SMALL, self._right_px - RIGHT_PX * unit)
        return Text(RIGHT_PX * unit, SUMMARY_PX * unit, words, Size.SMALL, Ink.MUTED, Anchor.LEFT)

    def _hints(self, view: BuilderView) -> list[Text]:
        rows = [(name, words) for name, words, _ in view.hints]
        return key_hints(
            rows, self._left_px, self._height_px - 24 * self._unit, self._fonts, self._unit, self._right_px
        )

    def preview_area(self) -> Rect:
        """Where the tablature stands."""
        unit = self._unit
        return Rect(RIGHT_PX * unit, PREVIEW_PX * unit, self._right_px, PREVIEW_BOTTOM_PX * unit)

    def neck_place(self, exercise: Exercise) -> NeckPlace:
        """Where the neck stands."""
        unit = self._unit
        board = Rect((RIGHT_PX + 84) * unit, BOARD_TOP_PX * unit, self._right_px, BOARD_BOTTOM_PX * unit)
        strings = len(exercise.tuning.open_pitches)
        return NeckPlace(board, strings, exercise.last_fret, unit, worn().is_left_handed)

    def neck(self, exercise: Exercise) -> tuple[Glyph, ...]:
        """The neck with all that a line plays on it."""
        return neck_glyphs(exercise, self.neck_place(exercise), self._fonts)

    def row_targets(self, view: BuilderView) -> Iterator[tuple[int, int, Rect]]:
        """Places to press in the rows: which row, and a step of its choice or 0 to open it."""
        for number in range(len(view.rows)):
            area, unit = self.row_area(view, number), self._unit
            if number == view.open_row:
                left_px, right_px = (VALUE_PX - 34) * unit, (VALUE_PX - 4) * unit
                yield number, -1, Rect(left_px, area.top_px, right_px, area.bottom_px)
                yield number, 1, Rect((ROWS_RIGHT_PX - 20) * unit, area.top_px, area.right_px, area.bottom_px)
            yield number, 0, area

    def choice_targets(self, view: BuilderView) -> Iterator[tuple[int, Rect]]:
        """Places to press among the open choices."""
        for number, (text, *_) in self._choices(view):
            if isinstance(text, Text):
                bounds, pad_px = text.bounds(self._fonts), 7 * self._unit
                yield (
                    number,
                    Rect(
                        bounds.left_px - pad_px,
                        bounds.top_px - pad_px,
                        bounds.right_px + pad_px,
                        bounds.bottom_px + pad_px,
                    ),
                )

    def hint_targets(self, view: BuilderView) -> list[Target]:
        """Places to press among the hints."""
        return hint_targets(self._hints(view), [command for *_, command in view.hints], self._fonts)
