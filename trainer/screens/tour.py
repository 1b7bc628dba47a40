"""The guided tour: the screens as they are while somebody plays, and under them what is to be seen there.

At each stop something plays up to a note and then stands, with the cursor on that note; or a page stands. The keys and
the mouse belong to the tour. What it shows is made by whoever makes the stops.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import pygame

from trainer.playing.messages import StampedMessage
from trainer.screens.hints import Hint, foot_hints, hint_at
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import Action, Command, Pressed, Screen, Scrolled
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.layout import unit_of

BAND_PX = 190.0
"""The height of what is said, below what is shown, at unit 1."""
TITLE_PX, WORDS_PX, ROW_PX = 36.0, 80.0, 38.0
"""Where the title and the first line of words stand in it, and how far apart lines are, at unit 1."""
ONWARDS = frozenset({Command.RIGHT, Command.CHOOSE, Command.PAUSE, Command.NEXT_CHOICE, Command.DOWN, Command.NEXT_BAR})
BACKWARDS = frozenset({Command.LEFT, Command.PREVIOUS_CHOICE, Command.UP, Command.PREVIOUS_BAR})


class Shown(Screen, Protocol):
    """A screen that says where its texts are."""

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts and where their capitals lie."""
        ...


@dataclass(frozen=True, slots=True)
class Stop:
    """Something to be seen.

    `show(now_ns)` is the screen; with a `note` it plays for `plays_ns` from then on and stands at that note.
    """

    title: str
    words: str
    show: Callable[[int], Shown]
    note: int | None = None
    plays_ns: int = 0


class TourScreen:
    """`leave()` is where the tour was asked for."""

    takes_text = False

    def __init__(self, stops: Sequence[Stop], leave: Callable[[], Screen]) -> None:
        self._stops = stops
        self._leave = leave
        self._at = 0
        self._shown: Shown | None = None
        self._began_ns = 0
        self._is_playing = False
        self._now_ns = 0
        self._painter = PagePainter()

    @property
    def stop(self) -> Stop:
        """Where the tour is."""
        return self._stops[self._at]

    @property
    def is_playing(self) -> bool:
        """Whether it has not come to the note yet."""
        return self._is_playing

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nobody plays here
        """Let it play up to the note."""
        self._now_ns = now_ns
        shown = self._scene()
        if self._is_playing:
            shown.update((), now_ns)
            if now_ns - self._began_ns >= self.stop.plays_ns:
                self._stand(shown)
        return self

    def handle(self, action: Action) -> Screen | None:
        """On, back, or away."""
        match action:
            case Command.QUIT:
                return None
            case Command.BACK:
                return self._leave()
            case Command() if action in ONWARDS:
                return self._go(1)
            case Command() if action in BACKWARDS:
                return self._go(-1)
            case Scrolled(lines=lines):
                return self._go(1 if lines > 0 else -1)
            case Pressed() if self._painter.latest is not None:
                hint = hint_at(self._hints(), *self._painter.latest, action)
                return self if hint is None else self.handle(hint)
            case _:
                return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the screen that is shown, and the words under it."""
        size = surface.get_size()
        painter = self._painter.ground(surface)
        self._scene().draw(surface.subsurface((0, 0, *_upper(size))), now_ns)
        painter.draw(surface, self._glyphs(size, painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return [*self._scene().texts(_upper(size)), *texts_of(self._glyphs(size, painter), painter.fonts)]

    def _scene(self) -> Shown:
        if self._shown is None:
            self._shown = self.stop.show(self._now_ns)
            self._began_ns, self._is_playing = self._now_ns, self.stop.note is not None
        return self._shown

    def _stand(self, shown: Shown) -> None:
        """Pause as the player would, and go to the note."""
        self._is_playing = False
        for command in (Command.PAUSE, Command.FIRST, *[Command.RIGHT] * (self.stop.note or 0)):
            shown.handle(command)

    def _go(self, by: int) -> Screen:
        """Another stop; behind the last one the tour is over."""
        if self._at + by >= len(self._stops):
            return self._leave()
        if self._at + by >= 0:
            self._at += by
            self._shown = None
        return self

    def _hints(self) -> tuple[Hint, ...]:
        is_last = self._at == len(self._stops) - 1
        return (
            ("→", "end of the tour" if is_last else "next", Command.RIGHT),
            ("←", "back", Command.LEFT),
            ("Esc", "leave the tour", Command.BACK),
        )

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts, top_px = painter.unit, painter.fonts, float(_upper(size)[1])
        left_px, right_px = 48 * unit, size[0] - 48 * unit
        count = f"{self._at + 1} of {len(self._stops)}"
        return [
            Line(0, top_px, size[0], top_px, 2 * unit, Ink.MUTED),
            Text(left_px, top_px + TITLE_PX * unit, self.stop.title, Size.HEAD, Ink.INK, Anchor.LEFT),
            Text(right_px, top_px + TITLE_PX * unit, count, Size.SMALL, Ink.MUTED, Anchor.RIGHT),
            *(
                Text(left_px, top_px + (WORDS_PX + row * ROW_PX) * unit, line, Size.BODY, Ink.INK, Anchor.LEFT)
                for row, line in enumerate(fonts.wrapped(self.stop.words, Size.BODY, right_px - left_px))
            ),
            *foot_hints(self._hints(), size, painter),
        ]


def _upper(size: tuple[int, int]) -> tuple[int, int]:
    """The size of what is shown."""
    return size[0], size[1] - round(BAND_PX * unit_of(*size))
