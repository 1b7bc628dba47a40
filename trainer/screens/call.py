"""Call and answer on the screen: whose turn it is, and what differs, when it is asked for.

Who calls plays on the first input, or the bars of a line are let sound one by one; who answers plays on the second
input, or on the first where there is no second. Turns follow by themselves. Nothing of an answer is shown before a key
or a press asks for it, unless that is switched on.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum
from itertools import groupby

import pygame

from trainer.answering import Answer, CallAndAnswer, Turn
from trainer.playing.messages import StampedMessage
from trainer.run import ON_ITS_WAY_NS
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.screens.call_picture import CallPicture, CallView, TurnBox
from trainer.screens.choices import TEMPO_STEP, playable_tempo
from trainer.screens.hints import Hint
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import CALL, Action, Command, Pressed, Screen, target_at
from trainer.screens.standing_line import Played, StandingLine
from trainer.tablature.differing import differences
from trainer.tablature.glyphs import Rect
from trainer.tablature.layout import unit_of
from trainer.tablature.state import state_of
from trainer.theory.naming import counted

LINE_SHARE = 0.8
"""The tablature is drawn at this share of the scale of the page."""
MOST_SILENT_BARS = 2


class Caller(Enum):
    """Who calls."""

    INPUT = "the first input calls"
    LINE = "the line calls, bar by bar"


@dataclass(frozen=True, slots=True)
class CallDoors:
    """What leads out, and what is needed from outside."""

    begin: Callable[[Caller, int], CallAndAnswer]
    """Begin anew on the inputs that are chosen; how long a silence ends a phrase, in ns."""
    aside: Callable[[], tuple[StampedMessage, ...]]
    """What the second input has said since this was asked last."""
    inputs: Callable[[], tuple[str, str]]
    """What the two inputs are called; the second one is empty when there is none."""
    next_second: Callable[[], str]
    """Choose the next second input; a sentence about that."""
    hear: Callable[[Exercise, int], int]
    hush: Callable[[], None]
    status: Callable[[], str]
    leave: Callable[[], Screen]


class CallScreen:
    """See the head of the file; `line` is what calls when nobody does."""

    takes_text = False

    def __init__(self, line: Exercise, doors: CallDoors, notice: str = "") -> None:
        self._bars_of_line = bars_of(line)
        self._title, self._meter = line.title, line.meter
        self._doors = doors
        self._caller, self._silent_bars = Caller.INPUT, 1
        self._qpm = playable_tempo(line.tempo.quarters_per_minute)
        self._shows_at_once = self._is_shown = False
        self._bar = self._page = 0
        self._next_at_ns: int | None = None
        self._now_ns = 0
        self._notice = notice
        self._seen: Answer | None = None
        self._said: tuple[str, ...] = ()
        """What the last answer came to, and what differs, in sentences."""
        self._game = doors.begin(self._caller, self._silence_ns)
        self._painter = PagePainter()
        self._standing: tuple[Answer, Painter, StandingLine] | None = None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:
        """Hear both inputs, and let the turns follow one another."""
        self._now_ns, game, aside = now_ns, self._game, self._doors.aside()
        if self._caller is Caller.LINE:
            game.feed_answerer(aside if self._has_second else messages)
        else:
            game.feed_caller(messages)
            game.feed_answerer(aside)
        game.advance(now_ns - ON_ITS_WAY_NS)
        if game.answer is not self._seen:
            self._seen, self._page = game.answer, 0
            self._said = () if game.answer is None else said_of(game.answer)
            self._is_shown = self._shows_at_once and game.answer is not None
            is_line_next = self._caller is Caller.LINE and game.answer is not None and not self._is_shown
            self._next_at_ns = now_ns + self._silence_ns if is_line_next else None
        if self._next_at_ns is not None and now_ns >= self._next_at_ns:
            self._demonstrate(self._bar + 1)
        return self

    def handle(self, action: Action) -> Screen | None:
        """Go on to the next turn, show what differs, choose how it goes, or leave."""
        match action:
            case Pressed() if self._painter.latest is not None:
                size, painter = self._painter.latest
                command = target_at(CallPicture(size, painter).targets(self.view()), action)
                return self if command is None else self.handle(command)
            case Command.KEYS:
                return KeysScreen(self, place=CALL)
            case Command.BACK | Command.QUIT:
                self._doors.hush()
                return self._doors.leave() if action is Command.BACK else None
            case Command():
                self._notice = ""
                self._do(action)
            case _:
                pass
        return self

    def _do(self, command: Command) -> None:
        match command:
            case Command.PAUSE if self._caller is Caller.LINE and self._game.turn is Turn.CALL:
                self._demonstrate(self._bar + (self._seen is not None))
            case Command.PAUSE:
                self._game.end_turn(self._now_ns)
            case Command.CHOOSE if self._seen is not None:
                self._is_shown, self._next_at_ns = not self._is_shown, None
            case Command.MARKS:
                self._shows_at_once = not self._shows_at_once
            case Command.HEAR:
                self._hear_again()
            case Command.NEXT if self._caller is Caller.LINE:
                self._demonstrate(self._bar + 1)
            case Command.LEFT | Command.RIGHT:
                self._page = max(0, self._page + (1 if command is Command.RIGHT else -1))
            case _:
                self._set(command)

    def _set(self, command: Command) -> None:
        """What begins anew, or changes how it goes from now on."""
        match command:
            case Command.RESTART:
                self._begin()
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                self._caller = Caller.LINE if self._caller is Caller.INPUT else Caller.INPUT
                self._begin()
            case Command.SECOND_INPUT:
                self._notice = self._doors.next_second()
                self._begin()
            case Command.FASTER | Command.SLOWER:
                step = TEMPO_STEP if command is Command.FASTER else -TEMPO_STEP
                self._qpm = playable_tempo(self._qpm + step)
            case Command.UP | Command.DOWN:
                self._silent_bars = MOST_SILENT_BARS if command is Command.UP else 1
            case _:
                pass
        self._game.silence_ns = self._silence_ns

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - it moves with what arrives
        """Paint the page."""
        size, painter = surface.get_size(), self._painter.ground(surface)
        painter.draw(surface, CallPicture(size, painter).glyphs(self.view()))
        standing = self._tablature(size, painter)
        if standing is not None:
            standing.draw(surface, min(self._page, standing.pages - 1))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        found = texts_of(CallPicture(size, painter).glyphs(self.view()), painter.fonts)
        standing = self._tablature(size, painter)
        return found if standing is None else found + standing.texts(min(self._page, standing.pages - 1))

    def view(self) -> CallView:
        """What is shown."""
        game, (first, second) = self._game, self._doors.inputs()
        notes = counted(game.notes, "note") if game.notes else ""
        is_answer, is_line = game.turn is Turn.ANSWER, self._caller is Caller.LINE
        call = TurnBox("Call", self._title if is_line else first, "" if is_answer else notes, not is_answer)
        answer = TurnBox("Answer", second or first, notes if is_answer else "", is_answer)
        words = self._said[1:] if self._is_shown else ()
        return CallView(self._how(), (call, answer), self._sentence(), words, self._hints(), self._doors.status())

    @property
    def _has_second(self) -> bool:
        return bool(self._doors.inputs()[1])

    @property
    def _silence_ns(self) -> int:
        return Tempo(self._qpm).ns(self._silent_bars * self._meter.bar_quarters)

    def _begin(self) -> None:
        self._doors.hush()
        self._next_at_ns, self._seen, self._is_shown, self._said = None, None, False, ()
        self._bar = 0
        self._game = self._doors.begin(self._caller, self._silence_ns)

    def _demonstrate(self, bar: int) -> None:
        """Let a bar of the line sound; its answer is waited for."""
        self._bar, self._next_at_ns, self._is_shown = bar % len(self._bars_of_line), None, False
        line = replace(self._bars_of_line[self._bar], tempo=Tempo(self._qpm))
        begins_ns = self._doors.hear(line, 1)
        self._seen = None
        self._game.demonstrate(line, begins_ns + line.tempo.ns(line.length_quarters))

    def _hear_again(self) -> None:
        if self._caller is Caller.LINE and (self._seen is not None or self._game.line is not None):
            self._demonstrate(self._bar)
        elif self._game.line is not None:
            self._doors.hear(self._game.line, 1)

    def _how(self) -> str:
        seconds = self._silence_ns / 1e9
        bars = counted(self._silent_bars, "bar")
        who = "The first input calls"
        if self._caller is Caller.LINE:
            who = f"Bar {self._bar + 1} of {len(self._bars_of_line)} calls"
        return f"{who} · a silence of {bars} at ♩ = {float(self._qpm):g} ends a phrase: {seconds:.1f} s"

    def _sentence(self) -> str:
        if self._notice or self._game.remark:
            return self._notice or self._game.remark
        if self._seen is not None:
            return self._said[0] if self._is_shown else "That was an answer. Enter shows what differs from the call."
        match self._game.turn:
            case Turn.CALL if self._caller is Caller.LINE:
                return "Space lets the first bar sound; answer it when it is over."
            case Turn.CALL:
                return "A silence ends the call." if self._game.notes else "Play a phrase to be answered."
            case Turn.DEMONSTRATION:
                return "Listen."
            case Turn.ANSWER:
                return "Play what was called."

    def _tablature(self, size: tuple[int, int], painter: Painter) -> StandingLine | None:
        """The call with what became of its notes."""
        answer = self._seen
        if answer is None or not self._is_shown:
            return None
        if self._standing is None or self._standing[0] is not answer or self._standing[1] is not painter:
            line, session = answer.line, answer.session
            states = {index: state_of(index, line, session.ledger, session.onsets) for index in range(len(line.notes))}
            late_ns = {index: state.deviation_ns for index, state in states.items()}
            late_ms = {index: late / 1e6 for index, late in late_ns.items() if late is not None}
            played = Played(states, late_ms, {}, {}, ())
            area = CallPicture(size, painter).line_area
            self._standing = (
                answer,
                painter,
                StandingLine(line, line.tempo, area, Painter(unit_of(*size) * LINE_SHARE), played=played),
            )
        return self._standing[2]

    def _hints(self) -> tuple[tuple[Hint, ...], ...]:
        is_line, is_over = self._caller is Caller.LINE, self._seen is not None
        on = "end this turn"
        if is_line and self._game.turn is Turn.CALL:
            on = "next bar" if is_over else "begin"
        show = ("Enter", "hide it" if self._is_shown else "show what differs", Command.CHOOSE)
        return (
            (
                ("Space", on, Command.PAUSE),
                *((show,) if is_over else ()),
                ("H", "hear the call", Command.HEAR),
                ("M", "show only when asked" if self._shows_at_once else "show at once", Command.MARKS),
                ("R", "begin anew", Command.RESTART),
                ("I", "second input", Command.SECOND_INPUT),
            ),
            (
                ("Tab", "let the input call" if is_line else "let the line call", Command.NEXT_CHOICE),
                ("\N{MINUS SIGN}", "slower", Command.SLOWER),
                ("+", "faster", Command.FASTER),
                ("↑", "wait longer", Command.UP),
                ("↓", "shorter", Command.DOWN),
                ("Esc", "board", Command.BACK),
                ("F1", "keys", Command.KEYS),
            ),
        )


def said_of(answer: Answer) -> tuple[str, ...]:
    """What an answer came to, and then each note that differs, in sentences."""
    session = answer.session
    figures = session.assessment()
    summary = f"{figures.matched} of {counted(len(answer.line.notes), 'note')} as called"
    if figures.evenness_ms is not None:
        off = f"{figures.evenness_ms:.0f} ms off the call's rhythm"
        summary += f"; from note to note {off}, at the answer's own tempo"
    return f"{summary}.", *differences(answer.line, session.ledger, session.onsets)


def bars_of(line: Exercise) -> tuple[Exercise, ...]:
    """The bars of a line in which notes begin, each as a line of its own."""
    bar = line.meter.bar_quarters
    places = groupby(range(len(line.notes)), key=lambda index: line.notes[index].onset_quarters // bar)
    spans = [list(indices) for _, indices in places]
    return tuple(line.excerpt(span[0], span[-1]) for span in spans)
