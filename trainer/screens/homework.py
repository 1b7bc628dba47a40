"""A pupil's homework: what is asked for, how far it is done, a key that starts an exercise and one that gives it back.

What the room does is behind `Doors`; the picture is `homework_picture`.
"""

from collections.abc import Callable
from dataclasses import dataclass

import pygame

from trainer.playing.messages import StampedMessage
from trainer.screens.hints import hint_at
from trainer.screens.homework_picture import Done, HomeworkPicture, HomeworkView, Sheet
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import HOMEWORK, Action, Command, Pressed, Screen, Scrolled, Typed
from trainer.tablature.glyphs import Rect

LONGEST_NAME = 60
NOTHING_TO_GIVE = "Nothing can be given back before homework is opened: O looks for the file."


@dataclass(frozen=True, slots=True)
class HomeworkDoors:
    """What the room does, and where it leads.

    `sheets()` is the homework that is open, the newest first; `done(number)` how far one is, or a sentence on how far
    the counting is; `play(number, item, back_to)` the screen that plays an exercise; `look()` looks anew at what is
    open and was played, and says what is wrong. `give_back(number, name)` writes the file and says where;
    `written_to()` says where that will be.
    """

    sheets: Callable[[], tuple[Sheet, ...]]
    done: Callable[[int], Done | str]
    play: Callable[[int, int, Screen], Screen]
    look: Callable[[], str]
    name: Callable[[int], str]
    written_to: Callable[[], str]
    give_back: Callable[[int, str], str]
    choose_file: Callable[[Screen], Screen]
    make: Callable[[Screen], Screen]
    table: Callable[[Screen], Screen]
    leave: Callable[[], Screen]


class HomeworkScreen:
    """The homework that is open, one at a time; `notice` is what is to be said at first."""

    def __init__(self, doors: HomeworkDoors, *, notice: str = "") -> None:
        self.doors = doors
        self._notice = notice
        self._sheets = doors.sheets()
        self._shown = 0
        self._item = 0
        self._turned = 0
        self._naming: str | None = None
        self._has_left = False
        self._painter = PagePainter()

    @property
    def takes_text(self) -> bool:
        """Only while a name is written."""
        return self._naming is not None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """After having been elsewhere, look anew at what is open and what was played."""
        if self._has_left:
            self._has_left = False
            self._notice = self.doors.look() or self._notice
            self._sheets = self.doors.sheets()
            self._shown = max(0, min(self._shown, len(self._sheets) - 1))
            self._move(0)
        return self

    def handle(self, action: Action) -> Screen | None:
        """Start, choose, open, give back, or go on to the teacher's rooms."""
        if action is Command.QUIT:
            return None
        if isinstance(action, Pressed):
            return self._press(action)
        if self._naming is not None:
            self._name(action, self._naming)
            return self
        match action:
            case Scrolled(lines=lines):
                self._move(1 if lines > 0 else -1)
            case Command():
                self._notice = ""
                following = self._go(action)
                self._has_left = following is not self
                return following
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the homework."""
        size = surface.get_size()
        painter, picture, view = *self._parts(size), self._view()
        self._painter.ground(surface, dict(picture.rows(view)).get(self._item))
        painter.draw(surface, picture.glyphs(view))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter, picture = self._parts(size)
        return texts_of(picture.glyphs(self._view()), painter.fonts)

    def _go(self, command: Command) -> Screen:
        """Where a key leads to; this screen itself for those that move and write."""
        doors = self.doors
        match command:
            case Command.CHOOSE if self._sheets:
                return doors.play(self._shown, self._item, self)
            case Command.OPEN | Command.CHOOSE:
                return doors.choose_file(self)
            case Command.BUILD:
                return doors.make(self)
            case Command.PROGRESS:
                return doors.table(self)
            case Command.KEYS:
                return KeysScreen(self, place=HOMEWORK)
            case Command.BACK:
                return doors.leave()
            case Command.KEEP if self._sheets:
                self._naming = doors.name(self._shown)
            case Command.KEEP:
                self._notice = NOTHING_TO_GIVE
            case Command.UP | Command.DOWN:
                self._move(1 if command is Command.DOWN else -1)
            case Command.LEFT | Command.RIGHT if self._sheets:
                self._shown = (self._shown + (1 if command is Command.RIGHT else -1)) % len(self._sheets)
                self._item = self._turned = 0
            case Command.NEXT_BAR | Command.PREVIOUS_BAR:
                self._turned = max(0, self._turned + (1 if command is Command.NEXT_BAR else -1))
            case _:
                pass
        return self

    def _name(self, action: Action, name: str) -> None:
        """Write the name that the teacher sees; Enter writes the file."""
        match action:
            case Typed(text=text):
                self._naming = (name + text)[:LONGEST_NAME]
            case Command.ERASE:
                self._naming = name[:-1]
            case Command.BACK:
                self._naming = None
            case Command.CHOOSE | Command.KEEP if name.strip():
                self._notice = self.doors.give_back(self._shown, name)
                self._naming = None
            case _:
                pass

    def _move(self, by: int) -> None:
        if self._sheets:
            self._turned = 0
            self._item = max(0, min(len(self._sheets[self._shown].items) - 1, self._item + by))

    def _press(self, pressed: Pressed) -> Screen | None:
        """A hint does what it says; an exercise is started by pressing it twice."""
        if self._painter.latest is None:
            return self
        size, painter = self._painter.latest
        view = self._view()
        picture = HomeworkPicture(size, painter)
        hint = hint_at(picture.hints(view), size, painter, pressed)
        if hint is not None:
            return self.handle(hint)
        for item, row in picture.rows(view):
            if row.holds(pressed.x_px, pressed.y_px) and self._naming is None:
                if item == self._item:
                    return self.handle(Command.CHOOSE)
                self._item, self._turned = item, 0
                break
        return self

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, HomeworkPicture]:
        painter = self._painter.of(size)
        return painter, HomeworkPicture(size, painter)

    def _view(self) -> HomeworkView:
        sheet = self._sheets[self._shown] if self._sheets else None
        return HomeworkView(
            sheet=sheet,
            place=(self._shown, len(self._sheets)),
            chosen=self._item,
            done="" if sheet is None else self.doors.done(self._shown),
            turned=self._turned,
            notice=self._notice,
            naming=self._naming,
            written_to="" if self._naming is None else self.doors.written_to(),
        )
