import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.benchmarks.__main__ import main
from tests.benchmarks.figures import Figure, Goal, Measurement, NotMeasurableError, Way, report

ROOT = Path(__file__).parents[2]


def measured(way: Way) -> Iterator[Figure]:
    yield Figure("the whole way" if way is Way.WHOLE else "a short way", 8.0, "ms", Goal(most=8))
    raise NotMeasurableError("jackd is not installed")


def test_a_goal_includes_its_ends() -> None:
    goal = Goal(least=-2, most=2)

    met = [Figure("bias", value, "%", goal).is_met for value in (-2.001, -2.0, 0.0, 2.0, 2.001)]

    assert met == [False, True, True, True, False]


@pytest.mark.parametrize(
    ("goal", "words"), [(Goal(most=8), "at most 8"), (Goal(least=99.3), "at least 99.3"), (Goal(75, 85), "75 to 85")]
)
def test_a_goal_is_said_in_words(goal: Goal, words: str) -> None:
    assert str(goal) == words


def test_what_cannot_be_measured_says_why_and_meets_nothing() -> None:
    rows = list(Measurement("ports", "a line over a port", measured).figures(Way.SHORT))

    assert [row.as_json() for row in rows] == [
        {"name": "a short way", "figure": 8.0, "unit": "ms", "target": "at most 8", "met": True},
        {
            "name": "a line over a port",
            "figure": None,
            "unit": "",
            "target": None,
            "met": None,
            "not measured": "jackd is not installed",
        },
    ]


def test_a_table_has_a_row_for_each_figure_and_counts_what_was_missed(capsys: pytest.CaptureFixture[str]) -> None:
    report([Measurement("ports", "a line over a port", measured)], Way.WHOLE, as_json=False)

    lines = capsys.readouterr().out.splitlines()
    assert "| the whole way | 8 ms | at most 8 | yes |" in lines
    assert "| a line over a port | not measured: jackd is not installed |  | |" in lines
    assert lines[-1].startswith("0 of 1 goals missed")


def test_the_command_prints_json_with_every_key_of_a_row() -> None:
    command = [sys.executable, "-m", "tests.benchmarks", "--json", "library"]

    result = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)

    rows = json.loads(result.stdout[result.stdout.index("{") :])["figures"]
    assert [set(row) for row in rows] == [{"name", "figure", "unit", "target", "met"}] * 2


def test_a_row_that_there_is_not_gets_the_nearest(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.argv", ["tests.benchmarks", "libary"])

    with pytest.raises(SystemExit, match="2"):
        main()

    assert "nearest: library" in capsys.readouterr().err


def test_the_options_of_the_table_of_the_follower_print_that(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    options = ["--takes", "1", "--seed", "9", "--only", "clean", "--live-only"]
    monkeypatch.setattr("sys.argv", ["tests.benchmarks", *options])

    main()

    heading, _, *rows = capsys.readouterr().out.splitlines()
    assert heading.startswith("| takes | pace | method | pair F1 ")
    assert [row[:35] for row in rows] == ["| clean, plain | click | follower |", "| clean, plain | free | follower | "]
