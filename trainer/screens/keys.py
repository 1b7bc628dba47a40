"""The pages of help: every key from the one table, every mark drawn by what draws it while playing, every term.

A key's line can be pressed instead of the key, so that whatever has a key can be reached by the mouse alone.
"""

import json
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import pairwise

import pygame

from trainer.playing.messages import StampedMessage
from trainer.screens.flow import Block, Row, flowed
from trainer.screens.hints import hint_targets, key_hints
from trainer.screens.look import colour
from trainer.screens.marks import mark_rows
from trainer.screens.paint import PagePainter, Painter
from trainer.screens.screen import (
    BOARD,
    BOARD_STANDING,
    EVERYWHERE,
    KEYS,
    PLAYING,
    STANDING,
    Action,
    Command,
    Key,
    Pressed,
    Screen,
    Scrolled,
    Target,
    target_at,
)
from trainer.shipped import SHARED
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text, TextMetrics
from trainer.tablature.layout import unit_of

ONWARDS = frozenset({Command.RIGHT, Command.NEXT_BAR, Command.NEXT_CHOICE})
BACKWARDS = frozenset({Command.LEFT, Command.PREVIOUS_BAR, Command.PREVIOUS_CHOICE})
MOUSE = Block(
    "Mouse",
    (
        Row("Press", "a row, a choice, a word at the foot"),
        Row("Press", "what is chosen: the next choice"),
        Row("Press", "a line of this page: what its key does"),
        Row("Press", "a note, while paused or on the result: why it was judged so"),
        Row("Wheel", "the row before, the next row; while paused: the note before, the next note"),
        Row("Drop", "files of homework, on any page"),
    ),
)
"""What the mouse does beside pressing the words at the foot."""


WITH_IT = {PLAYING: (STANDING,), BOARD: (BOARD_STANDING,)}
"""Help that is asked for while playing is read while paused."""
Pages = list[tuple[str, list[Glyph]]]
"""Each page with its title."""


