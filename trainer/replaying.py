"""A kept take on the screen, followed and judged again as it runs, and gone through like a recording.

Stopped, it can be walked over note by note, bar by bar and from slip to slip; it goes on from wherever it stands, with
everything before that judged as it was.
"""

from collections.abc import Callable
from fractions import Fraction

from trainer.following.verdict import Pace
from trainer.judging import tempo_of
from trainer.playing.messages import StampedMessage
from trainer.playing.take import Take, TakeHeader
from trainer.practiceroom import tidy_memory
from trainer.run import Run, RunPlan
from trainer.score.exercise import Exercise
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.result import ResultScreen
from trainer.screens.screen import Screen
from trainer.tutor import advice_on

BEFORE_NS = 700_000_000
"""What is gone on from begins so much earlier, so that it is not missed."""


def replay_screen(
    take: Take, header: TakeHeader, exercise: Exercise, leave: Callable[[], Screen] | None = None
) -> Screen:
    """The screen of a kept take; its result leads back to it, or else to wherever `leave` does."""
    replay = Replay(take, header)
    tempo = tempo_of(header.quarters_per_minute)
    bars = Fraction(header.starts_at_ns, max(1, tempo.ns(exercise.meter.bar_quarters)))
    plan = RunPlan(exercise, tempo, pace=Pace(header.pace), passes=header.passes, count_in_bars=round(bars))

    def practice(again: RunPlan) -> Screen:
        return PracticeScreen(
            again,
            start_run=replay.start_run,
            status=lambda: f"Replay of a take of {header.date[:16].replace('T', ' ')}, played on {header.input}.",
            show_result=result,
            leave_to=leave or (lambda: practice(plan)),
            seek=replay.seek,
            source=replay.poll,
        )

    def result(outcome: Outcome) -> Screen:
        advice = advice_on(outcome, header.profile)
        return ResultScreen(
            outcome, play_again=lambda _: practice(plan), leave_to=leave or (lambda: practice(plan)), advice=advice
        )

    return practice(plan)


class Replay:
    """Gives the messages of a kept take again, at the times at which they came."""

    def __init__(self, take: Take, header: TakeHeader) -> None:
        self._take = take
        self._header = header
        self._from_ns = 0
        self._zero_ns = 0
        self._given = 0

    def seek(self, from_ns: int) -> None:
        """Let the next run begin there in the take; what came before is given at once."""
        self._from_ns = max(0, from_ns - BEFORE_NS)

    def start_run(self, plan: RunPlan, now_ns: int) -> Run:
        """Begin where it was sought, else at the take's beginning."""
        self._zero_ns, self._given, self._from_ns = now_ns - self._from_ns, 0, 0
        tidy_memory()
        return Run(plan, zero_ns=self._zero_ns, profile=self._header.profile)

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What had arrived by then."""
        first = self._given
        messages = self._take.messages
        while self._given < len(messages) and messages[self._given].stamp_ns + self._zero_ns <= now_ns:
            self._given += 1
        return tuple(m._replace(stamp_ns=m.stamp_ns + self._zero_ns) for m in messages[first : self._given])
