"""Some weeks of practice by a simulated player, invented: the tempo rises and the hands get steadier.

`python -m tests.progress.weeks FOLDER` fills a data folder with the last eight weeks; with BOXWALK_DATA=FOLDER the
program then shows them.
"""

import random
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path

from tests.history.builders import plan_of, record
from trainer.devices.skill import Skill
from trainer.score.library import load_exercise

FIRST_DAY = datetime(2026, 8, 31, 17, 0, tzinfo=timezone(timedelta(hours=2)))
"""A Monday."""
WEAK_NOTE = 11


def skill_after(weeks: float) -> Skill:
    """The hands of a player after so many weeks."""
    return Skill(name="weeks", timing_sd_ns=round(13e6 * 0.93**weeks), bias_ns=-4_000_000)


def practise_weeks(
    place: Path,
    weeks: int = 8,
    *,
    days_a_week: int = 3,
    takes_a_day: int = 3,
    passes: int = 3,
    names: tuple[str, ...] = ("quarry-steps", "quarry-steps-legato", "two-gates"),
    seed: int = 1,
    first_day: datetime = FIRST_DAY,
) -> None:
    """Record takes of some lines on some days of each week; one transition is late at first and gets better."""
    chance = random.Random(f"weeks {seed}")
    for week in range(weeks):
        for day in range(days_a_week):
            when = first_day + timedelta(days=7 * week + 2 * day)
            for number in range(takes_a_day):
                name = names[(number + day) % len(names)]
                exercise = load_exercise(name)
                base = float(exercise.tempo.quarters_per_minute)
                share = 0.7 + 0.04 * week - (0.08 if name.endswith("legato") else 0)
                tempo = round(base * share * chance.uniform(0.92, 1.1))
                length = len(exercise.notes)
                late_ms = max(0, 45 - 6 * week)
                faults = [f"late {turn * length + WEAK_NOTE} {late_ms}" for turn in range(passes) if late_ms]
                if chance.random() < 0.45:
                    faults.append(f"miss {chance.randrange(length * passes)}")
                record(
                    place,
                    plan_of(exercise, passes, tempo=tempo),
                    ", ".join(faults),
                    when=when,
                    skill=skill_after(week),
                    seed=chance.randrange(1 << 30),
                )
                pause = timedelta(minutes=7 if number == takes_a_day // 2 else 2)
                when += timedelta(seconds=float(exercise.length_quarters) * passes * 60 / tempo) + pause


if __name__ == "__main__":
    practise_weeks(Path(sys.argv[1]), first_day=datetime.now().astimezone() - timedelta(weeks=8))
