"""What came back of homework: one table, pupil by exercise, and behind every cell the takes.

Files can be dropped on it at any time; while takes are judged it says how far that is.
"""

from collections.abc import Callable
from dataclasses import dataclass

import pygame

from trainer.playing.messages import StampedMessage
from trainer.screens.hints import hint_at
from trainer.screens.homework_table_picture import Grid, TablePicture, TableView
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import HOMEWORK, Action, Command, Pressed, Screen, Scrolled
from trainer.tablature.glyphs import Rect


@dataclass(frozen=True, slots=True)
class Collected:
    """All that came back, and what is to be said about it."""

    grids: tuple[Grid, ...]
    """The newest homework first."""
    words: str = ""
    """How far the judging is, or which files are left out."""


@dataclass(frozen=True, slots=True)
class TableDoors:
    """`collected()` is what there is by now; `takes(grid, pupil, exercise, back_to)` the screen of a cell's takes."""

    collected: Callable[[], Collected]
    takes: Callable[[int, int, int, Screen], Screen | str]
    choose_files: Callable[[Screen], Screen]
    make: Callable[[Screen], Screen]
    leave: Callable[[], Screen]


class TableScreen:
    """One homework at a time."""

    takes_text = False

    def __init__(self, doors: TableDoors) -> None:
        self._doors = doors
        self._collected = doors.collected()
        self._shown = self._pupil = self._exercise = self._turned = 0
        self._notice = ""
        self._painter = PagePainter()

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """Take in what was judged meanwhile; the same cell stays chosen as far as it is there."""
        self._collected = self._doors.collected()
        self._shown = max(0, min(self._shown, len(self._collected.grids) - 1))
        self._move(0, 0)
        return self

    def handle(self, action: Action) -> Screen | None:
        """Go over the table, into a cell, or away."""
        match action:
            case Command.QUIT:
                return None
            case Command.BACK:
                return self._doors.leave()
            case Command.KEYS:
                return KeysScreen(self, place=HOMEWORK)
            case Command.OPEN:
                return self._doors.choose_files(self)
            case Command.BUILD:
                return self._doors.make(self)
            case Command.CHOOSE:
                return self._enter()
            case Pressed():
                return self._press(action)
            case Scrolled(lines=lines):
                self._move(1 if lines > 0 else -1, 0)
            case Command():
                self._notice = ""
                self._do(action)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the table."""
        size = surface.get_size()
        (painter, picture), view = self._parts(size), self._view()
        chosen = {(row, column): area for row, column, area in picture.cells(view)}
        self._painter.ground(surface, chosen.get((self._pupil, self._exercise)))
        painter.draw(surface, picture.glyphs(view))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter, picture = self._parts(size)
        return texts_of(picture.glyphs(self._view()), painter.fonts)

    @property
    def _grid(self) -> Grid | None:
        grids = self._collected.grids
        return grids[self._shown] if grids else None

    def _do(self, command: Command) -> None:
        steps = {Command.UP: (-1, 0), Command.DOWN: (1, 0), Command.LEFT: (0, -1), Command.RIGHT: (0, 1)}
        steps |= {Command.PREVIOUS_BAR: (-8, 0), Command.NEXT_BAR: (8, 0)}
        if command is Command.NEXT:
            self._turned += 1
        elif command in steps:
            self._turned = 0
            self._move(*steps[command])
        elif command in (Command.NEXT_CHOICE, Command.PREVIOUS_CHOICE) and self._collected.grids:
            by = 1 if command is Command.NEXT_CHOICE else -1
            self._shown = (self._shown + by) % len(self._collected.grids)
            self._pupil = self._exercise = 0

    def _move(self, pupils: int, exercises: int) -> None:
        grid = self._grid
        if grid is not None:
            self._pupil = max(0, min(len(grid.pupils) - 1, self._pupil + pupils))
            self._exercise = max(0, min(len(grid.exercises) - 1, self._exercise + exercises))

    def _enter(self) -> Screen:
        grid = self._grid
        if grid is None or not grid.pupils:
            return self._doors.choose_files(self)
        following = self._doors.takes(self._shown, self._pupil, self._exercise, self)
        if isinstance(following, str):
            self._notice = following
            return self
        return following

    def _press(self, pressed: Pressed) -> Screen | None:
        """A hint does what it says; a cell is entered by pressing it twice."""
        if self._painter.latest is None:
            return self
        size, painter = self._painter.latest
        view = self._view()
        picture = TablePicture(size, painter)
        hint = hint_at(picture.hints(view), size, painter, pressed)
        if hint is not None:
            return self.handle(hint)
        for row, column, area in picture.cells(view):
            if area.holds(pressed.x_px, pressed.y_px):
                if (row, column) == (self._pupil, self._exercise):
                    return self._enter()
                self._pupil, self._exercise, self._turned, self._notice = row, column, 0, ""
                break
        return self

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, TablePicture]:
        painter = self._painter.of(size)
        return painter, TablePicture(size, painter)

    def _view(self) -> TableView:
        grids = self._collected.grids
        return TableView(
            grid=self._grid,
            place=(self._shown, len(grids)),
            pupil=self._pupil,
            exercise=self._exercise,
            words=self._notice or self._collected.words,
            turned=self._turned,
        )
