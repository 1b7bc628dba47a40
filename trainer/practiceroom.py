"""The room where lines are played: practice, its result with what the coach says, drills, and runs of tempi.

One break counter runs through all of it. A drill is played like any line; what it did is told after passes over the
line itself.
"""

import gc
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from trainer.coaching.advice import Advice
from trainer.coaching.asking import within_limits
from trainer.coaching.drills import Drill, drills_for
from trainer.coaching.ladder import Mixture
from trainer.coaching.rests import BreakCounter
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.transitions import Transition
from trainer.coaching.ways import Asking
from trainer.ghosts import Ghosts
from trainer.playing.profile import PickupProfile
from trainer.run import Run, RunPlan
from trainer.score.exercise import Exercise
from trainer.screens.ghosting import Ghosting
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.result import Onward, ResultScreen
from trainer.screens.screen import Command, Screen
from trainer.screens.tempo_run import TempoRunScreen
from trainer.screens.tempo_ways import TempoWaysScreen
from trainer.screens.twin_table import Comparison
from trainer.station import Station
from trainer.tablature.ghost import GhostChoice
from trainer.theory.tuning import TUNINGS
from trainer.tutor import Tutor

BRIEF_TROUBLE = "No history now: the result says why."
DRILL_PASSES = 8
LINE_PASSES = 5
"""After a drill that did not come from a sitting with its line: enough to tell what it did."""
Leave = Callable[[], Screen]


@dataclass(frozen=True, slots=True)
class Drilling:
    """A drill, and the line that it is for."""

    line: RunPlan
    weak: Transition
    drills: tuple[Drill, ...]
    at: int = 0
    """Which of the drills."""

    @property
    def plan(self) -> RunPlan:
        """How it is played."""
        exercise = self.drills[self.at].exercise
        return replace(self.line, exercise=exercise, tempo=exercise.tempo, passes=DRILL_PASSES, stretch=None)

    @property
    def remark(self) -> str:
        """Which version it is, and what it is for."""
        return f"Drill {self.at + 1} of {len(self.drills)}. {self.drills[self.at].about}"

    def moved(self, by: int) -> "Drilling | None":
        """A longer or shorter version; None when there is none."""
        at = self.at + by
        return replace(self, at=at) if 0 <= at < len(self.drills) else None


