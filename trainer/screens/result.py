"""The result of one sitting with a line: figures, weak transitions, each pass, and the line with all of it drawn in.

Nothing here grades: it says what was played, by how many ms, and where.
"""

from collections.abc import Callable
from statistics import median

import pygame

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Match, Missed, Slip, WrongNote
from trainer.playing.messages import StampedMessage
from trainer.run import RunPlan
from trainer.screens.hints import hint_targets, key_hints
from trainer.screens.keys import KeysScreen
from trainer.screens.look import colour
from trainer.screens.paint import PagePainter, Painter
from trainer.screens.practice import Outcome
from trainer.screens.screen import Action, Command, Pressed, Screen, Scrolled, Target, target_at
from trainer.screens.standing_line import Played, StandingLine
from trainer.screens.twin_table import WHOLE, Comparison, table_glyphs
from trainer.screens.words import PACE_WORDS, late_words, line_words, minutes_words, tempo_words
from trainer.tablature.figures import pass_summary, technique_words
from trainer.tablature.glyphs import Anchor, Box, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of
from trainer.tablature.record import (
    WeakTransition,
    deviations_ms,
    latest_explained,
    latest_states,
    misses,
    pooled_techniques,
    spreads,
    weak_transitions,
)
from trainer.tablature.trace import signed_ms

BREAK_AFTER_NS = 25 * 60_000_000_000
"""Common advice to players: five minutes of rest after 25 of playing alone."""
SHOWN_TRANSITIONS = 4
AUDIBLE_MS = Tolerance().shown_ns / 1e6
"""What no listener hears is no weakness."""
SHOWN_PASSES = 7
TWINS_BOTTOM_PX = 430.0
TOP_PX, LINE_PX = 172.0, 33.0
"""Where the columns begin and how far apart their lines are, at unit 1."""
CAPTION = "trace: median and middle half of all passes · 2× = missed or wrong twice"
TABLATURE_SHARE = 0.62
"""The tablature is drawn at this share of the scale of the practice picture."""


