"""The practice screen: a line scrolls, is followed and is judged.

Theory of operation: one sitting with one line is a row of takes. Playing is a take in progress; pausing ends it (what
was played is kept) and leaves the staff standing with a cursor; going on is a new take of what remains from the
cursor's bar, after a count-in. Another tempo, pace or a loop is a new take as well. All takes at one tempo and pace
feed one record, from which the spread under each note comes.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction

import pygame

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Pace
from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.score.exercise import Exercise
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import Painter
from trainer.screens.practice_picture import PracticePicture, PracticeView, Selection
from trainer.screens.screen import Action, Command, Screen
from trainer.tablature.figures import pass_summary
from trainer.tablature.layout import unit_of
from trainer.tablature.record import Stretch, spreads
from trainer.tablature.trace import Spread

LOOP_PASSES = 32
"""A loop goes round this often before it ends by itself."""
TEMPO_STEP = Fraction(4)
"""Quarters a minute; a common step of practice ladders."""
SLOWEST, FASTEST = Fraction(20), Fraction(400)

PLAYING_KEYS = (("Space", "pause"), ("R", "from the top"), ("\N{MINUS SIGN} +", "tempo"), ("P", "pace"), ("Esc", "end"))
STANDING_KEYS = (
    ("Space", "go on"),
    ("← →", "note"),
    ("A B", "mark"),
    ("L", "loop"),
    ("R", "from the top"),
    ("\N{MINUS SIGN} +", "tempo"),
    ("Esc", "result"),
)
ALWAYS_KEYS = (("M", "marks"), ("F1", "all keys and marks"))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a sitting with one line left behind."""

    plan: RunPlan
    """Of the whole line, at the tempo and pace of the last take."""
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class _Part:
    """What one take plays: a plan, and which note of the whole (all passes) its first note is."""

    plan: RunPlan
    first: int
    is_loop: bool = False


