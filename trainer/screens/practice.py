"""The practice screen: a line scrolls, is followed and is judged.

Theory of operation: one sitting with one line is a row of takes. Playing is a take in progress; pausing ends it (what
was played is kept) and leaves the staff standing with a cursor; going on is a new take of what remains from the
cursor's bar, after a count-in. Another tempo, pace or a loop is a new take as well. All takes at one tempo and pace
feed one record, from which the spread under each note comes.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import pygame

from trainer.coaching.rests import BreakCounter
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Pace
from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.screens.choices import TEMPO_STEP, playable_tempo
from trainer.screens.ghosting import GHOST, Ghosting
from trainer.screens.hints import Hint
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter
from trainer.screens.parts import NOTHING_MARKED, Part, last_begun, loop_over, moved, rest_from
from trainer.screens.practice_keys import practice_keys
from trainer.screens.practice_picture import PracticePicture
from trainer.screens.practice_view import PracticeView, Said
from trainer.screens.screen import PLAYING, Action, Command, Pressed, Screen, Scrolled, target_at
from trainer.tablature.figures import pass_summary
from trainer.tablature.ghost import Ghost
from trainer.tablature.glyphs import Rect
from trainer.tablature.record import Stretch, explained, spreads
from trainer.tablature.state import NoteState, next_slip
from trainer.tablature.trace import Spread


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a sitting with one line left behind."""

    plan: RunPlan
    """Of the whole line, at the tempo and pace of the last take."""
    stretches: tuple[Stretch, ...]


