"""The picture of what came back: a row for each pupil, a column for each exercise, the chosen cell's details below.

A cell says the working tempo of the target, with a sign where the clean passes that were asked for are there, and the
weakest transition; below it minutes, day and change. A sign of its own says that the file claims something else than
was measured.
"""

from dataclasses import dataclass

from trainer.screens.hints import Hint, foot_hints
from trainer.screens.paint import Painter
from trainer.screens.screen import Command
from trainer.screens.turning import GOES_ON, turned_to
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Line, Rect, Size, Text

TOP_PX, HEADINGS_PX, ROW_PX, BOTTOM_PX = 192.0, 40.0, 62.0, 312.0
"""Where the headings begin, how high they and a row are, and what is left below, at unit 1."""
NAMES_SHARE = 0.2
NARROWEST_PX = 300.0
"""A column is at least so wide at 100 % of text, at unit 1."""
THERE, OTHERWISE = "✓", "≠"
LEGEND = (
    f"Working tempo (in brackets: fastest clean one) of the target, {THERE} with all clean passes; weakest transition "
    "by string/fret; minutes, last day, change of the fastest clean tempo since the file before."
)
OTHERWISE_WORDS = f"{OTHERWISE} the file says something else than was measured."
NOTHING = (
    "Nothing came back yet. Drop the files that pupils gave you onto this window, all at once, or find them with O.",
    "They are kept here, so that the next ones can be compared with them.",
)
MORE: Hint = ("N", "more of what is told below", Command.NEXT)
DETAIL_LINES = 7
HINTS: tuple[Hint, ...] = (
    ("Enter", "takes", Command.CHOOSE),
    ("O", "open files", Command.OPEN),
    ("F4", "give out", Command.BUILD),
    ("Esc", "leave", Command.BACK),
    ("F1", "keys", Command.KEYS),
)