class Practiceroom:
    """`comparison(line)` sets a line beside its twins; `line_after(line)` is the next one of the list.

    `review(path, leave)` goes through a take that was kept; None when it cannot be read.
    """

    def __init__(
        self,
        station: Station,
        *,
        comparison: Callable[[Exercise], Comparison | None],
        line_after: Callable[[Exercise], Exercise | None] = lambda _line: None,
        review: Callable[[Path, Leave], Screen | None] = lambda _path, _leave: None,
    ) -> None:
        self._station = station
        self._comparison = comparison
        self._line_after = line_after
        self._review = review
        self._run: Run | None = None
        """The last one."""
        self.tuning = TUNINGS["standard"]
        """Of the line that was played last."""
        self._profile: PickupProfile = station.profile
        """Of the last run."""
        self._asking: Asking | None = None
        """How tempi were asked for last."""
        self.tutor = Tutor(station)
        self.ghosting = _ghosting(station, self.tutor)
        self.breaks = BreakCounter(self.tutor.since_break(), time.perf_counter_ns())

    def practice(self, plan: RunPlan, leave: Leave) -> Screen:
        """One sitting with one line."""
        return self.playing(plan, lambda outcome: self._result(outcome, leave), leave)

    def drill_advised(self, advice: Advice, leave: Leave) -> Screen | None:
        """The drill for the worst transition of a line; None without one."""
        plan = RunPlan(advice.exercise, advice.tempo, passes=LINE_PASSES)
        return None if advice.worst is None else self._drill(advice, advice.worst, plan, leave)

    def practise_advised(self, advice: Advice, leave: Leave) -> Screen:
        """A line of the coach's list, as fast as it was played last."""
        return self.practice(RunPlan(advice.exercise, advice.tempo, passes=LINE_PASSES), leave)

    def drill_line(self, exercise: Exercise, to_index: int | None, leave: Leave) -> Screen | None:
        """The drill for the transition into a note of a line, or for its worst; None when too little was played."""
        advice = self.tutor.advice(exercise)
        transitions = advice.weighing.transitions
        weak = advice.worst if to_index is None else transitions[to_index - 1] if transitions else None
        if weak is None:
            return None
        return self._drill(advice, weak, RunPlan(exercise, advice.tempo, passes=LINE_PASSES), leave)

    def _drill(self, advice: Advice, weak: Transition, line: RunPlan, leave: Leave) -> Screen:
        self.tutor.drill_begins(advice, weak, line.pace)
        return self.drill(Drilling(line, weak, drills_for(line.exercise, weak, line.tempo)), leave)

    def drill(self, drilling: Drilling, leave: Leave) -> Screen:
        """One sitting with a drill; its result leads to the other versions, and back to the line."""
        return self.playing(drilling.plan, lambda outcome: self._drill_result(outcome, drilling, leave), leave)

    def tempo_ways(self, plan: RunPlan, leave: Leave, known: str = "") -> Screen:
        """The settings of a run of tempi over a line, from the tempo that is set; `known`: its working tempo so far."""
        start_qpm = within_limits(float(plan.tempo.quarters_per_minute))
        asking = Asking(start_qpm) if self._asking is None else replace(self._asking, start_qpm=start_qpm)

        def begin(asking: Asking) -> Screen:
            self._asking = asking
            shuffled = replace(asking, mixture=replace(asking.mixture, seed=_fresh_seed(asking.mixture)))
            return self.tempo_run(TempoSitting(plan.exercise, shuffled.procedure()), lambda: ways, known=known)

        ways = TempoWaysScreen(
            plan.exercise,
            asking,
            begin=begin,
            leave_to=leave,
            known=known,
            rest=self.breaks.state,
            status=lambda: self._station.status,
        )
        return ways

    def tempo_run(
        self,
        sitting: TempoSitting,
        leave_to: Callable[[], Screen | None],
        before_pass: Callable[[TempoSitting], None] = lambda _sitting: None,
        known: str = "",
    ) -> TempoRunScreen:
        """Pass after pass at the tempi that are asked for."""

        def practice(plan: RunPlan, heard: Callable[[Outcome], Screen], back: Leave) -> Screen:
            def told(outcome: Outcome) -> Screen:
                self.tutor.note(outcome)
                after = heard(outcome)
                self._station.keep_tempo(run.sitting)
                return after

            return self.playing(plan, told, back, hides_tempo=sitting.procedure.is_hidden)

        run = TempoRunScreen(
            sitting,
            practice=practice,
            status=lambda: self._station.status,
            leave_to=leave_to,
            before_pass=before_pass,
            known=known,
            rest=self.breaks.state,
        )
        return run

    def playing(
        self, plan: RunPlan, show: Callable[[Outcome], Screen], leave: Leave, *, hides_tempo: bool = False
    ) -> Screen:
        """One sitting, counted since the last break; `show(outcome)` is the screen after it."""

        def shown(outcome: Outcome) -> Screen:
            gc.enable()
            return show(outcome)

        return PracticeScreen(
            plan.that_fits(),
            start_run=self._start_run,
            status=lambda: BRIEF_TROUBLE if self.tutor.trouble else self._station.status,
            trouble=lambda: self._station.trouble,
            show_result=shown,
            leave_to=leave,
            hides_tempo=hides_tempo,
            breaks=self.breaks,
            ghosting=None if hides_tempo else self.ghosting,
        )

    def _result(self, outcome: Outcome, leave: Leave) -> Screen:
        plan = outcome.plan
        advice = self.tutor.heard(outcome, self._profile)
        effect = self.tutor.effect(plan.exercise, plan.pace)
        transitions = advice.weighing.transitions

        def drill_into(index: int) -> Screen:
            return self._drill(advice, transitions[index - 1], plan, leave)

        def back() -> Screen:
            gc.enable()
            return result

        result = ResultScreen(
            outcome,
            advice=advice,
            drill_into=drill_into if transitions else None,
            remarks=[effect] if effect else [],
            onward=[
                *self._to_drill(advice, plan, leave),
                *self._to_next_line(plan, leave),
                *self._to_review(back),
            ],
            play_again=lambda plan: self.practice(plan, leave),
            leave_to=leave,
            comparison=self._comparison(plan.exercise),
            rest=self.breaks.state,
            trouble=lambda: self.tutor.trouble,
        )
        return result

    def _to_review(self, back: Leave) -> list[Onward]:
        """The way through the last take, if it was kept."""
        path = None if self._run is None else self._run.take_path
        if path is None:
            return []
        return [Onward("F3", "replay", Command.LISTEN, lambda: self._review(path, back) or back())]

    def _to_drill(self, advice: Advice, plan: RunPlan, leave: Leave) -> list[Onward]:
        """The way to the drill for the worst transition, if there is one."""
        worst, drills = advice.worst, advice.drills()
        if worst is None:
            return []
        words = f"drill notes {drills[0].first} to {drills[0].last}"
        return [Onward("D", words, Command.DRILL, lambda: self._drill(advice, worst, plan, leave))]

    def _to_next_line(self, plan: RunPlan, leave: Leave) -> list[Onward]:
        """The way to the next line of the list, played as this one was, at its own tempo."""
        line = self._line_after(plan.exercise)
        if line is None:
            return []
        onward = replace(plan, exercise=line, tempo=line.tempo, stretch=None)
        return [Onward("N", "next line", Command.NEXT, lambda: self.practice(onward, leave))]

    def _drill_result(self, outcome: Outcome, drilling: Drilling, leave: Leave) -> Screen:
        longer, shorter = drilling.moved(1), drilling.moved(-1)
        onward: list[Onward] = []
        if longer is not None:
            onward.append(Onward("D", "longer", Command.DRILL, lambda: self.drill(longer, leave)))
        if shorter is not None:
            onward.append(Onward("S", "shorter", Command.SHORTER, lambda: self.drill(shorter, leave)))
        onward.append(Onward("L", "back to the line", Command.LOOP, lambda: self.practice(drilling.line, leave)))
        return ResultScreen(
            outcome,
            remarks=[drilling.remark, self.tutor.in_drill(outcome, drilling.drills[drilling.at], drilling.weak)],
            onward=onward,
            play_again=lambda plan: self._drill_again(drilling, plan, leave),
            leave_to=leave,
            rest=self.breaks.state,
            trouble=lambda: self.tutor.trouble,
        )

    def _drill_again(self, drilling: Drilling, plan: RunPlan, leave: Leave) -> Screen:
        return self.playing(plan, lambda outcome: self._drill_result(outcome, drilling, leave), leave)

    def _start_run(self, plan: RunPlan, now_ns: int) -> Run:  # noqa: ARG002 - the station has the clock
        tidy_memory()
        self._run = run = self._station.start_run(plan)
        self._profile, self.tuning = run.session.profile, plan.exercise.tuning
        return run


def _ghosting(station: Station, tutor: Tutor) -> Ghosting:
    """Ghosts among the station's takes, and the choice that was remembered."""
    ghosts, memory = Ghosts(station.takes_folder, lambda: tutor.player), station.memory
    if memory is None:
        return Ghosting(ghosts.of)
    return Ghosting(ghosts.of, GhostChoice(memory.ghost), lambda choice: memory.keep_ghost(choice.value))


def _fresh_seed(mixture: Mixture) -> int:
    """Another order each time, so that no order is learned."""
    return mixture.seed + time.monotonic_ns() % 1_000_003


def tidy_memory() -> None:
    """Collect garbage now and not while a take runs, where a collection would hold up a frame."""
    gc.collect()
    gc.freeze()
    gc.disable()
