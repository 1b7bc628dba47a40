"""The coach's list: what to work on, of the lines played last, and the drill for it by one key.

A line is weighed when its turn comes, one a frame, so that the list never waits for all of them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pygame

from trainer.coaching.advice import Advice
from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.screens.hints import foot_hints, hint_at
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import COACH, Action, Command, Pressed, Screen, Scrolled
from trainer.screens.standing_line import Played, StandingLine
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import NeckPlace, unit_of
from trainer.tablature.weak_places import weak_place_glyphs
from trainer.theory.naming import counted

HINTS = (
    ("D, Enter", "drill the worst transition", Command.DRILL),
    ("L", "play the line", Command.LOOP),
    ("↑ ↓", "line", Command.DOWN),
    ("Esc", "leave", Command.BACK),
    ("F1", "keys, marks", Command.KEYS),
)
ROWS, TOP_PX, ROW_PX, TOLD_PX = 6, 112.0, 40.0, 520.0
"""How many lines are seen, where their rows begin, how high one is, and where what is told of them begins."""
SENTENCES_PX, SENTENCE_LINES, LINE_PX = 396.0, 8, 31.0
NECK_PX, TABLATURE_PX = (1330.0, 410.0, 150.0), 660.0
"""Left edge, top and height of the neck, and where the tablature begins, at unit 1."""
TABLATURE_SHARE = 0.62
NOTHING_PLAYED = "No line has been played yet: the coach has nothing to go by. Esc leads to the list of exercises."
WEIGHING = "being weighed"


@dataclass(frozen=True, slots=True)
class CoachDoors:
    """What leads out of the list."""

    drill: Callable[[Advice, Screen], Screen]
    play: Callable[[Advice, Screen], Screen]
    leave_to: Callable[[], Screen | None]


class CoachScreen:
    """`lines` were played last, the newest first; `advise(line)` is what is to be said of one."""

    takes_text = False

    def __init__(self, lines: Sequence[Exercise], advise: Callable[[Exercise], Advice], doors: CoachDoors) -> None:
        self._lines = tuple(lines)
        self._advise = advise
        self._doors = doors
        self._advice: dict[str, Advice] = {}
        self._place = 0
        self._notice = ""
        self._painter = PagePainter()
        self._painted: dict[tuple[Painter, str], StandingLine] = {}

    @property
    def selected(self) -> Advice | None:
        """What is said of the chosen line; None while it is being weighed."""
        return self._advice.get(self._lines[self._place].name) if self._lines else None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """Weigh one more line, the chosen one first."""
        rest = self._lines[self._place :] + self._lines[: self._place]
        waiting = next((line for line in rest if line.name not in self._advice), None)
        if waiting is not None:
            self._advice[waiting.name] = self._advise(waiting)
        return self

    def forget(self) -> "CoachScreen":
        """Weigh everything anew: something was played."""
        self._advice.clear()
        self._painted.clear()
        return self

    def handle(self, action: Action) -> Screen | None:
        """Choose a line, drill, play, or leave."""
        match action:
            case Command.BACK:
                return self._doors.leave_to()
            case Command.QUIT:
                return None
            case Command.KEYS:
                return KeysScreen(self, place=COACH)
            case Command.DRILL | Command.CHOOSE | Command.LOOP:
                return self._go(action)
            case Pressed():
                return self._press(action)
            case Command.UP | Command.DOWN:
                self._move(1 if action is Command.DOWN else -1)
            case Scrolled(lines=lines):
                self._move(1 if lines > 0 else -1)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the list and what is said of the chosen line."""
        size = surface.get_size()
        painter = self._painter.ground(surface, dict(self._rows(size)).get(self._place))
        painter.draw(surface, self._glyphs(size, painter))
        line = self._tablature(size, painter)
        if line is not None:
            line.draw(surface, self._page(line))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        glyphs, line = self._glyphs(size, painter), self._tablature(size, painter)
        found = texts_of(glyphs, painter.fonts)
        return found + (line.texts(self._page(line)) if line is not None else [])

    def _go(self, command: Command) -> Screen:
        advice = self.selected
        if advice is None:
            return self
        if command is Command.LOOP:
            return self._doors.play(advice, self)
        if advice.worst is None:
            self._notice = "No transition of this line is weak: there is nothing to drill. L plays the line."
            return self
        return self._doors.drill(advice, self)

    def _move(self, by: int) -> None:
        self._place, self._notice = max(0, min(len(self._lines) - 1, self._place + by)), ""

    def _press(self, pressed: Pressed) -> Screen | None:
        """A hint does what it says; a row is chosen, and the chosen one drilled."""
        if self._painter.latest is None:
            return self
        size, painter = self._painter.latest
        hint = hint_at(HINTS, size, painter, pressed)
        if hint is not None:
            return self.handle(hint)
        for place, row in self._rows(size):
            if row.holds(pressed.x_px, pressed.y_px):
                if place == self._place:
                    return self._go(Command.DRILL)
                self._move(place - self._place)
                break
        return self

    def _rows(self, size: tuple[int, int]) -> list[tuple[int, Rect]]:
        unit = unit_of(*size)
        first = max(0, min(self._place - ROWS // 2, len(self._lines) - ROWS))
        rows = []
        for row, place in enumerate(range(first, min(len(self._lines), first + ROWS))):
            top_px = (TOP_PX + row * ROW_PX) * unit
            rows.append((place, Rect(36 * unit, top_px, size[0] - 36 * unit, top_px + ROW_PX * unit)))
        return rows

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        left_px, right_px, told_px = 48 * unit, size[0] - 48 * unit, TOLD_PX * unit
        glyphs: list[Glyph] = [
            Text(left_px, 50 * unit, "Coach: what to work on", Size.TITLE, Ink.INK, Anchor.LEFT),
            *foot_hints(HINTS, size, painter),
        ]
        if not self._lines:
            glyphs.append(Text(left_px, TOP_PX * unit, NOTHING_PLAYED, Size.BODY, Ink.INK, Anchor.LEFT))
        for place, row in self._rows(size):
            y_px, line = (row.top_px + row.bottom_px) / 2, self._lines[place]
            advice = self._advice.get(line.name)
            title = fonts.elided(line.title, Size.BODY, told_px - left_px - 24 * unit)
            told = fonts.elided(_told(advice), Size.SMALL, right_px - told_px)
            is_weak = advice is not None and advice.worst is not None
            glyphs += [
                Text(left_px, y_px, title, Size.BODY, Ink.INK, Anchor.LEFT),
                Text(told_px, y_px, told, Size.SMALL, Ink.INK if is_weak else Ink.MUTED, Anchor.LEFT),
            ]
        return [*glyphs, *self._sayings(size, painter)]

    def _sayings(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        """The sentences about the chosen line, and its weak transitions on the neck."""
        advice, unit = self.selected, painter.unit
        if advice is None:
            return []
        neck_left_px, neck_top_px, neck_px = (length_px * unit for length_px in NECK_PX)
        room_px = (neck_left_px if advice.weak else size[0] - 48 * unit) - 96 * unit
        sentences = [(self._notice, Ink.NOW), *((words, Ink.INK) for words in advice.sentences())]
        lines = [(line, ink) for words, ink in sentences for line in painter.fonts.wrapped(words, Size.SMALL, room_px)]
        glyphs: list[Glyph] = [
            Text(48 * unit, (SENTENCES_PX + LINE_PX * place) * unit, line, Size.SMALL, ink, Anchor.LEFT)
            for place, (line, ink) in enumerate(lines[:SENTENCE_LINES])
        ]
        if not advice.weak:
            return glyphs
        exercise = advice.exercise
        board = Rect(neck_left_px, neck_top_px, size[0] - 48 * unit, neck_top_px + neck_px)
        place = NeckPlace(board, len(exercise.tuning.open_pitches), exercise.last_fret, unit)
        return [*glyphs, *weak_place_glyphs(exercise, _pairs(advice), place)]

    def _tablature(self, size: tuple[int, int], painter: Painter) -> StandingLine | None:
        advice = self.selected
        if advice is None:
            return None
        key = painter, advice.exercise.name
        if key not in self._painted:
            unit = painter.unit
            area = Rect(48 * unit, TABLATURE_PX * unit, size[0] - 48 * unit, size[1] - 60 * unit)
            played = Played({}, {}, {}, {}, _pairs(advice))
            share = Painter(unit * TABLATURE_SHARE)
            self._painted[key] = StandingLine(advice.exercise, advice.tempo, area, share, played=played)
        return self._painted[key]

    def _page(self, line: StandingLine) -> int:
        """The page of the tablature on which the worst transition stands."""
        advice = self.selected
        return 0 if advice is None or advice.worst is None else line.page_of(advice.worst.to_index)


def _pairs(advice: Advice) -> list[tuple[int, int]]:
    return [(each.from_index, each.to_index) for each in advice.weak]


def _told(advice: Advice | None) -> str:
    """A line in a row: how many passes, and the worst transition."""
    if advice is None:
        return WEIGHING
    passes = counted(advice.weighing.passes, "pass")
    if advice.worst is not None:
        return f"{passes}: {advice.figures(advice.worst)}"
    if not advice.weighing.is_enough:
        return f"{passes}, not enough yet: {advice.weighing.more_needed} more"
    return f"{passes}: nothing stands out"