@dataclass(frozen=True, slots=True)
class Cell:
    """One exercise of one pupil."""

    tempo: str
    """The working tempo of the target; where the passes do not tell it, the fastest clean tempo in brackets."""
    below: str
    """Minutes, day, change."""
    weakest: str
    """The weakest transition; empty where none is named."""
    is_there: bool
    is_otherwise: bool
    """Whether the file claims something else than was measured."""
    details: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PupilRow:
    """What one pupil gave back."""

    name: str
    about: str
    """When the file was made."""
    cells: tuple[Cell, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """One homework."""

    title: str
    about: str
    exercises: tuple[str, ...]
    pupils: tuple[PupilRow, ...]
    missing: str
    """Who gave nothing back, in a sentence; empty when nobody is missing."""


@dataclass(frozen=True, slots=True)
class TableView:
    """What is shown."""

    grid: Grid | None
    place: tuple[int, int]
    """Which homework of how many."""
    pupil: int
    exercise: int
    words: str
    turned: int
    """How often what stands below the table was turned over, because it does not fit."""


class TablePicture:
    """Lays it out at one size."""

    def __init__(self, size: tuple[int, int], painter: Painter) -> None:
        self._size = size
        self._painter = painter
        self._unit, self._fonts = painter.unit, painter.fonts
        self._left_px, self._right_px = 48 * painter.unit, size[0] - 48 * painter.unit
        self._width_px = self._right_px - self._left_px

    def glyphs(self, view: TableView) -> list[Glyph]:
        """Everything."""
        hints = foot_hints(self.hints(view), self._size, self._painter)
        if view.grid is None:
            lines = [line for words in NOTHING for line in self._fonts.wrapped(words, Size.BODY, self._width_px)]
            told = self._fonts.wrapped(view.words, Size.BODY, self._width_px)[:8]
            return [
                self._text(50, "What came back", Size.TITLE),
                *(self._text(130 + 44 * place, line) for place, line in enumerate(lines)),
                *(self._text(330 + 40 * place, line, ink=Ink.NOW) for place, line in enumerate(told)),
                *hints,
            ]
        return [
            *self._head(view, view.grid),
            *self._headings(view, view.grid),
            *self._names(view, view.grid),
            *(glyph for row, column, area in self.cells(view) for glyph in self._cell(view.grid, row, column, area)),
            *self._details(view, view.grid),
            *hints,
        ]

    def hints(self, view: TableView) -> tuple[Hint, ...]:
        """The hints at the foot."""
        if view.grid is None:
            return HINTS[1:]
        others: tuple[Hint, ...] = (("Tab", "other homework", Command.NEXT_CHOICE),) if view.place[1] > 1 else ()
        more = (MORE,) if len(self._told(view, view.grid)) > DETAIL_LINES else ()
        return (HINTS[0], *more, HINTS[1], *others, *HINTS[2:])

    def cells(self, view: TableView) -> list[tuple[int, int, Rect]]:
        """The cells that are seen, by pupil and exercise, and where they lie."""
        return [
            (
                row,
                column,
                Rect(left_px, top_px, left_px + self._column_px(view) - 8 * self._unit, top_px + self._row_px),
            )
            for row, top_px in self._rows(view)
            for column, left_px in self._columns(view)
        ]

    @property
    def _row_px(self) -> float:
        return ROW_PX * self._unit

    def _rows(self, view: TableView) -> list[tuple[int, float]]:
        """The pupils that are seen, and where their rows begin."""
        count = 0 if view.grid is None else len(view.grid.pupils)
        room = max(1, int((self._size[1] / self._unit - TOP_PX - HEADINGS_PX - BOTTOM_PX) // ROW_PX))
        first = max(0, min(view.pupil - room // 2, count - room))
        top_px = (TOP_PX + HEADINGS_PX) * self._unit
        return [
            (row, top_px + place * self._row_px) for place, row in enumerate(range(first, min(count, first + room)))
        ]

    def _seen_columns(self, view: TableView) -> int:
        if view.grid is None:
            return 0
        widest_px = max((self._needs_px(cell) for pupil in view.grid.pupils for cell in pupil.cells), default=0.0)
        narrowest_px = max(NARROWEST_PX * self._unit, widest_px)
        return min(max(1, int(self._width_px * (1 - NAMES_SHARE) // narrowest_px)), len(view.grid.exercises))

    def _needs_px(self, cell: Cell) -> float:
        """How wide a column must be so that nothing in a cell is cut."""
        fonts, unit = self._fonts, self._unit
        signs = THERE * cell.is_there + OTHERWISE * cell.is_otherwise
        signs_px = sum(fonts.width_px(sign, Size.BODY) + 10 * unit for sign in signs) + 14 * unit
        upper_px = fonts.width_px(cell.tempo, Size.BODY) + signs_px + fonts.width_px(cell.weakest, Size.SMALL)
        return max(upper_px + 10 * unit, fonts.width_px(cell.below, Size.SMALL)) + 40 * unit

    def _column_px(self, view: TableView) -> float:
        return self._width_px * (1 - NAMES_SHARE) / max(1, self._seen_columns(view))

    def _columns(self, view: TableView) -> list[tuple[int, float]]:
        """The exercises that are seen, and where their columns begin."""
        count, room = 0 if view.grid is None else len(view.grid.exercises), self._seen_columns(view)
        first = max(0, min(view.exercise - room // 2, count - room))
        left_px = self._left_px + self._width_px * NAMES_SHARE
        return [(first + place, left_px + place * self._column_px(view)) for place in range(room)]

    def _head(self, view: TableView, grid: Grid) -> list[Glyph]:
        fonts, (number, of) = self._fonts, view.place
        which = f"{number + 1} of {of}" if of > 1 else ""
        room_px = self._width_px - fonts.width_px(which, Size.BODY) - 40 * self._unit
        legend = fonts.wrapped(self._legend(grid), Size.SMALL, self._width_px)[:2]
        return [
            self._text(50, fonts.elided(grid.title, Size.TITLE, room_px), Size.TITLE),
            *([Text(self._right_px, 50 * self._unit, which, Size.BODY, Ink.MUTED, Anchor.RIGHT)] if which else []),
            self._text(102, fonts.elided(grid.about, Size.BODY, self._width_px), ink=Ink.MUTED),
            *(self._text(142 + 30 * place, line, Size.SMALL, Ink.MUTED) for place, line in enumerate(legend)),
        ]

    @staticmethod
    def _legend(grid: Grid) -> str:
        is_otherwise = any(cell.is_otherwise for pupil in grid.pupils for cell in pupil.cells)
        return f"{OTHERWISE_WORDS} {LEGEND}" if is_otherwise else LEGEND

    def _headings(self, view: TableView, grid: Grid) -> list[Glyph]:
        y_px, room_px = (TOP_PX + HEADINGS_PX / 2) * self._unit, self._column_px(view) - 30 * self._unit
        below_px = (TOP_PX + HEADINGS_PX) * self._unit
        columns = self._columns(view)
        glyphs: list[Glyph] = [Line(self._left_px, below_px, self._right_px, below_px, self._unit, Ink.LINE)]
        for column, left_px in columns:
            words = self._fonts.elided(grid.exercises[column], Size.SMALL, room_px)
            ink = Ink.INK if column == view.exercise else Ink.MUTED
            glyphs.append(Text(left_px + 8 * self._unit, y_px, words, Size.SMALL, ink, Anchor.LEFT))
        seen = f"{columns[0][0] + 1}–{columns[-1][0] + 1} of {len(grid.exercises)}" if columns else ""
        if len(columns) < len(grid.exercises):
            glyphs.append(Text(self._left_px, y_px, seen, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return glyphs

    def _names(self, view: TableView, grid: Grid) -> list[Glyph]:
        glyphs: list[Glyph] = []
        room_px = self._width_px * NAMES_SHARE - 24 * self._unit
        for row, top_px in self._rows(view):
            pupil = grid.pupils[row]
            ink = Ink.INK if row == view.pupil else Ink.MUTED
            name = self._fonts.elided(pupil.name, Size.BODY, room_px)
            about = self._fonts.elided(pupil.about, Size.SMALL, room_px)
            upper_px, lower_px = top_px + self._row_px * 0.3, top_px + self._row_px * 0.74
            glyphs.append(Text(self._left_px, upper_px, name, Size.BODY, ink, Anchor.LEFT))
            glyphs.append(Text(self._left_px, lower_px, about, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return glyphs

    def _cell(self, grid: Grid, row: int, column: int, area: Rect) -> list[Glyph]:
        cell, fonts, unit = grid.pupils[row].cells[column], self._fonts, self._unit
        left_px, upper_px = area.left_px + 8 * unit, area.top_px + self._row_px * 0.3
        lower_px, room_px = area.top_px + self._row_px * 0.74, area.right_px - area.left_px - 16 * unit
        glyphs: list[Glyph] = [
            Text(left_px, upper_px, cell.tempo, Size.BODY, Ink.INK, Anchor.LEFT),
            Text(left_px, lower_px, fonts.elided(cell.below, Size.SMALL, room_px), Size.SMALL, Ink.MUTED, Anchor.LEFT),
        ]
        signs_px = left_px + fonts.width_px(cell.tempo, Size.BODY) + 14 * unit
        for is_shown, sign, ink in ((cell.is_there, THERE, Ink.AS_WRITTEN), (cell.is_otherwise, OTHERWISE, Ink.MISSED)):
            if is_shown:
                glyphs.append(Text(signs_px, upper_px, sign, Size.BODY, ink, Anchor.LEFT))
                signs_px += fonts.width_px(sign, Size.BODY) + 10 * unit
        end_px = area.right_px - 16 * unit
        weakest = fonts.elided(cell.weakest, Size.SMALL, end_px - signs_px - 10 * unit)
        if len(weakest) > 1:
            glyphs.append(Text(end_px, upper_px, weakest, Size.SMALL, Ink.MUTED, Anchor.RIGHT))
        return glyphs

    def _details(self, view: TableView, grid: Grid) -> list[Glyph]:
        """The chosen cell, what is to be said of its pupil's file, and who is missing."""
        lines = self._told(view, grid)
        seen = turned_to(len(lines), DETAIL_LINES, view.turned)
        glyphs: list[Glyph] = []
        for place, number in enumerate(seen):
            words, ink = lines[number]
            goes_on = GOES_ON if number == seen[-1] and seen.stop < len(lines) else ""
            y_px = self._size[1] / self._unit - BOTTOM_PX + 32 + 33 * place
            glyphs.append(self._text(y_px, words + goes_on, Size.SMALL, ink))
        return glyphs

    def _told(self, view: TableView, grid: Grid) -> list[tuple[str, Ink]]:
        """All of that in lines; each leaves room for the sign that more follow."""
        told: list[tuple[str, Ink]] = [(view.words, Ink.NOW)]
        if grid.pupils:
            pupil = grid.pupils[view.pupil]
            told += [(words, Ink.INK) for words in pupil.cells[view.exercise].details]
            told += [(words, Ink.NOW) for words in pupil.remarks]
        told.append((grid.missing, Ink.MUTED))
        room_px = self._width_px - self._fonts.width_px(GOES_ON, Size.SMALL)
        return [(line, ink) for words, ink in told for line in self._fonts.wrapped(words, Size.SMALL, room_px)]

    def _text(self, y_px: float, words: str, size: Size = Size.BODY, ink: Ink = Ink.INK) -> Text:
        """At the left, `y_px` at unit 1."""
        return Text(self._left_px, y_px * self._unit, words, size, ink, Anchor.LEFT)
