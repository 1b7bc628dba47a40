import json
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from tests.builders import line
from tests.history.builders import NOON, history_of, plan_of, record
from trainer.coaching.drills import drills_for
from trainer.coaching.transitions import Transition
from trainer.devices.skill import Skill
from trainer.following.verdict import Pace
from trainer.progress.advising import advised, effect_words
from trainer.progress.gathering import known_of
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

STEADY = Skill(name="steady", timing_sd_ns=8_000_000)


def late(passes: int, by_ms: int = 40) -> str:
    return ", ".join(f"late {11 + 32 * number} {by_ms}" for number in range(passes))


def take(
    place: Path,
    minute: int,
    faults: str = "",
    *,
    exercise: Exercise | None = None,
    passes: int = 3,
    pace: Pace = Pace.CLICK,
    player: str = "",
) -> None:
    when = NOON + timedelta(minutes=minute)
    plan = plan_of(exercise, passes=passes, pace=pace)
    record(place, plan, faults, when=when, player=player, skill=STEADY, seed=minute + 1)


def drill() -> Exercise:
    weak = Transition(10, 11, 40.0, (30.0, 50.0), 8.0, 6, 0, 6, 250.0)
    return drills_for(line(), weak, Tempo(Fraction(120)))[0].exercise


def test_the_passes_of_one_player_and_of_the_last_pace_are_weighed(tmp_path: Path) -> None:
    take(tmp_path, 0, late(3))
    take(tmp_path, 1, late(3))
    take(tmp_path, 2, "miss 5", player="anna")
    take(tmp_path, 3, "miss 5", pace=Pace.FREE)
    take(tmp_path, 1440, late(3))

    with history_of(tmp_path) as history:
        found = advised(history, line(), "")
        free = advised(history, line(), "", Pace.FREE)
        hers = advised(history, line(), "anna")
        nobodys = advised(history, line(), "nobody")

    assert found is not None
    assert found.heading() == "The last 9 passes over two-gates with the click, 2026-03-14 to 2026-03-15."
    assert [(each.from_index, each.to_index) for each in found.advice.weak] == [(10, 11)]
    assert "over the last 9 passes" in found.advice.sentences()[0]
    assert free is not None
    assert (free.advice.weighing.passes, free.pace) == (3, Pace.FREE)
    assert hers is not None
    assert hers.heading() == "The last 3 passes over two-gates with the click, 2026-03-14."
    assert nobodys is None


def test_a_line_that_was_changed_since_is_looked_at_as_it_was(tmp_path: Path) -> None:
    take(tmp_path, 0)
    changed = replace(line(), notes=line().notes[:-1])

    with history_of(tmp_path) as history:
        found = advised(history, changed, "")

    assert found is not None
    assert found.advice.exercise == line()
    assert found.heading().endswith("The line has been changed since: this is of the line as it was then.")


def test_a_drill_is_measured_by_the_passes_over_the_line_before_and_after_it(tmp_path: Path) -> None:
    take(tmp_path, 0, late(6), passes=6)
    take(tmp_path, 5, exercise=drill(), passes=4)
    take(tmp_path, 9, late(3, 1))

    with history_of(tmp_path) as history:
        early = effect_words(history, line(), "")
    take(tmp_path, 12, late(3, 1))
    with history_of(tmp_path) as history:
        words = effect_words(history, line(), "")
        hers = effect_words(history, line(), "anna")

    assert early == (
        "The drill of 2026-03-14 for notes 10 to 11: not enough yet to say what it did; 2 more passes over the line."
    )
    assert words.startswith("The drill of 2026-03-14 for notes 10 to 11. From note 10 to 11: ")
    assert words.endswith("over 6 and 6 passes.")
    assert "chance" not in words
    assert hers == ""


def test_a_drill_without_passes_before_it_tells_no_effect(tmp_path: Path) -> None:
    take(tmp_path, 0, exercise=drill())
    take(tmp_path, 5, passes=5)

    with history_of(tmp_path) as history:
        words = effect_words(history, line(), "")

    assert words.endswith("what it did cannot be told, for only 0 passes over the line came before it.")


@pytest.mark.parametrize(
    ("change", "said", "unsaid"),
    [
        ({"latency_cycles": 2.0}, "string 3 fret 12 to string 3 fret 9", "not been measured"),
        ({}, "strings are not compared", "does not tell"),
        ({"channel_use": "one-channel"}, "nothing is said of strings", "string 3"),
    ],
)
def test_strings_are_told_as_far_as_the_pickup_of_the_takes_tells_them(
    tmp_path: Path, change: dict[str, object], said: str, unsaid: str
) -> None:
    take(tmp_path, 0, late(6), passes=6)

    with history_of(tmp_path) as history:
        (profile,) = history.connection.execute("SELECT profile FROM devices").fetchone()
        history.connection.execute("UPDATE devices SET profile = ?", (json.dumps(json.loads(profile) | change),))
        found = advised(history, line(), "")
        weakness = known_of(history, "", NOON.date()).weakness

    assert found is not None
    sentences = " ".join(found.advice.sentences())
    assert said in sentences
    assert unsaid not in sentences
    assert weakness is not None
    assert ("string 3" in weakness.sentence) == ("string 3" in sentences)
