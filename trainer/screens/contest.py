"""The contest on the screen: the formula, the passes of this run, and the table of what was reached on the line.

Between passes this screen stands; Space plays the next pass on the practice screen, which comes back here when it is
over. A run that begins when a break is due is played like any other and gets no points. In a relay two players take
passes by turns, each on an input of their own.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import pygame

from trainer.coaching.contest import FORMULA, RELAY_FORMULA, Contest, Score
from trainer.coaching.rests import SinceBreak
from trainer.playing.messages import StampedMessage
from trainer.run import RunPlan
from trainer.screens.ghosting import GHOST, Ghosting
from trainer.screens.going_on import GoingOn
from trainer.screens.hints import Hint, hint_rows, row_targets
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.practice import Outcome
from trainer.screens.screen import CONTEST, Action, Command, Pressed, Screen, target_at
from trainer.screens.words import line_words
from trainer.tablature.glyphs import Anchor, Box, Glyph, Ink, Line, Rect, Size, Text
from trainer.theory.naming import counted

FIRST = "The tempo rises from pass to pass until there are too many slips. Warm up first; stop when anything hurts."
NO_POINTS = "A break is due: this run gets no points. Rest your hands for five minutes and begin anew."
OTHERWISE = "That pass was not played once through at the tempo asked: the run ends."
NEEDS_TWO = "A relay needs a second input: I chooses it."
SHOWN_ROWS = 10
Practice = Callable[[RunPlan, Callable[[Outcome], Screen], Callable[[], Screen]], Screen]


@dataclass(frozen=True, slots=True)
class TableRow:
    """One run of the table."""

    points: int
    player: str
    qpm: float
    slips: int
    date: str
    is_this_run: bool = False


@dataclass(frozen=True, slots=True)
class RelayDoors:
    """What a relay needs from outside."""

    names: Callable[[], tuple[str, str]]
    """Who plays on the first input and who on the second."""
    has_second: Callable[[], bool]
    next_second: Callable[[], str]
    """Choose the next second input; a sentence about that."""


@dataclass(frozen=True, slots=True)
class ContestDoors:
    """What leads out of the contest, and what it is told from outside."""

    practice: Practice
    """The screen that plays one pass."""
    began: Callable[[], str]
    """The name of a run that begins now."""
    table: Callable[[Contest, str], Sequence[TableRow]]
    """The runs over the contest's line, most points first; the name of this one."""
    other_line: Callable[[], Contest]
    """A run over the other line: the line of the day, and back."""
    leave_to: Callable[[], Screen | None]
    status: Callable[[], str] = lambda: ""
    rest: Callable[[int], SinceBreak] = lambda _now_ns: SinceBreak(0, 0)
    ghosting: Ghosting | None = None
    """The ghost that the passes are played against."""
    relay: RelayDoors | None = None


