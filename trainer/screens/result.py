"""The result of one sitting with a line: figures, what the coach says, each pass, and the line with all of it drawn in.

Nothing here grades: it says what was played, by how many ms, and where.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median

import pygame

from trainer.coaching.advice import Advice
from trainer.coaching.rests import SinceBreak
from trainer.playing.messages import StampedMessage
from trainer.run import RunPlan
from trainer.screens.choices import TEMPO_STEP, playable_tempo
from trainer.screens.hints import FOOT_PX, Hint, foot_hints, foot_targets
from trainer.screens.keys import KeysScreen
from trainer.screens.look import colour
from trainer.screens.paint import PagePainter, Painter
from trainer.screens.practice import Outcome
from trainer.screens.result_columns import (
    TOP_PX,
    Remark,
    coach_column,
    coach_rows,
    column,
    neck_column,
    pass_rows,
    remarks_column,
    rows_column,
    sitting_words,
)
from trainer.screens.screen import RESULT, Action, Command, Pressed, Screen, Scrolled, Target, target_at
from trainer.screens.standing_line import Played, StandingLine
from trainer.screens.twin_table import WHOLE, Comparison, table_glyphs
from trainer.screens.words import PACE_WORDS, line_words, tempo_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of
from trainer.tablature.record import deviations_ms, latest_explained, latest_states, misses, spreads

TWINS_BOTTOM_PX = 430.0
COACH_PX, COACH_ROOM_PX, RIGHT_PX = 440.0, 890.0, 1374.0
"""Where the coach's column begins and how wide it is, and where the one on the right begins, at unit 1."""
CAPTION = "trace: median and middle half of all passes · 2× = missed or wrong twice"
TABLATURE_SHARE = 0.62
"""The tablature is drawn at this share of the scale of the practice picture."""


@dataclass(frozen=True, slots=True)
class Onward:
    """A way on from the result, beside playing again and leaving."""

    key: str
    words: str
    command: Command
    go: Callable[[], Screen]