class PracticeScreen:
    """One sitting with one line.

    `start_run(plan, now_ns)` starts a take; `status()` says how the input is, `trouble()` what is wrong with it or with
    the output; `show_result(outcome)` is the screen at the end and `leave_to()` the one when nothing was played;
    `breaks` is told while a take runs.
    `ghosting` knows the ghost that is played against.
    """

    takes_text: bool = False
    help_place = PLAYING

    def __init__(
        self,
        plan: RunPlan,
        *,
        start_run: Callable[[RunPlan, int], Run],
        status: Callable[[], str],
        trouble: Callable[[], str] = lambda: "",
        show_result: Callable[[Outcome], Screen],
        leave_to: Callable[[], Screen],
        hides_tempo: bool = False,
        tolerance: Tolerance | None = None,
        breaks: BreakCounter | None = None,
        ghosting: Ghosting | None = None,
    ) -> None:
        self._plan = plan
        self._breaks = breaks or BreakCounter()
        self._ghosting = ghosting
        self._hides_tempo = hides_tempo
        self._start_run = start_run
        self._status = status
        self._trouble = trouble
        self._show_result = show_result
        self._leave_to = leave_to
        self._tolerance = tolerance or Tolerance()
        self._part = Part(plan)
        self._run: Run | None = None
        self._is_standing = False
        self._cursor = 0
        self._selection = NOTHING_MARKED
        self._stretches: list[Stretch] = []
        self._with_marks = True
        self._version = 0
        self._now_ns = 0
        self._painter = PagePainter()
        self._picture: PracticePicture | None = None
        self._counted: tuple[int, int, bool] | None = None
        self._spreads: dict[int, Spread] = {}
        self._figures: tuple[str, ...] = ()
        self._saying = 0
        """Which of the sayings stands in the place of the neck; behind the last one: the neck."""
        self._why: tuple[tuple[int, int], tuple[str, ...]] | None = None
        """What is said of a note, and by which state of the verdicts."""
        self._against: tuple[Stretch, Ghost, Mapping[int, NoteState]] | None = None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:
        """Follow what was played; the result when the line is over."""
        self._now_ns = now_ns
        run = self._run or self._begin(self._part)
        if self._is_standing:
            return self
        self._watch_time(now_ns)
        self._version += bool(run.update(messages, now_ns))
        return self._end() if run.is_finished else self

    def handle(self, action: Action) -> Screen | None:
        """Do what a key asks for."""
        match action:
            case Pressed() if self._picture is not None:
                pressed = target_at(self._picture.targets(self.view(self._now_ns)), action)
                return self._point(self._picture, action) if pressed is None else self.handle(pressed)
            case Scrolled(lines=lines) if self._is_standing:
                self._change(Command.RIGHT if lines > 0 else Command.LEFT)
            case Command.QUIT:
                self._stop()
                return None
            case Command.BACK:
                self._stop()
                return self._end()
            case Command.KEYS:
                self._stand()
                return KeysScreen(self, place=self.help_place)
            case Command.MARKS:
                self._with_marks = not self._with_marks
            case Command() if action is GHOST and self._ghosting is not None:
                self._ghosting.turn(self._plan)
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                step = 1 if action is Command.NEXT_CHOICE else -1
                self._saying = (self._saying + step) % (len(self._sayings()) + 1)
            case Command.PAUSE | Command.CHOOSE if self._is_standing:
                self._go_on()
            case Command.PAUSE | Command.CHOOSE:
                self._stand()
            case Command():
                self._change(action)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the line as it stands at `now_ns`."""
        run = self._run or self._begin(self._part)
        self.picture(surface.get_size(), run).draw(surface, self.view(now_ns))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts of the present frame, and where their capitals lie."""
        run = self._run or self._begin(self._part)
        return self.picture(size, run).texts(self.view(self._now_ns))

    def picture(self, size: tuple[int, int], run: Run) -> PracticePicture:
        """What is painted, at a size."""
        painter = self._painter.of(size)
        if self._picture is None or self._picture.painter is not painter or self._picture.exercise is not run.exercise:
            self._picture = PracticePicture(
                size,
                self._plan.exercise,
                self._part.plan,
                run.exercise,
                painter,
                self._tolerance,
                hides_tempo=self._hides_tempo,
            )
        return self._picture

    def view(self, now_ns: int) -> PracticeView:
        """What a frame at `now_ns` shows."""
        run = self._run or self._begin(self._part)
        notes = run.exercise.notes
        now = float(notes[self._cursor].onset_quarters) if self._is_standing else run.score_quarters(now_ns)
        current = self._cursor if self._is_standing else last_begun(run, now)
        rest = self._breaks.state(now_ns)
        trouble = run.trouble or self._trouble()
        self._count(run, current)
        return PracticeView(
            now_quarters=now,
            ledger=run.session.ledger,
            onsets=run.session.onsets,
            version=self._version,
            starts_at_ns=run.session.starts_at_ns,
            spreads=self._spreads,
            passes=self._passes_words(current),
            notice=self._notice(run),
            figures=self._figures,
            keys=self._keys(),
            status=trouble or self._status(),
            is_troubled=bool(trouble),
            rest=rest.words(),
            is_rest_due=rest.is_due,
            selection=self._selection if self._is_standing else NOTHING_MARKED,
            with_marks=self._with_marks,
            said=self._said() if self._is_standing else None,
            ghost=self._ghost_states(),
            ghost_words="" if self._ghosting is None else self._ghosting.words(),
        )

    def _keys(self) -> tuple[Hint, ...]:
        ghost = None if self._ghosting is None else self._ghosting.choice
        return practice_keys(beneath=self._following_saying() if self._is_standing else None, ghost=ghost)

    def _sayings(self) -> Sequence[tuple[str, Callable[[], tuple[str, ...]]]]:
        """What can be said of a staff that stands, by a word for it."""
        return (("why", self._said_of_cursor),)

    def _said(self) -> Said | None:
        """What is said now."""
        sayings = self._sayings()
        if self._saying >= len(sayings):
            return None
        name, words = sayings[self._saying]
        return Said(name, words())

    def _following_saying(self) -> str:
        """What Tab brings next."""
        names = [*(name for name, _ in self._sayings()), "neck"]
        return names[(self._saying + 1) % len(names)]

    def _watch_time(self, now_ns: int) -> None:
        """Count how long was played since the last break."""
        self._breaks.feed(now_ns)

    def _ghost_states(self) -> Mapping[int, NoteState]:
        """What the ghost played at each note of the take, found once for a take and a ghost."""
        ghost, stretch = self._ghosting.ghost if self._ghosting is not None else None, self._stretches[-1]
        if ghost is None:
            return {}
        if self._against is None or self._against[0] is not stretch or self._against[1] is not ghost:
            lines = ((index, stretch.line_index(index)) for index in range(len(stretch.exercise.notes)))
            states = {index: ghost.states[line] for index, line in lines if line in ghost.states}
            self._against = stretch, ghost, states
        return self._against[2]

    def _point(self, picture: PracticePicture, pressed: Pressed) -> Screen:
        """Move the cursor of the standing staff to the note that is pressed."""
        touched = picture.note_at(self.view(self._now_ns), pressed.x_px, pressed.y_px) if self._is_standing else None
        self._cursor = self._cursor if touched is None else touched
        return self

    def _said_of_cursor(self) -> tuple[str, ...]:
        """Why the note at the cursor was judged as it was."""
        key = self._version, self._cursor
        if self._why is None or self._why[0] != key:
            self._why = key, explained(self._stretches[-1], self._cursor)
        return self._why[1]

    def _begin(self, part: Part) -> Run:
        """A new take."""
        self._stop()
        self._part = part
        if self._ghosting is not None:
            self._ghosting.look_for(self._plan)
        self._run = run = self._start_run(part.plan, self._now_ns)
        self._is_standing = False
        self._selection = NOTHING_MARKED
        self._version += 1
        self._counted = None
        self._stretches.append(
            Stretch(
                exercise=run.exercise,
                ledger=run.session.ledger,
                onsets=run.session.onsets,
                assess=run.session.assessment,
                explain=run.session.explained,
                pass_length=run.pass_length,
                first=part.first,
                line_length=len(self._plan.exercise.notes),
                is_loop=part.is_loop,
                is_timed=run.session.is_timed,
            )
        )
        return run

    def _stop(self) -> None:
        if self._run is not None and not self._run.is_finished:
            self._run.finish(self._now_ns)
            self._version += 1

    def _stand(self) -> None:
        """Pause: the take ends and is kept, the staff stands."""
        if self._run is None or self._is_standing:
            return
        self._cursor = last_begun(self._run, self._run.score_quarters(self._now_ns))
        self._stop()
        self._is_standing = True

    def _end(self) -> Screen:
        played = tuple(stretch for stretch in self._stretches if stretch.attempted)
        return self._show_result(Outcome(self._plan, played)) if played else self._leave_to()

    def _go_on(self) -> None:
        """Count in and go on from the cursor's bar: a loop from its start, else what remains."""
        self._begin(self._part if self._part.is_loop else rest_from(self._plan, self._part.in_whole(self._cursor)))

    def _change(self, command: Command) -> None:
        """Another take (tempo, pace, sound, from the top), or something that the standing staff is asked for."""
        match command:
            case Command.RESTART:
                self._begin(Part(self._plan))
            case Command.SLOWER | Command.FASTER:
                step = TEMPO_STEP if command is Command.FASTER else -TEMPO_STEP
                wanted = self._plan.tempo.quarters_per_minute + step
                self._renew(self._plan.at_tempo(playable_tempo(wanted)))
            case Command.PACE:
                self._renew(replace(self._plan, pace=Pace.FREE if self._plan.pace is Pace.CLICK else Pace.CLICK))
            case Command.HEAR:
                self._renew(replace(self._plan, hear_line=not self._plan.hear_line))
            case Command.BACKING:
                self._renew(replace(self._plan, with_backing=not self._plan.with_backing))
            case _ if self._run is not None and self._is_standing:
                self._mark_or_move(self._run, command)
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
        self._begin(self._part.played_as(plan))

    def _mark_or_move(self, run: Run, command: Command) -> None:
        match command:
            case Command.MARK_START:
                self._selection = self._selection.started_at(self._cursor)
            case Command.MARK_END:
                self._selection = self._selection.ended_at(self._cursor)
            case Command.LOOP if self._part.is_loop and self._selection == NOTHING_MARKED:
                self._begin(rest_from(self._plan, self._part.in_whole(self._cursor)))
            case Command.LOOP:
                first, last = self._selection.ends(run.exercise, self._cursor)
                if self._part.is_loop and first // run.pass_length != last // run.pass_length:
                    first, last = 0, run.pass_length - 1
                start = self._part.in_whole(first)
                self._begin(loop_over(self._plan, start, start + last - first))
            case Command.NEXT:
                self._cursor = next_slip(run.session.ledger, len(run.exercise.notes), self._cursor)
            case _:
                self._cursor = moved(run.exercise, self._cursor, command)

    def _passes_words(self, current: int) -> str:
        number = self._stretches[-1].pass_number(current)
        return f"loop, round {number}" if self._part.is_loop else f"pass {number} of {self._plan.passes}"

    def _notice(self, run: Run) -> str:
        if self._is_standing:
            return "paused"
        return "begin when you like" if self._plan.pace is Pace.FREE and not run.session.onsets else ""

    def _count(self, run: Run, current: int) -> None:
        """The spread and the figures of the passes before this one, once for each pass."""
        stretch = self._stretches[-1]
        number = stretch.pass_number(current)
        state = (len(self._stretches), number, self._is_standing)
        if self._counted == state:
            return
        self._counted = state
        of_line = spreads(self._stretches, before_pass=None if self._is_standing else number)
        notes = range(len(run.exercise.notes))
        self._spreads = {i: of_line[k] for i in notes if (k := stretch.line_index(i)) in of_line}
        last = [i for i in notes if stretch.pass_number(i) == number - 1]
        if last and stretch.line_index(last[0]) == stretch.line_index(0):
            name = "last round" if self._part.is_loop else "last pass"
            summary = pass_summary(stretch.exercise, stretch.ledger, last, is_timed=stretch.is_timed)
            self._figures = (name, *summary.words)
