"""Going through a kept take: it runs like a recording, at full or half speed, is stopped, walked over and gone on with.

What was played once cannot be played otherwise, so the keys that change a take while it is played do other things here.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

import pygame

from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.screens.hints import Hint
from trainer.screens.other_takes import OtherTakes
from trainer.screens.parts import Part, played_ns, whole_bars
from trainer.screens.passage import Shown
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.practice_keys import ALWAYS_KEYS, WALKING, beneath_hint
from trainer.screens.practice_view import PracticeView, Said
from trainer.screens.screen import REVIEW, Action, Command, Pressed, Screen
from trainer.screens.take_note import CURSOR, WRITING_KEYS, TakeNote
from trainer.tablature.state import state_of

SPEED_WORDS = {Fraction(1): "", Fraction(1, 2): " · half speed", Fraction(1, 4): " · quarter speed"}


class Recording:
    """A take that is given again, by a clock of its own; `now_ns` is a time of that clock.

    This one runs as it was played, and is not heard.
    """

    speeds: tuple[Fraction, ...] = (Fraction(1),)
    """How fast it can run, the slowest first: 1 is as it was played."""
    speed = Fraction(1)

    @property
    def is_heard(self) -> bool | None:
        """Whether it sounds; None: nothing can."""
        return None

    def clock(self, steady_ns: int) -> int:
        """The time of its clock at a time of the steady one."""
        return steady_ns

    def change_speed(self, steps: int) -> None:
        """Faster or slower, as far as it goes."""

    def turn_sound(self) -> None:
        """Let it be heard, or not."""

    def seek(self, from_ns: int) -> None:
        """Let the next run begin there in the take."""
        raise NotImplementedError

    def start_run(self, plan: RunPlan, now_ns: int) -> Run:
        """Begin where it was sought, else at the take's beginning."""
        raise NotImplementedError

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What had arrived by then."""
        raise NotImplementedError

    def rest(self, now_ns: int) -> tuple[tuple[StampedMessage, ...], int]:
        """What is still to come, to be judged when it is stopped, and when it is over; this one keeps it back."""
        return (), now_ns


@dataclass(frozen=True, slots=True)
class ReviewDoors:
    """What else can be done with a take."""

    others: OtherTakes
    note: TakeNote = field(default_factory=lambda: TakeNote(""))
    keep_picture: Callable[[Shown], str] | None = None
    """Writes a picture of what is shown and says where."""


class ReviewScreen(PracticeScreen):
    """One kept take."""

    help_place = REVIEW

    def __init__(
        self,
        plan: RunPlan,
        recording: Recording,
        *,
        status: Callable[[], str],
        show_result: Callable[[Outcome], Screen],
        leave_to: Callable[[], Screen],
        doors: ReviewDoors | None = None,
    ) -> None:
        super().__init__(plan, start_run=recording.start_run, status=status, show_result=show_result, leave_to=leave_to)
        self._recording = recording
        self._doors = doors or ReviewDoors(OtherTakes())
        self._told: Said | None = None
        """What came of the last key."""

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - the take has its own
        """Follow what was played, as the take's own clock runs."""
        self._now_ns = own_ns = self._recording.clock(now_ns)
        if self._run is None:
            self._begin(self._part)
        return super().update(() if self._is_standing else self._recording.poll(own_ns), own_ns)

    def handle(self, action: Action) -> Screen | None:
        """Do what a key asks for; while a note is written, keys write."""
        note = self._doors.note
        if note.draft is not None and not isinstance(action, Pressed) and action is not Command.QUIT:
            words = note.written(action)
            self.takes_text = note.draft is not None
            self._told = Said("note", (words,)) if words else None
            return self
        if not isinstance(action, Pressed):
            self._told = None
        return super().handle(action)

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the line as it stands."""
        super().draw(surface, self._recording.clock(now_ns))

    def view(self, now_ns: int) -> PracticeView:
        """What a frame shows at a time of the take's clock."""
        view, other = super().view(now_ns), self._doors.others.shown
        return replace(
            view,
            passes=view.passes + SPEED_WORDS[self._recording.speed],
            other=self._doors.others.states(self._stretches[-1]),
            other_words="" if other is None else other.words,
        )

    def _keys(self) -> tuple[Hint, ...]:
        if self._doors.note.draft is not None:
            return WRITING_KEYS
        beneath = self._following_saying() if self._is_standing else None
        return review_keys(self._recording, self._doors, beneath)

    def _following_saying(self) -> str:
        following = super()._following_saying()
        return "other take" if following == "neck" and self._doors.others.is_shown else following

    def _sayings(self) -> Sequence[tuple[str, Callable[[], tuple[str, ...]]]]:
        note = self._doors.note
        return (*super()._sayings(), *([("note", lambda: (note.text,))] if note.text else []))

    def _said(self) -> Said | None:
        draft = self._doors.note.draft
        return self._told or super()._said() if draft is None else Said("note", (draft + CURSOR,))

    def _notice(self, run: Run) -> str:
        return "stopped" if self._is_standing else super()._notice(run)

    def _watch_time(self, now_ns: int) -> None:
        """Nobody plays."""

    def _begin(self, part: Part) -> Run:
        run = super()._begin(part)
        del self._stretches[:-1]  # the same take again
        return run

    def _stop(self) -> None:
        """Judge what is left of the take as well, so that all of it can be walked over."""
        if self._run is not None and not self._run.is_finished:
            messages, end_ns = self._recording.rest(self._now_ns)
            self._run.update(messages, end_ns)
            self._run.finish(end_ns)
            self._version += 1

    def _go_on(self) -> None:
        """Go on from the cursor."""
        if self._run is not None:
            self._recording.seek(played_ns(self._run, self._cursor))
        self._begin(self._part)

    def _change(self, command: Command) -> None:
        recording, doors = self._recording, self._doors
        match command:
            case Command.SLOWER | Command.FASTER:
                recording.change_speed(1 if command is Command.FASTER else -1)
            case Command.HEAR:
                recording.turn_sound()
            case Command.TWINS:
                doors.others.turn()
                self._saying = len(self._sayings()) if doors.others.is_shown else 0
            case Command.DOWN | Command.UP:
                doors.others.choose(1 if command is Command.DOWN else -1)
            case Command.NOTE if doors.note.can_be_written:
                self._stand()
                doors.note.begin()
                self.takes_text = True
            case Command.PICTURE if doors.keep_picture is not None:
                self._stand()
                self._told = Said("picture", (doors.keep_picture(self._shown()),))
            case _ if command is Command.RESTART or command in WALKING:
                super()._change(command)
            case _:
                pass

    def _shown(self) -> Shown:
        """The bars that are seen, with what was played of them."""
        stretch, view = self._stretches[-1], self.view(self._now_ns)
        ends = (0, len(stretch.exercise.notes) - 1) if self._picture is None else self._picture.ends(view)
        first, last = whole_bars(stretch.exercise, *ends)
        states = {
            index: state_of(index, stretch.exercise, stretch.ledger, stretch.onsets) for index in range(first, last + 1)
        }
        return Shown(first, last, states, view.other, view.other_words)


def review_keys(recording: Recording, doors: ReviewDoors, beneath: str | None) -> tuple[Hint, ...]:
    """What the keys do; `beneath` is what Tab brings while it stands, None while it runs."""
    heard = recording.is_heard
    sound: tuple[Hint, ...] = () if heard is None else (("H", "mute" if heard else "hear", Command.HEAR),)
    speeds: tuple[Hint, ...] = (("\N{MINUS SIGN}", "slower", Command.SLOWER), ("+", "faster", Command.FASTER))
    ways: tuple[Hint, ...] = (
        *(speeds if len(recording.speeds) > 1 else ()),
        *sound,
        *doors.others.hints(),
        *((("T", "write a note", Command.NOTE),) if doors.note.can_be_written else ()),
        *((("X", "picture", Command.PICTURE),) if doors.keep_picture is not None else ()),
        ("R", "from the top", Command.RESTART),
        *ALWAYS_KEYS,
    )
    leave = "Esc", "end", Command.BACK
    if beneath is None:
        return (("Space", "stop", Command.PAUSE), leave, *ways)
    return (
        ("Space", "go on", Command.PAUSE),
        ("N", "next slip", Command.NEXT),
        beneath_hint(beneath),
        leave,
        *ways,
    )
