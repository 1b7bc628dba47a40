"""Progress on the screen: one picture of the weeks a page, with the sentence that says what it shows.

Pictures are rendered by whoever is asked for them, all of them when the room is entered; frames only copy them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pygame

from trainer.playing.messages import StampedMessage
from trainer.screens.hints import foot_hints, hint_at
from trainer.screens.keys import KeysScreen
from trainer.screens.look import Look, worn
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import COACH, Action, Command, Pressed, Screen, Scrolled
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of

PICTURE_TOP_PX, PICTURE_BOTTOM_PX = 262.0, 64.0
"""Where the picture begins, and what is left below it, at unit 1."""
SENTENCE_LINES = 4
HINTS = (
    ("← →", "the picture before, the next one", Command.RIGHT),
    ("D", "coach: what to work on", Command.DRILL),
    ("Esc", "leave", Command.BACK),
    ("F1", "keys, marks", Command.KEYS),
)
ON = frozenset({Command.RIGHT, Command.DOWN, Command.NEXT_BAR, Command.NEXT_CHOICE, Command.CHOOSE})
BACK = frozenset({Command.LEFT, Command.UP, Command.PREVIOUS_BAR, Command.PREVIOUS_CHOICE})
Draw = Callable[[tuple[int, int], float], bytes]
"""Size and unit to RGBA, row by row, opaque."""


@dataclass(frozen=True, slots=True)
class ProgressPage:
    """One picture."""

    title: str
    sentence: str
    draw: Draw | None
    """None: there is not enough for a picture."""


class ProgressScreen:
    """The pages; `heading` says whose they are and of when.

    `coach(self)` is the coach's list, `leave_to()` is where to go when it is left.
    """

    takes_text = False

    def __init__(
        self,
        pages: Sequence[ProgressPage],
        heading: str,
        leave_to: Callable[[], Screen | None],
        coach: Callable[[Screen], Screen] = lambda screen: screen,
    ) -> None:
        if not pages:
            raise ValueError("at least one page is needed")
        self._pages = tuple(pages)
        self._heading = heading
        self._leave_to = leave_to
        self._coach = coach
        self._page = 0
        self._painter = PagePainter()
        self._rendered: dict[tuple[int, int, Look], tuple[pygame.Surface | None, ...]] = {}

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """Stay."""
        return self

    def handle(self, action: Action) -> Screen | None:
        """Turn the page, or leave."""
        match action:
            case Command.BACK:
                return self._leave_to()
            case Command.DRILL:
                return self._coach(self)
            case Command.QUIT:
                return None
            case Command.KEYS:
                return KeysScreen(self, place=COACH)
            case Pressed() if self._painter.latest is not None:
                size, painter = self._painter.latest
                pressed = hint_at(HINTS, size, painter, action)
                return self if pressed is None else self.handle(pressed)
            case Scrolled(lines=lines):
                self._turn(1 if lines > 0 else -1)
            case Command() if action in ON or action in BACK:
                self._turn(1 if action in ON else -1)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the page."""
        size = surface.get_size()
        painter = self._painter.ground(surface)
        picture = self._picture(size)
        if picture is not None:
            unit = unit_of(*size)
            surface.blit(picture, (round(48 * unit), round(PICTURE_TOP_PX * unit)))
        painter.draw(surface, self._glyphs(size, painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return texts_of(self._glyphs(size, painter), painter.fonts)

    def _turn(self, by: int) -> None:
        self._page = (self._page + by) % len(self._pages)

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, page, fonts = unit_of(*size), self._pages[self._page], painter.fonts
        left_px, right_px = 48 * unit, size[0] - 48 * unit
        where = f"{self._page + 1} of {len(self._pages)}"
        title = fonts.elided(page.title, Size.TITLE, (right_px - left_px) * 0.85)
        heading = fonts.elided(self._heading, Size.BODY, right_px - left_px)
        lines = fonts.wrapped(page.sentence, Size.BODY, right_px - left_px)[:SENTENCE_LINES]
        return [
            Text(left_px, 50 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(right_px, 50 * unit, where, Size.BODY, Ink.MUTED, Anchor.RIGHT),
            Text(left_px, 98 * unit, heading, Size.BODY, Ink.MUTED, Anchor.LEFT),
            *(
                Text(left_px, (144 + 34 * place) * unit, line, Size.BODY, Ink.INK, Anchor.LEFT)
                for place, line in enumerate(lines)
            ),
            *foot_hints(HINTS, size, painter),
        ]

    def _picture(self, size: tuple[int, int]) -> pygame.Surface | None:
        """The page's picture; all are rendered when a size is first shown, so that turning pages never waits.

        A key that turns pages would repeat itself during a wait, and skip some.
        """
        key = (*size, worn())
        if key not in self._rendered:
            unit = unit_of(*size)
            room = (
                max(200, round(size[0] - 96 * unit)),
                max(120, round(size[1] - (PICTURE_TOP_PX + PICTURE_BOTTOM_PX) * unit)),
            )
            self._rendered = {
                key: tuple(
                    None if page.draw is None else pygame.image.frombuffer(page.draw(room, unit), room, "RGBX")
                    for page in self._pages
                )
            }
        return self._rendered[key][self._page]
