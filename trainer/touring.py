"""What the guided tour shows: a simulated player at a line, followed and judged like anybody, on the usual screens.

Its words, the line and what goes wrong in it stand in `shared/tour.json`. Nothing of it is kept.
"""

import json
from collections.abc import Callable
from functools import cached_property
from typing import Any

from trainer.devices.converter_style import STYLES
from trainer.devices.faults import Faults, faults_from_text
from trainer.devices.simulated_player import SimulatedPlayer, simulated_take
from trainer.devices.skill import Skill
from trainer.playing.messages import StampedMessage
from trainer.run import Run, RunPlan
from trainer.score.library import load_exercise
from trainer.screens.practice import Outcome
from trainer.screens.result import ResultScreen
from trainer.screens.review import Recording, ReviewScreen
from trainer.screens.screen import Screen
from trainer.screens.tour import Shown, Stop, TourScreen
from trainer.shipped import SHARED
from trainer.tutor import advice_on

LEAD_NS = 2_400_000_000
"""So long it plays before the note that is shown."""
BEHIND_NS = 900_000_000
"""So long it plays on behind it, until the verdict is settled."""
HANDS = Skill(timing_sd_ns=6_000_000)
STYLE = STYLES["bend"]


def tour(leave: Callable[[], Screen]) -> TourScreen:
    """The whole tour, from its first stop; `leave()` is where it was asked for."""
    facts = json.loads((SHARED / "tour.json").read_text(encoding="utf-8"))
    sitting = Sitting(facts)
    return TourScreen([_stop(sitting, stop) for stop in facts["stops"]], leave)


class Sitting(Recording):
    """One sitting of the simulated player, begun wherever it is asked for; what came before is played at once."""

    def __init__(self, facts: dict[str, Any]) -> None:
        line = load_exercise(facts["line"])
        self.plan = RunPlan(line, line.tempo, passes=facts["passes"])
        once, each = faults_from_text(facts["faults"]), faults_from_text(facts["faults of every pass"])
        length = len(line.notes)
        again = (
            type(fault)(fault.kind, fault.index + turn * length, fault.amount_ns)
            for turn in range(self.plan.passes)
            for fault in each.planted
        )
        self._faults = Faults((*once.planted, *again))
        self._ended: list[Outcome] = []
        self._from_ns = 0
        self._player: SimulatedPlayer | None = None

    def due_ns(self, note: int) -> int:
        """When a note is due, from the start of the take."""
        return self.plan.count_in_ns + self.plan.tempo.ns(self.plan.exercise.notes[note].onset_quarters)

    def practice(self, from_ns: int, now_ns: int) -> ReviewScreen:
        """The line, as far as it was played by then, and going on."""
        self.seek(from_ns)
        screen = self._screen()
        screen.update((), now_ns)
        return screen

    @cached_property
    def outcome(self) -> Outcome:
        """What all of it came to."""
        self.seek(
            self.plan.count_in_ns + self.plan.tempo.ns((self.plan.passes + 1) * self.plan.exercise.length_quarters)
        )
        self._screen().update((), 0)
        return self._ended[-1]

    def result(self) -> ResultScreen:
        """The result without the coach."""
        return ResultScreen(self.outcome, play_again=lambda _: self.result(), leave_to=self.result)

    def coached(self) -> ResultScreen:
        """The result with what the coach says."""
        advice = advice_on(self.outcome, STYLE.profile)
        return ResultScreen(self.outcome, play_again=lambda _: self.coached(), leave_to=self.coached, advice=advice)

    def _screen(self) -> ReviewScreen:
        def result(outcome: Outcome) -> Screen:
            self._ended.append(outcome)
            return self._screen()

        return ReviewScreen(
            self.plan,
            self,
            status=lambda: "A simulated player plays; nothing of it is kept.",
            show_result=result,
            leave_to=self._screen,
        )

    def seek(self, from_ns: int) -> None:
        """Let the next run begin there."""
        self._from_ns = max(0, from_ns)

    def start_run(self, plan: RunPlan, now_ns: int) -> Run:
        """Begin where it was sought."""
        zero_ns = now_ns - self._from_ns
        self._player = SimulatedPlayer(self._messages, zero_ns, STYLE.profile, "Tour")
        return Run(plan, zero_ns=zero_ns, profile=STYLE.profile)

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What the simulated player had played by then."""
        return () if self._player is None else self._player.poll(now_ns)

    @cached_property
    def _messages(self) -> tuple[StampedMessage, ...]:
        plan = self.plan
        line = plan.exercise.repeated(plan.passes)
        return simulated_take(line, plan.tempo, plan.count_in_ns, skill=HANDS, faults=self._faults, style=STYLE, seed=1)


def _stop(sitting: Sitting, facts: dict[str, Any]) -> Stop:
    title, words = facts["title"], facts["words"]
    if "note" not in facts:
        pages: dict[str, Callable[[], Shown]] = {"result": sitting.result, "coach": sitting.coached}
        page = pages[facts["page"]]
        return Stop(title, words, lambda _now_ns: page())
    note = facts["note"]
    due_ns = sitting.due_ns(note)
    from_ns = max(0, due_ns - LEAD_NS) if note else 0
    return Stop(title, words, lambda now_ns: sitting.practice(from_ns, now_ns), note, due_ns + BEHIND_NS - from_ns)
