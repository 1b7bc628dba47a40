"""One of many: a list to choose from, narrowed by typing."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pygame

from trainer.playing.messages import StampedMessage
from trainer.screens.hints import foot_hints, foot_targets
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import Action, Command, Pressed, Screen, Scrolled, Typed, target_at
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
    """`chosen(value)` is where to go with what was chosen, `back_to` where to go without."""

    takes_text = True

    def __init__(
        self, title: str, picks: Sequence[Pick], *, now: str, chosen: Callable[[str], Screen], back_to: Screen
    ) -> None:
        self._title = title
        self._picks = tuple(picks)
        self._chosen = chosen
        self._back_to = back_to
        self._typed = ""
        self._place = next((place for place, pick in enumerate(self._picks) if pick.value == now), 0)
        self._painter = PagePainter()

    @property
    def shown(self) -> tuple[Pick, ...]:
        """What has all the words that were typed."""
        typed = self._typed.lower().split()
        return tuple(pick for pick in self._picks if all(word in pick.all_words for word in typed))

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """Stay."""
        return self

    def handle(self, action: Action) -> Screen | None:
        """Choose, narrow, or go back."""
        match action:
            case Typed(text=text):
                self._typed, self._place = self._typed + text, 0
            case Command.ERASE:
                self._typed, self._place = self._typed[:-1], 0
            case Command.CHOOSE:
                return self._chosen(self.shown[self._place].value) if self.shown else self
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

    def _move(self, by: int) -> None:
        self._place = max(0, min(len(self.shown) - 1, self._place + by))

    def _press(self, pressed: Pressed) -> Screen | None:
        """A hint does what it says; a row is chosen by pressing it twice."""
        if self._painter.latest is None:
            return self
        size, painter = self._painter.latest
        targets = foot_targets(HINTS, size, painter)
        hint = target_at(targets, pressed)
        if hint is not None:
            return self.handle(hint)
        for place, row in self._rows(size):
            if row.holds(pressed.x_px, pressed.y_px):
                if place == self._place:
                    return self.handle(Command.CHOOSE)
                self._place = place
                break
        return self

    def _rows(self, size: tuple[int, int]) -> list[tuple[int, Rect]]:
        """The places in the list that are seen, and where their rows lie."""
        unit = unit_of(*size)
        room = max(1, int((size[1] - (TOP_PX + BOTTOM_PX) * unit) / (ROW_PX * unit)))
        first = max(0, min(self._place - room // 2, len(self.shown) - room))
        rows = []
        for row, place in enumerate(range(first, min(len(self.shown), first + room))):
            top_px = (TOP_PX + row * ROW_PX) * unit
            rows.append((place, Rect(36 * unit, top_px, size[0] - 36 * unit, top_px + ROW_PX * unit)))
        return rows

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        left_px, right_px, detail_px = 48 * unit, size[0] - 48 * unit, DETAIL_PX * unit
        search = f"search: {self._typed}" if self._typed else "type to search"
        glyphs: list[Glyph] = [
            Text(left_px, 50 * unit, self._title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(left_px, 102 * unit, search, Size.BODY, Ink.INK if self._typed else Ink.MUTED, Anchor.LEFT),
            *foot_hints(HINTS, size, painter),
        ]
        if not self.shown:
            glyphs.append(Text(left_px, (TOP_PX + 20) * unit, NOTHING_FOUND, Size.BODY, Ink.INK, Anchor.LEFT))
        for place, row in self._rows(size):
            pick, y_px = self.shown[place], (row.top_px + row.bottom_px) / 2
            words = fonts.elided(pick.words, Size.BODY, detail_px - left_px - 24 * unit)
            detail = fonts.elided(pick.detail, Size.SMALL, right_px - detail_px)
            glyphs.append(Text(left_px, y_px, words, Size.BODY, Ink.INK, Anchor.LEFT))
            if detail:
                glyphs.append(Text(detail_px, y_px, detail, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return glyphs