class ResultScreen:
    """What a sitting left behind.

    `played_ns` is how long the player has played since the last break; `play_again(plan)` and `leave_to()` are where to
    go on.
    """

    takes_text = False

    def __init__(
        self,
        outcome: Outcome,
        *,
        played_ns: int,
        play_again: Callable[[RunPlan], Screen],
        leave_to: Callable[[], Screen],
        comparison: Comparison | None = None,
    ) -> None:
        self._outcome = outcome
        self._comparison = comparison
        self._compares = False
        self._played_ns = played_ns
        self._play_again = play_again
        self._leave_to = leave_to
        self._weak = tuple(one for one in weak_transitions(outcome.stretches) if one.cost_ms > AUDIBLE_MS)[
            :SHOWN_TRANSITIONS
        ]
        self._page = 0
        self._cursor: int | None = None
        """The note that is explained."""
        self._painter = PagePainter()
        self._painted: tuple[Painter, StandingLine] | None = None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - nothing moves here
        """Stay; judge one more take of the twins that are compared."""
        if self._compares and self._comparison is not None:
            self._comparison.go_on()
        return self

    def handle(self, action: Action) -> Screen | None:
        """Play again, leave, turn a page of the tablature, explain a note, or compare twins."""
        match action:
            case Pressed() if self._painter.latest is not None:
                command = target_at(self._hint_targets(self._painter.latest[0]), action)
                return self if command is None else self.handle(command)
            case Scrolled(lines=lines):
                return self.handle(Command.NEXT_BAR if lines > 0 else Command.PREVIOUS_BAR)
            case Command.TWINS if self._comparison is not None:
                self._compares, self._cursor = not self._compares, None
            case Command.CHOOSE | Command.RESTART | Command.PAUSE:
                return self._play_again(self._outcome.plan)
            case Command.BACK:
                return self._leave_to()
            case Command.QUIT:
                return None
            case Command.KEYS:
                return KeysScreen(self)
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
        return self

    def _point(self, place: int, by: int) -> None:
        """Move to the next note either way; before the first one the figures are shown again."""
        place += by
        self._compares = False
        self._cursor = min(place, len(self._outcome.plan.exercise.notes) - 1) if place >= 0 else None
        if self._cursor is not None and self._painted is not None:
            self._page = self._painted[1].page_of(self._cursor)

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the result."""
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
            transitions=[(one.from_index, one.to_index) for one in self._weak],
        )

    def _glyphs(self, size: tuple[int, int]) -> list[Glyph]:
        unit = unit_of(*size)
        painter, _ = self._parts(size)
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
            *self._hint_texts(size),
        ]
        caption = fonts.elided(CAPTION, Size.SMALL, (right_px - left_px) * 0.58)
        glyphs.append(Text(right_px, size[1] - 26 * unit, caption, Size.SMALL, Ink.MUTED, Anchor.RIGHT))
        if self._played_ns >= BREAK_AFTER_NS:
            words = f"{minutes_words(self._played_ns)} of playing: rest your hands for five"
            glyphs.append(Text(right_px - 290 * unit, 52 * unit, words, Size.BODY, Ink.NOW, Anchor.RIGHT))
        return glyphs

    def _hints(self, line: StandingLine) -> list[tuple[str, str, Command]]:
        more = [("← →", f"more of the line, {self._page + 1} of {line.pages}", Command.RIGHT)] if line.pages > 1 else []
        twins = [("F6", "figures" if self._compares else "twins", Command.TWINS)] if self._comparison else []
        return [
            ("Enter", "play again", Command.CHOOSE),
            *more,
            ("↓ ↑", "why", Command.DOWN),
            *twins,
            ("Esc", "list", Command.BACK),
            ("F1", "keys, marks", Command.KEYS),
        ]

    def _hint_texts(self, size: tuple[int, int]) -> list[Text]:
        painter, line = self._parts(size)
        rows = [(name, words) for name, words, _ in self._hints(line)]
        return key_hints(rows, 48 * painter.unit, size[1] - 26 * painter.unit, painter.fonts, painter.unit)

    def _hint_targets(self, size: tuple[int, int]) -> list[Target]:
        painter, line = self._parts(size)
        return hint_targets(self._hint_texts(size), [command for *_, command in self._hints(line)], painter.fonts)

    def _figures(self, left_px: float, right_px: float, painter: Painter) -> list[Glyph]:
        """The columns of figures, or why the note at the cursor was judged as it was."""
        unit = painter.unit
        if self._cursor is not None:
            lines = latest_explained(self._outcome.stretches, self._cursor) or ("It was not attempted.",)
            return self._column("Why it was judged so", list(lines), left_px, right_px - left_px, painter)
        if self._compares and self._comparison is not None:
            area = Rect(left_px, (TOP_PX - 24) * unit, right_px, TWINS_BOTTOM_PX * unit)
            name = self._outcome.plan.exercise.name
            return table_glyphs(self._comparison, name, area, WHOLE, painter.fonts, unit)
        room_px = right_px - left_px - 1100 * unit
        return [
            *self._column("All passes", self._all_words(), left_px, 480 * unit, painter),
            *self._transitions(left_px + 510 * unit, 570 * unit, painter),
            *self._column("Pass by pass", self._pass_words(), left_px + 1100 * unit, room_px, painter),
        ]

    def _column(self, heading: str, lines: list[str], x_px: float, room_px: float, painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        glyphs: list[Glyph] = [Text(x_px, (TOP_PX - 24) * unit, heading, Size.SMALL, Ink.MUTED, Anchor.LEFT)]
        for place, words in enumerate(lines):
            y_px = (TOP_PX + 14 + LINE_PX * place) * unit
            glyphs.append(Text(x_px, y_px, fonts.elided(words, Size.SMALL, room_px), Size.SMALL, Ink.INK, Anchor.LEFT))
        return glyphs

    def _all_words(self) -> list[str]:
        """Counts, bias and spread, and the techniques, over everything that was played."""
        stretches = self._outcome.stretches
        verdicts = [stretch.ledger.of_written(index) for stretch in stretches for index in stretch.attempted]
        slips = [verdict.slip for verdict in verdicts if isinstance(verdict, WrongNote)]
        missed = sum(isinstance(verdict, Missed) for verdict in verdicts)
        matched = sum(isinstance(verdict, Match) for verdict in verdicts)
        extra = sum(stretch.assess().extra for stretch in stretches)
        deviations = [one for values in deviations_ms(stretches).values() for one in values]
        lines = [
            f"{matched} of {len(verdicts)} notes as written",
            f"{missed} missed · {extra} not written",
            f"{slips.count(Slip.PITCH)} wrong pitch · {slips.count(Slip.STRING)} wrong string",
        ]
        if len(deviations) > 1:
            mean_ms = sum(deviations) / len(deviations)
            spread_ms = (sum((one - mean_ms) ** 2 for one in deviations) / len(deviations)) ** 0.5
            by_click = [one for values in deviations_ms(s for s in stretches if s.is_timed).values() for one in values]
            bias = f"bias {signed_ms(median(by_click))} ms · " if by_click else ""
            lines.append(f"{bias}spread {spread_ms:.0f} ms")
        return lines + [technique_words(count) for count in pooled_techniques(stretches)]

    def _transitions(self, x_px: float, room_px: float, painter: Painter) -> list[Glyph]:
        """The worst transitions, numbered as in the tablature below."""
        heading = "Weakest transitions" if self._weak else "No transition stands out"
        glyphs = self._column(heading, [], x_px, room_px, painter)
        unit, fonts = painter.unit, painter.fonts
        for place, one in enumerate(self._weak):
            y_px = (TOP_PX + 14 + 2 * LINE_PX * place) * unit
            half_px = 13 * unit
            glyphs += [
                Box(x_px, y_px - half_px, x_px + 2 * half_px, y_px + half_px, 4 * unit, Ink.NOW),
                Text(x_px + half_px, y_px, str(place + 1), Size.SMALL, Ink.GROUND),
            ]
            where, how = self._transition_words(one)
            for line, (words, ink) in enumerate(((where, Ink.INK), (how, Ink.MUTED))):
                fitting = fonts.elided(words, Size.SMALL, room_px - 40 * unit)
                glyphs.append(Text(x_px + 40 * unit, y_px + line * 28 * unit, fitting, Size.SMALL, ink, Anchor.LEFT))
        return glyphs

    def _transition_words(self, one: WeakTransition) -> tuple[str, str]:
        notes = self._outcome.plan.exercise.notes
        before, after = notes[one.from_index], notes[one.to_index]
        where = f"string {before.course} fret {before.fret} → string {after.course} fret {after.fret}"
        if after.position is not None and before.position is not None and after.position != before.position:
            where += f", position {before.position} → {after.position}"
        how = []
        if one.mean_late_ms is not None:
            how.append(late_words(one.mean_late_ms))
        if one.spread_ms is not None:
            how.append(f"spread {one.spread_ms:.0f} ms")
        if one.misses or one.attempts > 1:
            how.append(f"missed {one.misses} of {one.attempts}" if one.misses else f"never missed in {one.attempts}")
        return where, " · ".join(how)

    def _pass_words(self) -> list[str]:
        """The figures of each pass, the latest ones when there are many."""
        lines = []
        for stretch in self._outcome.stretches:
            by_pass: dict[int, list[int]] = {}
            for index in stretch.attempted:
                by_pass.setdefault(stretch.pass_number(index), []).append(index)
            for number, indices in by_pass.items():
                summary = pass_summary(stretch.exercise, stretch.ledger, indices, is_timed=stretch.is_timed)
                name = f"loop {number}" if stretch.is_loop else str(number)
                lines.append(f"{name}   {'  '.join(summary.brief_words)}")
        if len(lines) <= SHOWN_PASSES:
            return lines
        return [f"… {len(lines) - SHOWN_PASSES + 1} before", *lines[1 - SHOWN_PASSES :]]
