"""Going through a kept take: it runs like a recording, at full or half speed, is stopped, walked over and gone on with.

What was played once cannot be played otherwise, so the keys that change a take while it is played do other things here.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

import pygame

from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.screens.hints import Hint
from trainer.screens.parts import Part, played_ns
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.practice_keys import ALWAYS_KEYS, WALKING, beneath_hint
from trainer.screens.practice_view import PracticeView
from trainer.screens.screen import REVIEW, Command, Screen
from trainer.tablature.other_take import OtherTake
from trainer.tablature.record import Stretch
from trainer.tablature.state import NoteState

FindOther = Callable[[], OtherTake | None]
"""Another take of the line; None when it cannot be read."""
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
        others: Sequence[FindOther] = (),
        shows_other: bool = False,
    ) -> None:
        super().__init__(plan, start_run=recording.start_run, status=status, show_result=show_result, leave_to=leave_to)
        self._recording = recording
        self._others = others
        self._place = 0
        self._found: dict[int, OtherTake | None] = {}
        self._beside: tuple[Stretch, OtherTake, dict[int, NoteState]] | None = None
        self._shows_other = False
        if shows_other:
            self._turn_other()

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - the take has its own
        """Follow what was played, as the take's own clock runs."""
        self._now_ns = own_ns = self._recording.clock(now_ns)
        if self._run is None:
            self._begin(self._part)
        return super().update(() if self._is_standing else self._recording.poll(own_ns), own_ns)

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the line as it stands."""
        super().draw(surface, self._recording.clock(now_ns))

    def view(self, now_ns: int) -> PracticeView:
        """What a frame shows at a time of the take's clock."""
        view = super().view(now_ns)
        passes = view.passes + SPEED_WORDS[self._recording.speed]
        other = self._other() if self._shows_other else None
        if other is None:
            return replace(view, passes=passes)
        return replace(view, passes=passes, other=self._states_of(other), other_words=other.words)

    def _other(self) -> OtherTake | None:
        """The take that was chosen, judged when it is first wanted."""
        if self._place not in self._found:
            self._found[self._place] = self._others[self._place]()
        return self._found[self._place]

    def _states_of(self, other: OtherTake) -> dict[int, NoteState]:
        """What it was like at each note, found once for a take and another."""
        stretch = self._stretches[-1]
        if self._beside is None or self._beside[0] is not stretch or self._beside[1] is not other:
            self._beside = stretch, other, other.beside(stretch)
        return self._beside[2]

    def _turn_other(self) -> None:
        """Show the other take, or not; one that cannot be read gives way to the next."""
        self._shows_other = not self._shows_other and self._choose_other(self._place, 1)

    def _choose_other(self, place: int, step: int) -> bool:
        """The first take from a place on that can be read; false, and nothing is changed, without one."""
        before = self._place
        while 0 <= place < len(self._others):
            self._place = place
            if self._other() is not None:
                return True
            place += step
        self._place = before
        return False

    def _keys(self) -> tuple[Hint, ...]:
        heard = self._recording.is_heard
        sound: tuple[Hint, ...] = () if heard is None else (("H", "mute" if heard else "hear", Command.HEAR),)
        speeds: tuple[Hint, ...] = (("\N{MINUS SIGN}", "slower", Command.SLOWER), ("+", "faster", Command.FASTER))
        ways: tuple[Hint, ...] = (
            *(speeds if len(self._recording.speeds) > 1 else ()),
            *sound,
            *self._other_hints(),
            ("R", "from the top", Command.RESTART),
            ("Esc", "result", Command.BACK),
            *ALWAYS_KEYS,
        )
        if not self._is_standing:
            return (("Space", "stop", Command.PAUSE), *ways)
        return (
            ("Space", "go on from here", Command.PAUSE),
            ("←", "note", Command.LEFT),
            ("→", "note", Command.RIGHT),
            ("N", "next slip", Command.NEXT),
            beneath_hint(shows_why=self._shows_why),
            *ways,
        )

    def _other_hints(self) -> tuple[Hint, ...]:
        """How the other take is chosen."""
        if not self._others:
            return ()
        if not self._shows_other:
            return (("F6", "other take", Command.TWINS),)
        older = (("↓", "older", Command.DOWN), ("↑", "newer", Command.UP)) if len(self._others) > 1 else ()
        return (("F6", "neck", Command.TWINS), *older)

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
        match command:
            case Command.SLOWER | Command.FASTER:
                self._recording.change_speed(1 if command is Command.FASTER else -1)
            case Command.HEAR:
                self._recording.turn_sound()
            case Command.TWINS if self._others:
                self._turn_other()
            case Command.DOWN | Command.UP if self._shows_other:
                step = 1 if command is Command.DOWN else -1
                self._choose_other(self._place + step, step)
            case Command.RESTART:
                super()._change(command)
            case _ if command in WALKING:
                super()._change(command)
            case _:
                pass
