"""Takes of shipped exercises, played exactly but for planted faults, as files in a folder."""

from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path

from trainer.devices.faults import faults_from_text
from trainer.devices.recording import CONTEST, TakeWriter, quantised, take_path
from trainer.devices.simulated_player import simulated_player
from trainer.devices.skill import EXACT
from trainer.playing.take import TakeHeader
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.score.serial import exercise_to_dict
from trainer.score.tempo import Tempo

FIRST = datetime(2026, 3, 1, 9, 0, 0)


def keep_take(
    folder: Path,
    name: str,
    *,
    minutes: int = 0,
    faults: str = "",
    tempo: int = 60,
    passes: int = 2,
    plays: float = 1.0,
    by_hand: bool = True,
    stretch: tuple[int | None, int | None] = (None, None),
    player: str = "",
    contest: str = "",
    turn: int = 0,
    tolerance: dict[str, int | float] | None = None,
) -> None:
    """A take of some of `passes`, played exactly but for `faults`; `plays` is the share of it that is played at all."""
    folder.mkdir(exist_ok=True)
    exercise = load_exercise(name)
    plan = RunPlan(exercise, Tempo(Fraction(tempo)), passes=passes)
    line = exercise.repeated(passes)
    hands = simulated_player(
        line, plan.tempo, plan.count_in_ns, 0, skill=EXACT, faults=faults_from_text(faults), seed=1
    )
    when = FIRST + timedelta(minutes=minutes)
    header = TakeHeader(
        program="boxwalk",
        date=when.isoformat(),
        exercise_name=name,
        exercise=exercise_to_dict(exercise),
        pace="click",
        quarters_per_minute=Fraction(tempo),
        starts_at_ns=plan.count_in_ns,
        passes=passes,
        first_note=stretch[0],
        last_note=stretch[1],
        profile=hands.profile,
        seed=None if by_hand else 1,
        player=player,
        contest=contest,
        turn=turn,
        tolerance=tolerance or {},
    )
    writer = TakeWriter(take_path(folder, when, f"{CONTEST} {name}" if contest else name), header)
    end_ns = plan.count_in_ns + round(plan.tempo.ns(line.length_quarters) * plays)
    for message in hands.poll(end_ns):
        writer.keep(message._replace(stamp_ns=quantised(message.stamp_ns)))
    writer.tick(end_ns)
    writer.close()
