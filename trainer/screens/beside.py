"""One line over another: which it is set beside is chosen here, and either of them can be heard."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pygame

from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.screens.hints import FOOT_PX, MARGIN_PX, ROW_PX, Hint, hint_rows, row_targets
from trainer.screens.keys import KeysScreen
from trainer.screens.listening import Listening
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import BESIDE, Action, Command, Pressed, Screen, Scrolled, target_at
from trainer.screens.two_lines import TwoLines
from trainer.screens.words import line_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of

LINES_PX, LINE_SHARE = 206.0, 0.8
"""Where the tablature begins, at unit 1, and the share of the page's scale that it is drawn at."""
LEAST_SHARE = 0.45
"""It is drawn smaller, down to this, where one row of both lines has no room else."""


@dataclass(frozen=True, slots=True)
class BesideDoors:
    """What leads out, and what is needed from outside."""

    hear: Callable[[Exercise], int]
    """Let a line sound; when its first beat is heard."""
    hush: Callable[[], None]
    leave: Callable[[], Screen]


class BesideScreen:
    """`others` are the lines that `line` can be set over, the first one to begin with; there is at least one."""

    takes_text = False

    def __init__(self, line: Exercise, others: Sequence[Exercise], doors: BesideDoors) -> None:
        self._line, self._others, self._doors = line, tuple(others), doors
        self._place = self._page = 0
        self._is_swapped = False
        self._listening = Listening(doors.hear, doors.hush)
        self._painter = PagePainter()
        self._made: tuple[object, TwoLines] | None = None

    @property
    def lines(self) -> tuple[Exercise, Exercise]:
        """The upper and the lower one."""
        pair = self._line, self._others[self._place]
        return (pair[1], pair[0]) if self._is_swapped else pair

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """End what has sounded."""
        self._listening.advance(now_ns)
        return self

    def handle(self, action: Action) -> Screen | None:
        """Choose the other line, turn the page, hear one of them, or leave."""
        match action:
            case Pressed() if self._painter.latest is not None:
                size, painter = self._painter.latest
                command = target_at(row_targets(self._hints, size, painter.fonts, painter.unit), action)
                return self if command is None else self.handle(command)
            case Scrolled(lines=lines):
                self._choose(self._place + (1 if lines > 0 else -1))
            case Command.UP | Command.DOWN:
                self._choose(self._place + (1 if action is Command.DOWN else -1))
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                self._is_swapped = not self._is_swapped
            case Command.LEFT | Command.RIGHT | Command.PREVIOUS_BAR | Command.NEXT_BAR:
                self._page += 1 if action in (Command.RIGHT, Command.NEXT_BAR) else -1
            case Command.LISTEN | Command.HEAR:
                self._hear(self.lines[0 if action is Command.LISTEN else 1])
            case Command.KEYS:
                return KeysScreen(self, place=BESIDE)
            case Command.BACK | Command.QUIT:
                self._listening.stop()
                return self._doors.leave() if action is Command.BACK else None
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint both lines."""
        size, painter = surface.get_size(), self._painter.ground(surface)
        lines, page = self._two_lines(size, painter)
        painter.draw(surface, self._glyphs(size, painter))
        lines.draw(surface, page)

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        lines, page = self._two_lines(size, painter)
        return texts_of(self._glyphs(size, painter), painter.fonts) + lines.texts(page)

    def _choose(self, place: int) -> None:
        self._listening.stop()
        self._place, self._page = max(0, min(len(self._others) - 1, place)), 0

    def _hear(self, line: Exercise) -> None:
        was_on = self._listening.is_on
        self._listening.stop()
        if not was_on:
            self._listening.start(line)

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        left_px, right_px = MARGIN_PX * unit, size[0] - MARGIN_PX * unit
        upper, lower = self.lines
        lines, page = self._two_lines(size, painter)
        pages = f"page {page + 1} of {lines.pages}" if lines.pages > 1 else ""
        room_px = right_px - left_px - fonts.width_px(pages, Size.SMALL) - 30 * unit
        title = fonts.elided(f"{upper.title} over {lower.title}", Size.TITLE, room_px)
        said = fonts.elided(lines.said, Size.BODY, right_px - left_px)
        bars = "" if upper.meter == lower.meter else ", whose bars these are"
        about = [
            fonts.elided(f"{name}: {line.title} · {line_words(line)}", Size.SMALL, right_px - left_px)
            for name, line in ((f"upper{bars}", upper), ("lower", lower))
        ]
        return [
            Text(left_px, 50 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(right_px, 50 * unit, pages, Size.SMALL, Ink.MUTED, Anchor.RIGHT),
            Text(left_px, 100 * unit, said, Size.BODY, Ink.INK, Anchor.LEFT),
            Text(left_px, 142 * unit, about[0], Size.SMALL, Ink.MUTED, Anchor.LEFT),
            Text(left_px, 176 * unit, about[1], Size.SMALL, Ink.MUTED, Anchor.LEFT),
            *hint_rows(self._hints, size, fonts, unit),
        ]

    def _two_lines(self, size: tuple[int, int], painter: Painter) -> tuple[TwoLines, int]:
        """Both lines for this size, and the page of them that is shown."""
        upper, lower = self.lines
        key = (upper, lower, painter)
        if self._made is None or self._made[0] != key:
            unit = painter.unit
            area = Rect(
                MARGIN_PX * unit,
                LINES_PX * unit,
                size[0] - MARGIN_PX * unit,
                size[1] - (FOOT_PX + 2 * ROW_PX) * unit,
            )
            made = TwoLines(upper, lower, area, Painter(unit_of(*size) * LINE_SHARE))
            share = LINE_SHARE * (area.bottom_px - area.top_px) / made.height_px
            if share < LINE_SHARE:
                made = TwoLines(upper, lower, area, Painter(unit_of(*size) * max(LEAST_SHARE, share)))
            self._made = key, made
        lines = self._made[1]
        self._page = max(0, min(lines.pages - 1, self._page))
        return lines, self._page

    @property
    def _hints(self) -> tuple[tuple[Hint, ...], ...]:
        return (
            (
                ("↓", "the next line below", Command.DOWN),
                ("↑", "the one before", Command.UP),
                ("Tab", "swap them", Command.NEXT_CHOICE),
                ("→", "on", Command.RIGHT),
                ("←", "back", Command.LEFT),
            ),
            (
                ("F3", "hear the upper", Command.LISTEN),
                ("H", "hear the lower", Command.HEAR),
                ("Esc", "back", Command.BACK),
                ("F1", "keys", Command.KEYS),
            ),
        )
