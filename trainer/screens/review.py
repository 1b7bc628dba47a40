"""Going through a kept take: it runs like a recording, at full or half speed, is stopped, walked over and gone on with.

What was played once cannot be played otherwise, so the keys that change a take while it is played do other things here.
"""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pygame

from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.screens.hints import Hint
from trainer.screens.parts import Part, played_ns
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.practice_keys import ALWAYS_KEYS, WALKING, beneath_hint
from trainer.screens.practice_picture import PracticeView
from trainer.screens.screen import REVIEW, Command, Screen

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
    ) -> None:
        super().__init__(plan, start_run=recording.start_run, status=status, show_result=show_result, leave_to=leave_to)
        self._recording = recording

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
        return replace(view, passes=view.passes + SPEED_WORDS[self._recording.speed])

    def _keys(self) -> tuple[Hint, ...]:
        heard = self._recording.is_heard
        sound: tuple[Hint, ...] = () if heard is None else (("H", "mute" if heard else "hear", Command.HEAR),)
        speeds: tuple[Hint, ...] = (("\N{MINUS SIGN}", "slower", Command.SLOWER), ("+", "faster", Command.FASTER))
        ways: tuple[Hint, ...] = (
            *(speeds if len(self._recording.speeds) > 1 else ()),
            *sound,
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

    def _watch_time(self, now_ns: int) -> None:
        """Nobody plays."""

    def _begin(self, part: Part) -> Run:
        run = super()._begin(part)
        del self._stretches[:-1]  # the same take again
        return run

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
            case Command.RESTART:
                super()._change(command)
            case _ if command in WALKING:
                super()._change(command)
            case _:
                pass
