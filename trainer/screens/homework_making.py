"""Giving out homework: its title, whom it is for, its exercises, and what is asked of each.

Everything is a field of text, so that whatever is wrong is said when the file is to be written, and stays as it is.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import pygame

from trainer.playing.messages import StampedMessage
from trainer.screens.hints import hint_at
from trainer.screens.homework_making_picture import (
    ARTICULATIONS,
    HEAD_FIELDS,
    HINTS,
    ITEM_FIELDS,
    Draft,
    ItemDraft,
    MakingPicture,
    MakingView,
    Place,
)
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.pick import Pick, PickScreen
from trainer.screens.screen import HOMEWORK, Action, Command, Pressed, Screen, Scrolled, Typed
from trainer.tablature.glyphs import Rect

LONGEST = {"title": 80, "teacher": 60, "pupils": 600, "note": 2000, "target": 6, "passes": 3, "articulation": 40}
SIGNS = {"target": "0123456789.", "passes": "0123456789"}
"""What can be written where not everything can."""
TEMPO_STEP, SLOWEST, FASTEST = 4, 10, 400
FEWEST, MOST = 1, 200
USUAL_PASSES = "5"
NOT_WRITTEN = "This is not written: Esc again leaves it, F7 writes it."


@dataclass(frozen=True, slots=True)
class MakingDoors:
    """`exercises` can be picked, `tempi` are their own by name; `write(draft)` says what became of it."""

    exercises: Sequence[Pick]
    tempi: Mapping[str, str]
    write: Callable[[Draft], "Outcome"]
    leave: Callable[[], Screen]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of homework that was to be written."""

    words: str
    is_written: bool


