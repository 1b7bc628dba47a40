import json
from collections.abc import Iterable
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.history.builders import plan_of, record
from trainer.cli import main
from trainer.devices.skill import Skill
from trainer.score.exercise import Exercise
from trainer.score.library import load_all


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    monkeypatch.setattr("trainer.score.library.load_all", shipped)  # read once, not for every command
    return tmp_path


@cache
def shipped_once() -> tuple[tuple[Exercise, ...], tuple[str, ...]]:
    return load_all()


def shipped(_own: Iterable[Path] = ()) -> tuple[tuple[Exercise, ...], tuple[str, ...]]:
    return shipped_once()


def boxwalk(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def days_ago(days: int) -> datetime:
    return datetime.now().astimezone() - timedelta(days=days)


def test_a_plan_is_printed_with_the_command_that_starts_each_item() -> None:
    shown = boxwalk("plan", "--minutes", 30).stdout

    assert "boxwalk practise first-stones --tempo 42 --passes 2" in " ".join(shown.split())
    assert "break" in shown
    assert "Nothing is known of your playing yet" in " ".join(shown.split())
    assert "this is no medical advice" in " ".join(shown.split())


def test_a_weak_transition_becomes_the_drill_and_an_older_line_the_review(place: Path) -> None:
    late = ", ".join(f"late {turn * 32 + 9} 60" for turn in range(8))
    record(place, plan_of(passes=8), late, when=days_ago(0), skill=Skill(timing_sd_ns=8_000_000))
    record(place, plan_of(passes=1, tempo=100), when=days_ago(5))

    plan = json.loads(boxwalk("plan", "--minutes", 45, "--goal", "two-gates", "--json").stdout)

    (drill,) = (item for item in plan["items"] if item["kind"] == "drill")
    assert plan["minutes"] == 45
    assert (drill["exercise"], drill["stretch"]) == ("two-gates", [7, 10])
    assert "From note 8 to 9 " in drill["measured"]
    assert "over the last 9 passes" in drill["measured"]


def test_things_are_swapped_and_skipped_by_the_numbers_that_were_printed() -> None:
    before = json.loads(boxwalk("plan", "--json").stdout)["items"]

    after = json.loads(boxwalk("plan", "--swap", 2, "--skip", 1, "--json").stdout)["items"]

    assert [item["number"] for item in after] == [item["number"] for item in before][1:]
    assert after[0]["exercise"] != before[1]["exercise"]


def test_a_goal_that_is_none_is_refused_with_the_nearest() -> None:
    result = boxwalk("plan", "--goal", "tow-gates")

    assert result.exit_code == 2
    assert "--goal: 'tow-gates' is not an exercise or a step of the path; nearest: 'two-gates'" in result.stderr


def test_an_item_that_is_none_is_refused() -> None:
    result = boxwalk("plan", "--skip", 99)

    assert result.exit_code == 2
    assert "there is no item 99 in the plan" in result.stderr