class ContestScreen:
    """One run after another over a line."""

    takes_text = False

    def __init__(self, contest: Contest, doors: ContestDoors) -> None:
        self._first = self.contest = contest
        self._doors = doors
        self._notice = ""
        self._name = ""
        self._counts = True
        self._table: Sequence[TableRow] = doors.table(contest, "")
        self._now_ns = 0
        self._going_on = GoingOn()
        self._painter = PagePainter()

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Stay, or go on by itself."""
        self._now_ns = now_ns
        contest = self.contest
        due = self._going_on.feed(
            now_ns, len(contest.scores), is_break_due=contest.is_over or self._doors.rest(now_ns).is_due
        )
        return (self.handle(Command.PAUSE) or self) if due else self

    def handle(self, action: Action) -> Screen | None:
        """Play the next pass, begin anew, take the other line, or leave."""
        if isinstance(action, Command):
            self._notice = ""
        match action:
            case Command.CHOOSE | Command.PAUSE if not self.contest.is_over:
                return self._play()
            case Command.LOOP:
                self._going_on.turn()
            case Command.PACE | Command.SECOND_INPUT if self._doors.relay is not None and self._is_between_runs:
                self._choose_players(action, self._doors.relay)
            case Command() if action is GHOST and self._ghosting is not None:
                self._ghosting.turn(RunPlan(self.contest.exercise, self.contest.tempo))
            case Command.CHOOSE | Command.RESTART:
                self._begin(self._first)
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE if self._is_between_runs:
                self._first = replace(self._doors.other_line(), players=self._first.players)
                self._begin(self._first)
            case Command.KEYS:
                return KeysScreen(self, place=CONTEST)
            case Command.BACK:
                return self._doors.leave_to()
            case Command.QUIT:
                return None
            case Pressed() if self._painter.latest is not None:
                size, painter = self._painter.latest
                pressed = target_at(row_targets(self._hints, size, painter.fonts, painter.unit), action)
                return self if pressed is None else self.handle(pressed)
            case _:
                pass
        return self

    def heard(self, outcome: Outcome) -> Screen:
        """Score the pass that was just played."""
        last = outcome.stretches[-1] if outcome.stretches else None
        is_whole = last is not None and not last.is_loop and last.first == 0 and last.is_timed
        if last is None or not is_whole or outcome.plan.tempo != self.contest.tempo:
            self.contest = self.contest.ended(OTHERWISE)
        else:
            self.contest = self.contest.after(last.assess())
        self._table = self._doors.table(self.contest, self._name)
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the run and the table."""
        self._now_ns = now_ns
        size = surface.get_size()
        painter = self._painter.ground(surface)
        painter.draw(surface, self._glyphs(size, painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return texts_of(self._glyphs(size, painter), painter.fonts)

    @property
    def _is_between_runs(self) -> bool:
        return not self.contest.scores or self.contest.is_over

    @property
    def _is_relay(self) -> bool:
        return self.contest.players > 1

    @property
    def _ghosting(self) -> Ghosting | None:
        """What one's own passes are played against; a relay's are not one's own."""
        return None if self.contest.is_over or self._is_relay else self._doors.ghosting

    def _choose_players(self, command: Command, relay: RelayDoors) -> None:
        """Alone or by turns, or on which second input."""
        if command is Command.SECOND_INPUT:
            self._notice = relay.next_second()
        elif not self._is_relay and not relay.has_second():
            self._notice = NEEDS_TWO
            return
        players = 1 if not relay.has_second() or (command is Command.PACE and self._is_relay) else 2
        if command is Command.PACE or players < self._first.players:
            self._first = replace(self._first, players=players)
            self._begin(self._first)

    def _begin(self, contest: Contest) -> None:
        self.contest, self._name = contest, ""
        self._table = self._doors.table(contest, "")

    def _play(self) -> Screen:
        if not self.contest.scores:
            self._counts = not self._doors.rest(self._now_ns).is_due
            self._name = self._doors.began()
        contest = self.contest
        turn = contest.turn if self._is_relay else 0
        plan = RunPlan(contest.exercise, contest.tempo, contest=self._name if self._counts else "", turn=turn)
        return self._doors.practice(plan, self.heard, lambda: self)

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        left_px, right_px = 48 * unit, size[0] - 48 * unit
        kind, now = "Relay" if self._is_relay else "Contest", self._now_words()
        room_px = right_px - left_px - fonts.width_px(now, Size.TITLE) - 40 * unit
        title = fonts.elided(f"{kind}: {self.contest.exercise.title}", Size.TITLE, room_px)
        line = fonts.elided(line_words(self.contest.exercise), Size.BODY, right_px - left_px)
        return [
            Text(left_px, 50 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(left_px, 98 * unit, line, Size.BODY, Ink.MUTED, Anchor.LEFT),
            Text(right_px, 50 * unit, now, Size.TITLE, Ink.INK, Anchor.RIGHT),
            *self._sentences(left_px, right_px, painter),
            *self._passes(Rect(left_px, 330 * unit, size[0] * 0.52, size[1] - 110 * unit), painter),
            *self._rows(Rect(size[0] * 0.56, 330 * unit, right_px, size[1] - 110 * unit), painter),
            *hint_rows(self._hints, size, fonts, unit),
        ]

    def _now_words(self) -> str:
        if self.contest.is_over:
            return "the run is over"
        whose = f"{self._turn_words(self.contest.turn)} · " if self._is_relay else ""
        return f"{whose}♩ = {self.contest.tempo_qpm():g} · pass {len(self.contest.scores) + 1}"

    def _turn_words(self, turn: int) -> str:
        names = ("", "") if self._doors.relay is None else self._doors.relay.names()
        return names[turn - 1] or ("first player", "second player")[turn - 1]

    def _sentences(self, left_px: float, right_px: float, painter: Painter) -> list[Glyph]:
        """What happened last, the best pass, the formula, and care for the hands."""
        unit, rest = painter.unit, self._doors.rest(self._now_ns)
        due, formula = rest.is_due or not self._counts, RELAY_FORMULA if self._is_relay else FORMULA
        said = [
            (self._notice or self.contest.remark or FIRST, Ink.INK),
            (self.contest.words() if self.contest.best else "", Ink.INK),
            (f"{formula[:1].upper()}{formula[1:]}.", Ink.MUTED),
            (
                NO_POINTS if due else self._going_on.words(self._now_ns) or rest.words(),
                Ink.NOW if due else Ink.MUTED,
            ),
        ]
        lines = [
            (line, ink) for words, ink in said for line in painter.fonts.wrapped(words, Size.SMALL, right_px - left_px)
        ]
        return [
            Text(left_px, (148 + 34 * place) * unit, line, Size.SMALL, ink, Anchor.LEFT)
            for place, (line, ink) in enumerate(lines)
        ]

    def _passes(self, area: Rect, painter: Painter) -> list[Glyph]:
        """A bar for each pass, as high as its points; the best one is filled."""
        unit, scores, players = painter.unit, self.contest.scores, self.contest.players
        whose = f": {self._turn_words(1)}, then {self._turn_words(2)}" if players > 1 else ""
        words = painter.fonts.elided(f"points of each pass{whose}", Size.SMALL, area.right_px - area.left_px)
        caption = Text(area.left_px, area.top_px, words, Size.SMALL, Ink.MUTED, Anchor.LEFT)
        if not scores:
            return [caption]
        foot_px, top_px = area.bottom_px - 34 * unit, area.top_px + 64 * unit
        most, best = max(1, *(one.points for one in scores)), _best_places(scores, players)
        step_px = (area.right_px - area.left_px) / max(8, len(scores))
        glyphs: list[Glyph] = [caption, Line(area.left_px, foot_px, area.right_px, foot_px, 2 * unit, Ink.LINE)]
        for place, one in enumerate(scores):
            # The passes at one tempo stand together.
            aside = 0.5 + (0.14 - 0.28 * (place % players) if players > 1 else 0.0)
            x_px, y_px = area.left_px + (place + aside) * step_px, foot_px - (foot_px - top_px) * one.points / most
            is_best = place in best
            box = (x_px - 0.3 * step_px, y_px, x_px + 0.3 * step_px, foot_px)
            glyphs += [
                Box(*box, 3 * unit, Ink.AS_WRITTEN if is_best else Ink.BAND, 0 if is_best else 3 * unit),
                Text(x_px, y_px - 18 * unit, str(one.points), Size.SMALL, Ink.INK),
                Text(x_px, foot_px + 22 * unit, f"{one.qpm:.0f}", Size.SMALL, Ink.MUTED),
            ]
        return glyphs

    def _rows(self, area: Rect, painter: Painter) -> list[Glyph]:
        """The table of the line."""
        unit, kind = painter.unit, "relays" if self._is_relay else "runs"
        glyphs: list[Glyph] = [
            Text(area.left_px, area.top_px, f"{kind} over this line", Size.SMALL, Ink.MUTED, Anchor.LEFT)
        ]
        if not self._table:
            none = f"No {kind[:-1]} was played yet."
            return [*glyphs, Text(area.left_px, area.top_px + 44 * unit, none, Size.SMALL, Ink.INK, Anchor.LEFT)]
        rows, fonts = self._table[:SHOWN_ROWS], painter.fonts

        def widest_px(words: Sequence[str]) -> float:
            return max(fonts.width_px(one, Size.SMALL) for one in words)

        names, tempi = [row.player or "you" for row in rows], [f"♩ = {row.qpm:g}" for row in rows]
        points_px = area.left_px + widest_px([f"{len(rows)}. "]) + widest_px([str(row.points) for row in rows])
        name_px = points_px + 22 * unit
        # The date gives way to the names.
        for details in ([_slips_words(row, with_date=True) for row in rows], [_slips_words(row) for row in rows]):
            tempo_px = area.right_px - widest_px(details) - 22 * unit
            room_px = tempo_px - widest_px(tempi) - 22 * unit - name_px
            if widest_px(names) <= room_px:
                break
        for place, row in enumerate(rows):
            y_px = area.top_px + (44 + 38 * place) * unit
            ink = Ink.NOW if row.is_this_run else Ink.INK
            cells = (
                (f"{place + 1}.", area.left_px, Anchor.LEFT),
                (str(row.points), points_px, Anchor.RIGHT),
                (fonts.elided(names[place], Size.SMALL, room_px), name_px, Anchor.LEFT),
                (tempi[place], tempo_px, Anchor.RIGHT),
                (details[place], area.right_px, Anchor.RIGHT),
            )
            glyphs += [Text(x_px, y_px, words, Size.SMALL, ink, anchor) for words, x_px, anchor in cells]
        return glyphs

    @property
    def _hints(self) -> tuple[tuple[Hint, ...], ...]:
        play = () if self.contest.is_over else (("Space", "play this pass", Command.PAUSE),)
        ghosting = self._ghosting
        ghost = () if ghosting is None else (("G", f"ghost: {ghosting.choice.value}", GHOST),)
        between = self._doors.relay is not None and self._is_between_runs
        players: tuple[Hint, ...] = (
            ("P", "alone" if self._is_relay else "relay of two", Command.PACE),
            ("I", "second input", Command.SECOND_INPUT),
        )
        return (
            (
                *play,
                *ghost,
                ("L", "wait for Space" if self._going_on.is_on else "go on by itself", Command.LOOP),
                *(players if between else ()),
            ),
            (
                ("R", "begin anew", Command.RESTART),
                ("Tab", "this line, or the line of the day", Command.NEXT_CHOICE),
                ("Esc", "leave", Command.BACK),
                ("F1", "keys, marks", Command.KEYS),
            ),
        )


def _slips_words(row: TableRow, *, with_date: bool = False) -> str:
    return f"{counted(row.slips, 'slip')}{f', {row.date}' if with_date else ''}"


def _best_places(scores: Sequence[Score], players: int) -> set[int]:
    """The pass of each player that counts."""
    places = [range(first, len(scores), players) for first in range(players)]
    return {max(own, key=lambda place: scores[place].points) for own in places if own}