class PracticeScreen:
    """One sitting with one line.

    `start_run(plan, now_ns)` starts a take; `status()` says how the input is; `show_result(outcome)` is the screen at
    the end and `leave_to()` the one when nothing was played. A replay runs as it was played: it can be stopped and
    begun again, nothing else.
    """

    takes_text = False

    def __init__(
        self,
        plan: RunPlan,
        *,
        start_run: Callable[[RunPlan, int], Run],
        status: Callable[[], str],
        show_result: Callable[[Outcome], Screen],
        leave_to: Callable[[], Screen],
        tolerance: Tolerance | None = None,
        is_replay: bool = False,
    ) -> None:
        self._plan = plan
        self._is_replay = is_replay
        self._start_run = start_run
        self._status = status
        self._show_result = show_result
        self._leave_to = leave_to
        self._tolerance = tolerance or Tolerance()
        self._part = _Part(plan, 0)
        self._run: Run | None = None
        self._is_standing = False
        self._cursor = 0
        self._selection = Selection()
        self._stretches: list[Stretch] = []
        self._with_marks = True
        self._version = 0
        self._now_ns = 0
        self._picture: PracticePicture | None = None
        self._counted_pass: tuple[int, int] = (-1, -1)
        self._spreads: dict[int, Spread] = {}
        self._figures: tuple[str, ...] = ()

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:
        """Follow what was played; the result when the line is over."""
        self._now_ns = now_ns
        if self._run is None:
            self._begin(self._part)
        if self._is_standing or self._run is None:
            return self
        self._version += bool(self._run.update(messages, now_ns))
        return self._end() if self._run.is_finished else self

    def handle(self, action: Action) -> Screen | None:
        """Do what a key asks for."""
        match action:
            case Command.QUIT:
                self._stop()
                return None
            case Command.BACK:
                self._stop()
                return self._end()
            case Command.KEYS:
                self._stand()
                return KeysScreen(self)
            case Command.MARKS:
                self._with_marks = not self._with_marks
            case Command.PAUSE | Command.CHOOSE:
                if self._is_standing:
                    self._go_on()
                else:
                    self._stand()
            case _:
                self._change(action)
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the line as it stands at `now_ns`."""
        if self._run is None:
            surface.fill((0, 0, 0))
            return
        self.picture(surface.get_size()).draw(surface, self.view(now_ns))

    def picture(self, size: tuple[int, int]) -> PracticePicture:
        """What is painted, at a size."""
        if (
            self._picture is None
            or self._picture.size != size
            or self._picture.exercise is not self._whole_run.exercise
        ):
            painter = Painter(unit_of(*size))
            plan = self._part.plan
            self._picture = PracticePicture(
                size, self._plan.exercise, plan, self._whole_run.exercise, painter, self._tolerance
            )
        return self._picture

    def view(self, now_ns: int) -> PracticeView:
        """What a frame at `now_ns` shows."""
        run = self._whole_run
        notes = run.exercise.notes
        now = float(notes[self._cursor].onset_quarters) if self._is_standing else run.score_quarters(now_ns)
        current = max(0, sum(note.onset_quarters <= now for note in notes) - 1) if self._is_standing else self._at(now)
        stretch = self._stretches[-1]
        self._count(stretch, stretch.pass_number(current))
        return PracticeView(
            now_quarters=now,
            ledger=run.session.ledger,
            onsets=run.session.onsets,
            version=self._version,
            starts_at_ns=run.session.starts_at_ns,
            spreads=self._spreads,
            passes=self._passes_words(stretch.pass_number(current)),
            notice=self._notice(now),
            figures=self._figures,
            keys=(STANDING_KEYS if self._is_standing else PLAYING_KEYS) + ALWAYS_KEYS,
            status=run.trouble or self._status(),
            selection=self._selection if self._is_standing else Selection(),
            with_marks=self._with_marks,
        )

    @property
    def _whole_run(self) -> Run:
        if self._run is None:
            raise ValueError("no take has begun")
        return self._run

    def _at(self, now_quarters: float) -> int:
        """The last written note that is not still to come."""
        notes = self._whole_run.exercise.notes
        low, high = 0, len(notes)
        while low < high:
            middle = (low + high) // 2
            if notes[middle].onset_quarters <= now_quarters:
                low = middle + 1
            else:
                high = middle
        return max(0, low - 1)

    def _begin(self, part: _Part) -> None:
        """A new take."""
        self._stop()
        self._part = part
        self._run = run = self._start_run(part.plan, self._now_ns)
        self._is_standing = False
        self._version += 1
        self._counted_pass = (-1, -1)
        self._stretches.append(self._stretch(run))

    def _stretch(self, run: Run) -> Stretch:
        return Stretch(
            exercise=run.exercise,
            ledger=run.session.ledger,
            onsets=run.session.onsets,
            assess=run.session.assessment,
            pass_length=run.pass_length,
            first=self._part.first,
            line_length=len(self._plan.exercise.notes),
        )

    def _stop(self) -> None:
        if self._run is not None and not self._run.is_finished:
            self._run.finish(self._now_ns)
            self._version += 1

    def _stand(self) -> None:
        """Pause: the take ends and is kept, the staff stands."""
        if self._run is None or self._is_standing:
            return
        self._cursor = self._at(self._run.score_quarters(self._now_ns))
        self._stop()
        self._is_standing = True

    def _end(self) -> Screen:
        played = tuple(stretch for stretch in self._stretches if stretch.attempted)
        return self._show_result(Outcome(self._plan, played)) if played else self._leave_to()

    def _go_on(self) -> None:
        """Count in and go on from the cursor's bar: a loop from its start, a line with what remains of its passes."""
        if self._part.is_loop or self._is_replay:
            self._begin(self._part)
            return
        self._begin(self._rest_from(self._cursor_in_whole()))

    def _cursor_in_whole(self) -> int:
        run = self._whole_run
        return self._part.first + (self._cursor % run.pass_length if self._part.is_loop else self._cursor)

    @property
    def _whole(self) -> Exercise:
        return self._plan.exercise.repeated(self._plan.passes)

    def _rest_from(self, index: int) -> _Part:
        first = _bar_start(self._whole, index)
        if first == 0:
            return _Part(self._plan, 0)
        rest = self._whole.excerpt(first, len(self._whole.notes) - 1)
        stretch = (first, len(self._whole.notes) - 1)
        return _Part(replace(self._plan, exercise=rest, passes=1, stretch=stretch), first)

    def _change(self, action: Action) -> None:
        """Another take (tempo, pace, sound, from the top), or a move of the cursor."""
        match action:
            case Command.RESTART:
                self._part = _Part(self._plan, 0)
                self._renew(self._plan)
            case _ if self._is_replay and not self._is_standing:
                pass
            case Command.SLOWER | Command.FASTER | Command.PACE | Command.HEAR | Command.LOOP if self._is_replay:
                pass
            case Command.SLOWER | Command.FASTER:
                step = TEMPO_STEP if action is Command.FASTER else -TEMPO_STEP
                wanted = self._plan.tempo.quarters_per_minute + step
                self._renew(self._plan.at_tempo(max(SLOWEST, min(FASTEST, wanted))))
            case Command.PACE:
                other = Pace.FREE if self._plan.pace is Pace.CLICK else Pace.CLICK
                self._renew(replace(self._plan, pace=other))
            case Command.HEAR:
                self._renew(replace(self._plan, hear_line=not self._plan.hear_line))
            case _ if self._is_standing:
                self._move(action)
            case _:
                pass

    def _renew(self, plan: RunPlan) -> None:
        """The same part of the line by another plan; what was played at another tempo or pace no longer counts."""
        if (plan.tempo, plan.pace) != (self._plan.tempo, self._plan.pace):
            self._stop()
            self._stretches.clear()
            self._spreads = {}
            self._figures = ()
        self._plan = plan
        part = replace(self._part.plan, tempo=plan.tempo, pace=plan.pace, hear_line=plan.hear_line)
        self._begin(replace(self._part, plan=part))

    def _move(self, action: Action) -> None:
        """Move the cursor, mark, or loop what is marked; the staff stands."""
        notes = self._whole_run.exercise.notes
        bar = self._whole_run.exercise.meter.bar_quarters
        here = notes[self._cursor].onset_quarters
        match action:
            case Command.LEFT:
                self._cursor = max(0, self._cursor - 1)
            case Command.RIGHT:
                self._cursor = min(len(notes) - 1, self._cursor + 1)
            case Command.PREVIOUS_BAR:
                is_inside = here % bar > notes[_bar_start(self._whole_run.exercise, self._cursor)].onset_quarters % bar
                self._cursor = self._at(float(here // bar * bar - (0 if is_inside else bar)))
            case Command.NEXT_BAR:
                self._cursor = self._at(float((here // bar + 1) * bar))
            case Command.FIRST:
                self._cursor = 0
            case Command.LAST:
                self._cursor = len(notes) - 1
            case Command.MARK_START:
                end = self._selection.end
                self._selection = Selection(self._cursor, end if end is not None and end >= self._cursor else None)
            case Command.MARK_END:
                start = self._selection.start
                self._selection = Selection(
                    start if start is not None and start <= self._cursor else None, self._cursor
                )
            case Command.LOOP:
                self._loop()
            case _:
                pass

    def _loop(self) -> None:
        """Go round the selection, or the cursor's bar; from a loop, back to the whole line."""
        if self._part.is_loop and self._selection == Selection():
            self._begin(self._rest_from(self._cursor_in_whole()))
            return
        exercise = self._whole_run.exercise
        start, end = self._selection.start, self._selection.end
        if start is None or end is None:
            inside = start if start is not None else end if end is not None else self._cursor
            bar = exercise.notes[inside].onset_quarters // exercise.meter.bar_quarters
            in_bar = [
                index
                for index, note in enumerate(exercise.notes)
                if note.onset_quarters // exercise.meter.bar_quarters == bar
            ]
            start, end = start if start is not None else in_bar[0], end if end is not None else in_bar[-1]
        length = self._whole_run.pass_length
        if self._part.is_loop and start // length != end // length:
            start, end = 0, length - 1
        first = self._part.first + (start % length if self._part.is_loop else start)
        last = first + end - start
        self._selection = Selection()
        loop = self._whole.excerpt(first, last)
        plan = replace(self._plan, exercise=loop, passes=LOOP_PASSES, stretch=(first, last))
        self._begin(_Part(plan, first, is_loop=True))

    def _passes_words(self, number: int) -> str:
        return (
            f"loop, round {number - self._part.first // len(self._plan.exercise.notes)}"
            if self._part.is_loop
            else (f"pass {number} of {self._plan.passes}")
        )

    def _notice(self, now_quarters: float) -> str:
        if self._is_standing:
            return "paused"
        is_waiting = self._plan.pace is Pace.FREE and not self._whole_run.session.onsets and now_quarters <= 0
        return "begin when you like" if is_waiting else ""

    def _count(self, stretch: Stretch, number: int) -> None:
        """The spread and the figures of the passes before this one, once for each pass."""
        if self._counted_pass == (number, int(self._is_standing)):
            return
        self._counted_pass = (number, int(self._is_standing))
        of_line = spreads(self._stretches, before_pass=None if self._is_standing else number)
        notes = range(len(stretch.exercise.notes))
        self._spreads = {i: of_line[k] for i in notes if (k := stretch.line_index(i)) in of_line}
        last = [i for i in notes if stretch.pass_number(i) == number - 1]
        if last and len(last) == min(stretch.pass_length, stretch.line_length):
            name = "last round" if self._part.is_loop else "last pass"
            self._figures = (name, *pass_summary(stretch.exercise, stretch.ledger, last).words)


def _bar_start(exercise: Exercise, index: int) -> int:
    """The first note of the bar that note `index` is in."""
    bar = exercise.meter.bar_quarters
    number = exercise.notes[index].onset_quarters // bar
    return next(i for i, note in enumerate(exercise.notes) if note.onset_quarters // bar == number)
