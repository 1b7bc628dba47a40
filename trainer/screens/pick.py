"""One of many: a list to choose from, narrowed by typing."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pygame

from trainer.playing.messages import StampedMessage
from trainer.screens.hints import foot_hints, hint_at
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import Action, Command, Pressed, Screen, Scrolled, Typed
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of

TOP_PX, ROW_PX, BOTTOM_PX, DETAIL_PX = 150.0, 40.0, 90.0, 760.0
"""Where the rows begin, how high one is, what is left below them, and where the details stand, at unit 1."""
HINTS = (
    ("Enter", "choose", Command.CHOOSE),
    ("↑ ↓", "row", Command.DOWN),
    ("Backspace", "take back a letter", Command.ERASE),
    ("Esc", "leave it as it was", Command.BACK),
)
STEPS = {Command.UP: -1, Command.DOWN: 1, Command.PREVIOUS_BAR: -10, Command.NEXT_BAR: 10}
NOTHING_FOUND = "Nothing has all these words. Backspace takes back a letter."
NOTHING_THERE = "Nothing was found. Drop a file onto the window, or type where it is."
OPENS_PATH = "Enter opens what lies there."
NOTICE_PX = 110.0
"""How much room a sentence needs above the hints, at unit 1."""


@dataclass(frozen=True, slots=True)
class Pick:
    """Something to choose."""

    value: str
    words: str
    detail: str = ""

    @property
    def all_words(self) -> str:
        """What is searched in."""
        return f"{self.words} {self.detail}".lower()


class PickScreen:
    """`chosen(value)` is where to go with what was chosen, or a sentence why not; `back_to` where to go without.

    `wants_path`: the path of a file may be typed, too, and is chosen like a value.
    """

    takes_text = True

    def __init__(
        self,
        title: str,
        picks: Sequence[Pick],
        *,
        now: str,
        chosen: Callable[[str], Screen | str],
        back_to: Screen,
        wants_path: bool = False,
    ) -> None:
        self._title = title
        self._picks = tuple(picks)
        self._chosen = chosen
        self._back_to = back_to
        self._wants_path = wants_path
        self._notice = ""
        self._typed = ""
        self._place = next((place for place, pick in enumerate(self._picks) if pick.value == now), 0)
        self._painter = PagePainter()

    @property
    def shown(self) -> tuple[Pick, ...]:
        """What has all the words that were typed; nothing while a path is typed."""
        if self._is_path:
            return ()
        typed = self._typed.lower().split()
        return tuple(pick for pick in self._picks if all(word in pick.all_words for word in typed))

    @property
    def _is_path(self) -> bool:
        return self._wants_path and any(sign in self._typed for sign in "/\\~")

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """Stay."""
        return self

    def handle(self, action: Action) -> Screen | None:
        """Choose, narrow, or go back."""
        self._notice = ""
        match action:
            case Typed(text=text):
                self._typed, self._place = self._typed + text, 0
            case Command.ERASE:
                self._typed, self._place = self._typed[:-1], 0
            case Command.CHOOSE:
                return self._choose()
            case Command.BACK:
                return self._back_to
            case Command.QUIT:
                return None
            case Command.KEYS:
                return KeysScreen(self)
            case Scrolled(lines=lines):
                self._move(1 if lines > 0 else -1)
            case Pressed():
                return self._press(action)
            case Command() if action in STEPS:
                self._move(STEPS[action])
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the list."""
        size = surface.get_size()
        painter = self._painter.ground(surface, dict(self._rows(size)).get(self._place))
        painter.draw(surface, self._glyphs(size, painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return texts_of(self._glyphs(size, painter), painter.fonts)

    def _choose(self) -> Screen:
        if not self.shown and not self._is_path:
            return self
        following = self._chosen(self._typed if self._is_path else self.shown[self._place].value)
        if isinstance(following, str):
            self._notice = following
            return self
        return following

    def _move(self, by: int) -> None:
        self._place = max(0, min(len(self.shown) - 1, self._place + by))

    def _press(self, pressed: Pressed) -> Screen | None:
        """A hint does what it says; a row is chosen by pressing it twice."""
        if self._painter.latest is None:
            return self
        size, painter = self._painter.latest
        hint = hint_at(HINTS, size, painter, pressed)
        if hint is not None:
            return self.handle(hint)
        for place, row in self._rows(size):
            if row.holds(pressed.x_px, pressed.y_px):
                if place == self._place:
                    return self.handle(Command.CHOOSE)
                self._place = place
                break
        return self

    @property
    def _search_words(self) -> str:
        if self._typed:
            return f"open: {self._typed}" if self._is_path else f"search: {self._typed}"
        return "type to search, or the path of a file" if self._wants_path else "type to search"

    @property
    def _nothing_words(self) -> str:
        if self._is_path:
            return OPENS_PATH
        return NOTHING_FOUND if self._typed else NOTHING_THERE

    def _rows(self, size: tuple[int, int]) -> list[tuple[int, Rect]]:
        """The places in the list that are seen, and where their rows lie."""
        unit = unit_of(*size)
        below_px = BOTTOM_PX + (NOTICE_PX if self._notice else 0)
        room = max(1, int((size[1] - (TOP_PX + below_px) * unit) / (ROW_PX * unit)))
        first = max(0, min(self._place - room // 2, len(self.shown) - room))
        rows = []
        for row, place in enumerate(range(first, min(len(self.shown), first + room))):
            top_px = (TOP_PX + row * ROW_PX) * unit
            rows.append((place, Rect(36 * unit, top_px, size[0] - 36 * unit, top_px + ROW_PX * unit)))
        return rows

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        left_px, right_px, detail_px = 48 * unit, size[0] - 48 * unit, DETAIL_PX * unit
        title = fonts.elided(self._title, Size.TITLE, right_px - left_px)
        search = fonts.ending(self._search_words, Size.BODY, right_px - left_px)
        glyphs: list[Glyph] = [
            Text(left_px, 50 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(left_px, 102 * unit, search, Size.BODY, Ink.INK if self._typed else Ink.MUTED, Anchor.LEFT),
            *foot_hints(HINTS, size, painter),
        ]
        told = self._notice or ("" if self.shown else self._nothing_words)
        top_px = TOP_PX + 20 if not self.shown else size[1] / unit - BOTTOM_PX - NOTICE_PX + 30
        glyphs += [
            Text(
                left_px,
                (top_px + 36 * place) * unit,
                line,
                Size.BODY,
                Ink.NOW if self._notice else Ink.INK,
                Anchor.LEFT,
            )
            for place, line in enumerate(fonts.wrapped(told, Size.BODY, right_px - left_px)[:3])
        ]
        for place, row in self._rows(size):
            pick, y_px = self.shown[place], (row.top_px + row.bottom_px) / 2
            words = fonts.elided(pick.words, Size.BODY, detail_px - left_px - 24 * unit)
            detail = fonts.elided(pick.detail, Size.SMALL, right_px - detail_px)
            glyphs.append(Text(left_px, y_px, words, Size.BODY, Ink.INK, Anchor.LEFT))
            if detail:
                glyphs.append(Text(detail_px, y_px, detail, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return glyphs
