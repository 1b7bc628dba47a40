"""A player's place with takes in it, made by the same run and the same writer as live ones."""

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

from tests.builders import SECOND_NS, line, played
from trainer.devices.recording import TakeWriter, quantised, take_path
from trainer.devices.skill import EXACT, Skill
from trainer.following.verdict import Pace
from trainer.history.gathering import gather, missing_files
from trainer.history.store import History
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.take import TakeHeader
from trainer.run import Run, RunPlan
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_to_dict

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=timezone(timedelta(hours=1)))
ZERO_NS = 77 * SECOND_NS


def plan_of(exercise: Exercise | None = None, passes: int = 2, pace: Pace = Pace.CLICK, tempo: int = 120) -> RunPlan:
    exercise = exercise or line()
    return RunPlan(exercise, exercise.tempo, passes=passes, pace=pace).at_tempo(Fraction(tempo))


def header_of(plan: RunPlan, when: datetime = NOON, player: str = "") -> TakeHeader:
    return TakeHeader(
        program="boxwalk 0.1.0",
        date=when.isoformat(timespec="seconds"),
        exercise_name=plan.exercise.name,
        exercise=exercise_to_dict(plan.exercise),
        pace=plan.pace.value,
        quarters_per_minute=plan.tempo.quarters_per_minute,
        starts_at_ns=plan.count_in_ns,
        passes=plan.passes,
        first_note=None if plan.stretch is None else plan.stretch[0],
        last_note=None if plan.stretch is None else plan.stretch[1],
        profile=PickupProfile(),
        input="bench",
        player=player,
    )


def record(
    place: Path,
    plan: RunPlan | None = None,
    faults: str = "",
    *,
    when: datetime = NOON,
    player: str = "",
    skill: Skill = EXACT,
    seed: int = 1,
    stopped_after_s: float | None = None,
    messages: tuple[StampedMessage, ...] | None = None,
) -> Run:
    """Play a take to its end, or stop it, and keep its file; the run is that of live playing."""
    plan = plan or plan_of()
    header = header_of(plan, when, player)
    writer = TakeWriter(take_path(place / "takes", when, plan.exercise.name), header)
    run = Run(plan, zero_ns=ZERO_NS, profile=PickupProfile(), keeper=writer, quantise=quantised)
    if messages is None:
        as_played = replace(plan.exercise.repeated(plan.passes), tempo=plan.tempo)
        messages = played(as_played, faults, starts_at_ns=plan.count_in_ns, skill=skill, seed=seed)
    end_ns = messages[-1].stamp_ns + 10 * SECOND_NS if stopped_after_s is None else round(stopped_after_s * SECOND_NS)
    for message in messages:
        if message.stamp_ns < end_ns:
            at_ns = ZERO_NS + message.stamp_ns
            run.update((message._replace(stamp_ns=at_ns),), at_ns)
    if stopped_after_s is None:
        run.update((), ZERO_NS + end_ns)
    run.finish(ZERO_NS + end_ns)
    return run


def history_of(place: Path) -> History:
    """The history of a player's place, with all takes in it."""
    history = History.open(place / "history.db", place / "takes")
    gather(history, missing_files(history))
    return history