class KeysScreen:
    """Keys first, then marks, then terms; any key that does not turn the page goes back.

    The keys of `place` come first, as it is the place from which help was asked for; `tour()` is the guided tour.
    """

    takes_text = False

    def __init__(
        self, back_to: Screen, *, place: str = "", shows_marks: bool = False, tour: Callable[[], Screen] | None = None
    ) -> None:
        self._back_to = back_to
        self._tour = tour
        self._place = place
        self._title = "Marks" if shows_marks else "Keys"
        self._turned = 0
        self._painter = PagePainter()
        self._set: tuple[Painter, Pages] | None = None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """Stay."""
        return self

    def handle(self, action: Action) -> Screen | None:
        """Turn the page, or go back."""
        if isinstance(action, Scrolled):
            self._turned += 1 if action.lines > 0 else -1
            return self
        if isinstance(action, Command) and action in ONWARDS | BACKWARDS:
            self._turned += 1 if action in ONWARDS else -1
            return self
        if isinstance(action, Pressed):
            if self._tour is not None and target_at(self._tour_targets(), action) is not None:
                return self._tour()
            command = self.command_at(action)
            return self._back_to if command is None else self._back_to.handle(command)
        if self._tour is not None and action is Command.TOUR:
            return self._tour()
        return self._back_to.handle(action) if action is Command.QUIT else self._back_to

    def command_at(self, pressed: Pressed) -> Command | None:
        """What the key does whose line is pressed; None beside them, and for keys that work elsewhere."""
        if self._painter.latest is None:
            return None
        size, painter = self._painter.latest
        places = {self._place, *WITH_IT.get(self._place, ()), EVERYWHERE}
        lines = _lines_of(self._page(size), _keys_from(self._place), painter.fonts)
        targets = (Target(area, key.command) for key, area in lines if key.place in places)
        found = target_at(targets, pressed)
        return found if isinstance(found, Command) and found is not Command.KEYS else None

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the page."""
        surface.fill(colour(Ink.GROUND))
        self._painter.of(surface.get_size()).draw(surface, self._page(surface.get_size()))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        fonts = self._painter.of(size).fonts
        return [(glyph.text, glyph.bounds(fonts)) for glyph in self._page(size) if isinstance(glyph, Text)]

    def _page(self, size: tuple[int, int]) -> list[Glyph]:
        unit, pages = unit_of(*size), self._pages(size)
        first = next(number for number, (title, _) in enumerate(pages) if title == self._title)
        place = max(0, min(len(pages) - 1, first + self._turned))
        self._turned = place - first
        title, glyphs = pages[place]
        hint = f"page {place + 1} of {len(pages)} · ← → turn · press a line: do it · any other key: back"
        return [
            *self._tour_hint(self._painter.of(size)),
            Text(48 * unit, 50 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(size[0] - 48 * unit, 54 * unit, hint, Size.SMALL, Ink.MUTED, Anchor.RIGHT),
            *glyphs,
        ]

    def _tour_hint(self, painter: Painter) -> list[Text]:
        """Behind the longest of the titles."""
        if self._tour is None:
            return []
        unit, fonts = painter.unit, painter.fonts
        x_px = (48 + 40) * unit + fonts.width_px("Marks", Size.TITLE)
        return key_hints([("Ctrl G", "tour")], x_px, 54 * unit, fonts, unit, x_px + 400 * unit)

    def _tour_targets(self) -> list[Target]:
        if self._painter.latest is None:
            return []
        painter = self._painter.latest[1]
        hint = self._tour_hint(painter)
        return hint_targets(hint, [Command.TOUR] if hint else [], painter.fonts)

    def _pages(self, size: tuple[int, int]) -> Pages:
        """All pages, set once for a size and a look."""
        painter, unit = self._painter.of(size), unit_of(*size)
        if self._set is None or self._set[0] is not painter:
            area = Rect(48 * unit, 104 * unit, size[0] - 48 * unit, size[1] - 36 * unit)
            chapters = {
                "Keys": key_blocks(self._place),
                "Marks": (Block("", mark_rows(unit, painter.fonts)),),
                "Terms": (Block("", terms()),),
            }
            self._set = (
                painter,
                [
                    (title, page)
                    for title, blocks in chapters.items()
                    for page in flowed(blocks, area, painter.fonts, unit)
                ],
            )
        return self._set[1]


def key_blocks(first: str = "") -> tuple[Block, ...]:
    """Every key, by where it works; one place first."""
    keys = _keys_from(first)
    places = dict.fromkeys(key.place for key in keys)
    blocks = [Block(place, [Row(key.name, key.words) for key in keys if key.place == place]) for place in places]
    return (*blocks, MOUSE)


def _keys_from(first: str) -> list[Key]:
    """All keys, place by place; first those that work at one place."""
    here = dict.fromkeys((first, *WITH_IT.get(first, ()), *([EVERYWHERE] if first else [])))
    places = dict.fromkeys((*here, *(key.place for key in KEYS)))
    return [key for place in places for key in KEYS if key.place == place]


def _lines_of(page: Sequence[Glyph], keys: Sequence[Key], metrics: TextMetrics) -> Iterator[tuple[Key, Rect]]:
    """Where each key of a page stands with the first line of what it does."""
    texts = [glyph for glyph in page if isinstance(glyph, Text)]
    for name, words in pairwise(texts):
        key = next((key for key in keys if key.name == name.text and key.words.startswith(words.text)), None)
        if key is not None:
            left, right, pad_px = name.bounds(metrics), words.bounds(metrics), metrics.cap_px(Size.SMALL) * 0.5
            yield key, Rect(left.left_px, left.top_px - pad_px, right.right_px, right.bottom_px + pad_px)


@cache
def terms() -> tuple[Row, ...]:
    """The terms of the trade and of this program."""
    found = json.loads((SHARED / "terms.json").read_text(encoding="utf-8"))
    return tuple(Row(term, meaning) for term, meaning in found.items())