class ResultScreen:
    """What a sitting left behind.

    `advice` is what the coach says of the line over the last passes, `remarks` what else is to be said there: what a
    drill changed; of a drill, which has no advice, what it is for and how it went. `play_again(plan)` and `leave_to()`
    are where to go on, `onward` other ways; `drill_into(index)` drills the transition into a note. `rest(now_ns)` is
    how long was played since the last break; `trouble()` what is wrong with the history, and what to do.
    """

    takes_text = False

    def __init__(
        self,
        outcome: Outcome,
        *,
        play_again: Callable[[RunPlan], Screen],
        leave_to: Callable[[], Screen],
        advice: Advice | None = None,
        remarks: Sequence[str] = (),
        onward: Sequence[Onward] = (),
        drill_into: Callable[[int], Screen] | None = None,
        comparison: Comparison | None = None,
        rest: Callable[[int], SinceBreak] = lambda _now_ns: SinceBreak(0, 0),
        trouble: Callable[[], str] = lambda: "",
    ) -> None:
        self._outcome = outcome
        self._advice = advice
        self._remarks = tuple(remarks)
        self._onward = tuple(onward)
        self._drill_into = drill_into
        self._comparison = comparison
        self._compares = False
        self._shows_neck = advice is not None and bool(advice.weak)
        self._rest = rest
        self._trouble = trouble
        self._play_again = play_again
        self._leave_to = leave_to
        self._page = 0
        self._now_ns = 0
        self._cursor: int | None = None
        """The note that is explained."""
        self._painter = PagePainter()
        self._painted: tuple[Painter, StandingLine] | None = None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Stay; judge one more take of the twins that are compared."""
        self._now_ns = now_ns
        if self._compares and self._comparison is not None:
            self._comparison.go_on()
        return self

    def handle(self, action: Action) -> Screen | None:
        """Play again, go on, leave, turn a page of the tablature, explain a note, or compare twins."""
        match action:
            case Pressed() if self._painter.latest is not None:
                command = target_at(self._hint_targets(self._painter.latest[0]), action)
                return self._press(action) if command is None else self.handle(command)
            case Scrolled(lines=lines):
                self._change(Command.NEXT_BAR if lines > 0 else Command.PREVIOUS_BAR)
            case Command.DRILL if self._drill_into is not None and self._cursor:
                return self._drill_into(self._cursor)
            case Command() if (onward := self._leading(action)) is not None:
                return onward.go()
            case Command.CHOOSE | Command.RESTART | Command.PAUSE:
                return self._play_again(self._outcome.plan)
            case Command.SLOWER | Command.FASTER:
                plan = self._outcome.plan
                step = TEMPO_STEP if action is Command.FASTER else -TEMPO_STEP
                return self._play_again(plan.at_tempo(playable_tempo(plan.tempo.quarters_per_minute + step)))
            case Command.BACK:
                return self._leave_to()
            case Command.QUIT:
                return None
            case Command.KEYS:
                return KeysScreen(self, place=RESULT)
            case Command():
                self._change(action)
            case _:
                pass
        return self

    def _press(self, pressed: Pressed) -> Screen:
        """Explain the note that is pressed; else the drill for the weak transition that is."""
        touched = None if self._painted is None else self._painted[1].note_at(self._page, pressed.x_px, pressed.y_px)
        if touched is None:
            return self._press_row(pressed)
        self._compares, self._cursor = False, touched
        return self

    def _press_row(self, pressed: Pressed) -> Screen:
        """The drill for the weak transition that is pressed."""
        size, painter = self._painter.latest or ((0, 0), None)
        shows_coach = self._cursor is None and not self._compares
        if painter is None or self._advice is None or self._drill_into is None or not shows_coach:
            return self
        unit = unit_of(*size)
        x_px, room_px = (48 + COACH_PX) * unit, COACH_ROOM_PX * unit
        for index, row in coach_rows(self._advice, self._all_remarks(), x_px, room_px, painter):
            if row.holds(pressed.x_px, pressed.y_px):
                return self._drill_into(index)
        return self

    def _all_remarks(self) -> list[Remark]:
        trouble = self._trouble()
        return [*([(trouble, Ink.SLIP)] if trouble else []), *((words, Ink.INK) for words in self._remarks)]

    def _change(self, command: Command) -> None:
        """What is shown."""
        match command:
            case Command.TWINS if self._comparison is not None:
                self._compares, self._cursor = not self._compares, None
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE if self._has_neck:
                self._shows_neck = not self._shows_neck
            case Command.RIGHT | Command.NEXT_BAR:
                self._page += 1
            case Command.LEFT | Command.PREVIOUS_BAR:
                self._page = max(0, self._page - 1)
            case Command.DOWN:
                self._point(-1 if self._cursor is None else self._cursor, 1)
            case Command.UP:
                self._point(0 if self._cursor is None else self._cursor, -1)
            case _:
                pass

    def _leading(self, command: Command) -> Onward | None:
        return next((onward for onward in self._onward if onward.command is command), None)

    @property
    def _has_neck(self) -> bool:
        return self._advice is not None and bool(self._advice.weak)

    def _point(self, place: int, by: int) -> None:
        """Move to the next note either way; before the first one the figures are shown again."""
        place += by
        self._compares = False
        self._cursor = min(place, len(self._outcome.plan.exercise.notes) - 1) if place >= 0 else None
        if self._cursor is not None and self._painted is not None:
            self._page = self._painted[1].page_of(self._cursor)

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the result."""
        self._now_ns = now_ns
        painter, line = self._parts(surface.get_size())
        surface.fill(colour(Ink.GROUND))
        painter.draw(surface, self._glyphs(surface.get_size()))
        line.draw(surface, self._page, self._cursor)

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter, line = self._parts(size)
        found = [(glyph.text, glyph.bounds(painter.fonts)) for glyph in self._glyphs(size) if isinstance(glyph, Text)]
        return found + line.texts(self._page)

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, StandingLine]:
        page_painter = self._painter.of(size)
        if self._painted is None or self._painted[0] is not page_painter:
            unit = unit_of(*size)
            area = Rect(48 * unit, 440 * unit, size[0] - 48 * unit, size[1] - 44 * unit)
            painter = Painter(unit * TABLATURE_SHARE)
            plan = self._outcome.plan
            line = StandingLine(plan.exercise, plan.tempo, area, painter, played=self._played())
            self._painted = (page_painter, line)
        self._page = min(self._page, self._painted[1].pages - 1)
        return self._painted

    def _played(self) -> Played:
        stretches = self._outcome.stretches
        return Played(
            states=latest_states(stretches),
            medians_ms={index: median(values) for index, values in deviations_ms(stretches).items()},
            spreads=spreads(stretches),
            misses={index: missed for index, (missed, _) in misses(stretches).items() if missed},
            transitions=[(one.from_index, one.to_index) for one in (self._advice.weak if self._advice else ())],
        )

    def _glyphs(self, size: tuple[int, int]) -> list[Glyph]:
        unit = unit_of(*size)
        painter, line = self._parts(size)
        left_px, right_px = 48 * unit, size[0] - 48 * unit
        plan = self._outcome.plan
        fonts = painter.fonts
        room_px = (right_px - left_px) * 0.48
        glyphs: list[Glyph] = [
            Text(
                left_px,
                50 * unit,
                fonts.elided(plan.exercise.title, Size.TITLE, room_px),
                Size.TITLE,
                Ink.INK,
                Anchor.LEFT,
            ),
            Text(
                left_px,
                98 * unit,
                fonts.elided(line_words(plan.exercise), Size.BODY, room_px),
                Size.BODY,
                Ink.MUTED,
                Anchor.LEFT,
            ),
            Text(right_px, 50 * unit, tempo_words(plan.tempo), Size.TITLE, Ink.INK, Anchor.RIGHT),
            Text(right_px, 98 * unit, PACE_WORDS[plan.pace], Size.BODY, Ink.MUTED, Anchor.RIGHT),
            *self._figures(left_px, right_px, painter),
        ]
        hints = foot_hints(self._hints(line), size, painter)
        caption = Text(right_px, size[1] - FOOT_PX * unit, CAPTION, Size.SMALL, Ink.MUTED, Anchor.RIGHT)
        if caption.bounds(fonts).left_px > hints[-1].bounds(fonts).right_px + 30 * unit:  # the marks are on F1 as well
            glyphs.append(caption)
        return [*glyphs, *hints, *self._notices(right_px, painter)]

    def _notices(self, right_px: float, painter: Painter) -> list[Glyph]:
        """How long was played since the last break, left of the tempo."""
        rest = self._rest(self._now_ns)
        if not rest.words():
            return []
        ink = Ink.NOW if rest.is_due else Ink.MUTED
        return [Text(right_px - 290 * painter.unit, 52 * painter.unit, rest.words(), Size.BODY, ink, Anchor.RIGHT)]

    def _hints(self, line: StandingLine) -> list[Hint]:
        more = [("← →", f"more of the line, {self._page + 1} of {line.pages}", Command.RIGHT)] if line.pages > 1 else []
        twins = [("F6", "figures" if self._compares else "twins", Command.TWINS)] if self._comparison else []
        neck = [("Tab", "passes" if self._shows_neck else "neck", Command.NEXT_CHOICE)] if self._has_neck else []
        return [
            ("Enter", "again", Command.CHOOSE),
            ("Esc", "list", Command.BACK),
            *self._onward_hints(),
            *more,
            ("↓ ↑", "why", Command.DOWN),
            *neck,
            *twins,
            ("F1", "keys, marks", Command.KEYS),
        ]

    def _onward_hints(self) -> list[Hint]:
        hints = {one.command: (one.key, one.words, one.command) for one in self._onward}
        if self._drill_into is not None and self._cursor:
            drill = "D", f"drill notes {self._cursor - 1} to {self._cursor}", Command.DRILL
            hints = {Command.DRILL: drill} | {command: hint for command, hint in hints.items() if command != drill[2]}
        return list(hints.values())

    def _hint_targets(self, size: tuple[int, int]) -> list[Target]:
        _, line = self._parts(size)
        return foot_targets(self._hints(line), size, self._painter.of(size))

    def _figures(self, left_px: float, right_px: float, painter: Painter) -> list[Glyph]:
        """The columns of figures, or why the note at the cursor was judged as it was."""
        unit = painter.unit
        if self._cursor is not None:
            lines = latest_explained(self._outcome.stretches, self._cursor) or ("It was not attempted.",)
            return column("Why it was judged so", list(lines), left_px, right_px - left_px, painter)
        if self._compares and self._comparison is not None:
            area = Rect(left_px, (TOP_PX - 24) * unit, right_px, TWINS_BOTTOM_PX * unit)
            name = self._outcome.plan.exercise.name
            return table_glyphs(self._comparison, name, area, WHOLE, painter.fonts, unit)
        stretches, advice = self._outcome.stretches, self._advice
        coach_px, beside_px = left_px + COACH_PX * unit, left_px + RIGHT_PX * unit
        glyphs = column("This sitting", sitting_words(stretches), left_px, (COACH_PX - 30) * unit, painter)
        remarks = self._all_remarks()
        if advice is not None:
            glyphs += coach_column(advice, remarks, coach_px, COACH_ROOM_PX * unit, painter)
        elif remarks:
            glyphs += remarks_column("Drill" if self._remarks else "", remarks, coach_px, COACH_ROOM_PX * unit, painter)
        if advice is not None and self._shows_neck:
            return [*glyphs, *neck_column(advice, beside_px, right_px, painter)]
        return [*glyphs, *rows_column("Pass by pass", pass_rows(stretches), beside_px, right_px - beside_px, painter)]