class MakingScreen:
    """Homework that is being put together; a new edition begins with the draft of the one before."""

    takes_text = True

    def __init__(self, doors: MakingDoors, draft: Draft | None = None, *, notice: str = "") -> None:
        self._doors = doors
        self.draft = draft or Draft()
        self._written = self.draft
        self._told = ""
        """What was said when it was written last."""
        self._place = Place(0)
        self._notice = notice
        self._is_leaving = False
        self._painter = PagePainter()

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """Stay."""
        return self

    def handle(self, action: Action) -> Screen | None:
        """Do what a key or the mouse asks for."""
        if action is Command.QUIT:
            return None
        if isinstance(action, Pressed):
            return self._press(action)
        was_leaving, self._is_leaving = self._is_leaving, False
        self._notice = ""
        match action:
            case Typed(text=text):
                self._write(self._text + text)
            case Scrolled(lines=lines):
                self._move(1 if lines > 0 else -1)
            case Command.BACK:
                return self._leave(was_leaving=was_leaving)
            case Command.KEYS:
                return KeysScreen(self, place=HOMEWORK)
            case Command.BUILD:
                return self._pick()
            case Command.CHOOSE if self._place.row == self._last_row:
                return self._pick()
            case Command():
                self._do(action)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint what there is of it."""
        size = surface.get_size()
        (painter, picture), view = self._parts(size), self._view()
        self._painter.ground(surface, dict(picture.rows(view)).get(self._place.row))
        painter.draw(surface, picture.glyphs(view))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter, picture = self._parts(size)
        return texts_of(picture.glyphs(self._view()), painter.fonts)

    @property
    def _last_row(self) -> int:
        """The row behind the exercises, where one is added."""
        return len(HEAD_FIELDS) + len(self.draft.items)

    @property
    def _item(self) -> int | None:
        """Which exercise is chosen."""
        item = self._place.row - len(HEAD_FIELDS)
        return item if 0 <= item < len(self.draft.items) else None

    @property
    def _text(self) -> str:
        """Of the chosen field."""
        return self._view().text_at(self._place) or ""

    def _do(self, command: Command) -> None:
        match command:
            case Command.UP | Command.DOWN | Command.CHOOSE:
                self._move(-1 if command is Command.UP else 1)
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                self._next_field(1 if command is Command.NEXT_CHOICE else -1)
            case Command.LEFT | Command.RIGHT:
                self._step(1 if command is Command.RIGHT else -1)
            case Command.ERASE:
                self._write(self._text[:-1])
            case Command.ERASE_NEXT if self._item is not None:
                items = self.draft.items
                self.draft = replace(self.draft, items=(*items[: self._item], *items[self._item + 1 :]))
            case Command.KEEP:
                self._keep()
            case _:
                pass

    def _move(self, by: int) -> None:
        """Another row; the field of an exercise stays the same."""
        field = 0 if self._item is None else self._place.field
        self._place = Place(max(0, min(self._last_row, self._place.row + by)))
        if self._item is not None:
            self._place = replace(self._place, field=field)

    def _next_field(self, by: int) -> None:
        field = self._place.field + by
        if self._item is not None and 0 <= field < len(ITEM_FIELDS):
            self._place = replace(self._place, field=field)
            return
        row = (self._place.row + by) % (self._last_row + 1)
        self._place = Place(row)
        if by < 0 and self._item is not None:
            self._place = Place(row, len(ITEM_FIELDS) - 1)

    def _write(self, text: str) -> None:
        """Give the chosen field another text; the way to play it is chosen and not written."""
        name = self._place.name
        if self._place.row == self._last_row or name == "articulation":
            return
        signs = SIGNS.get(name)
        text = text.replace(",", ".") if name == "target" else text
        self._put(text if signs is None else "".join(sign for sign in text if sign in signs))

    def _put(self, text: str) -> None:
        self.draft = self.draft.with_text(self._place, text[: LONGEST[self._place.name]])

    def _step(self, by: int) -> None:
        """A number a step further, or another way to play it."""
        if self._item is None:
            return
        match self._place.name:
            case "target":
                self._put(f"{max(SLOWEST, min(FASTEST, _number(self._text) + by * TEMPO_STEP)):g}")
            case "passes":
                self._put(f"{max(FEWEST, min(MOST, _number(self._text) + by)):g}")
            case "articulation":
                place = ARTICULATIONS.index(self._text) if self._text in ARTICULATIONS else 0
                self._put(ARTICULATIONS[(place + by) % len(ARTICULATIONS)])
            case _:
                pass

    def _pick(self) -> Screen:
        """An exercise to be added."""
        return PickScreen("Which exercise?", self._doors.exercises, now="", chosen=self._added, back_to=self)

    def _added(self, name: str) -> Screen:
        pick = next(pick for pick in self._doors.exercises if pick.value == name)
        item = ItemDraft(name, pick.words, self._doors.tempi[name], USUAL_PASSES)
        self.draft = replace(self.draft, items=(*self.draft.items, item))
        self._place = Place(self._last_row - 1)
        return self

    def _keep(self) -> None:
        """Write the file; where it is is told again while nothing has changed."""
        if self._told and self.draft == self._written:
            self._notice = self._told
            return
        outcome = self._doors.write(self.draft)
        self._notice = outcome.words
        if outcome.is_written:
            self._written, self._told = self.draft, outcome.words

    def _leave(self, *, was_leaving: bool) -> Screen:
        if self.draft == self._written or was_leaving:
            return self._doors.leave()
        self._is_leaving, self._notice = True, NOT_WRITTEN
        return self

    def _press(self, pressed: Pressed) -> Screen | None:
        """A hint does what it says; a field is chosen, and a chosen one changed, to the left by its left end."""
        if self._painter.latest is None:
            return self
        size, painter = self._painter.latest
        hint = hint_at(HINTS, size, painter, pressed)
        if hint is not None:
            return self.handle(hint)
        for place, area in MakingPicture(size, painter).fields(self._view()):
            if area.holds(pressed.x_px, pressed.y_px):
                if place.row == self._last_row:
                    self._place = place
                    return self._pick()
                if place == self._place:
                    is_left = pressed.x_px < area.left_px + (area.right_px - area.left_px) * 0.25
                    self._step(-1 if is_left else 1)
                self._place = place
                break
        return self

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, MakingPicture]:
        painter = self._painter.of(size)
        return painter, MakingPicture(size, painter)

    def _view(self) -> MakingView:
        return MakingView(self.draft, self._place, self._notice)


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0
