from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.kept_takes import keep_take
from trainer.cli import main


@pytest.fixture(autouse=True)
def takes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty data folder; the folder of takes within it."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path / "takes"


def boxwalk(*arguments: str) -> Result:
    return CliRunner().invoke(main, arguments, terminal_width=200, env={"COLUMNS": "200"})


def listed(result: Result) -> set[str]:
    return {line.split()[0] for line in result.stdout.splitlines()[1:] if line.strip()}


def test_exercises_not_played_yet_are_those_without_a_take_by_hand(takes: Path) -> None:
    keep_take(takes, "two-gates")
    keep_take(takes, "mist", by_hand=False)

    every, rest = boxwalk("exercises"), boxwalk("exercises", "--not-played")

    assert listed(every) - listed(rest) == {"two-gates"}


def test_twins_are_set_side_by_side_with_the_figures_of_their_last_takes(takes: Path) -> None:
    keep_take(takes, "two-gates", tempo=60, faults="miss 3")
    keep_take(takes, "two-gates-slid", minutes=2, tempo=72)
    notes = 2 * 32

    result = boxwalk("takes", "--twins", "two-gates")

    assert result.exit_code == 0
    rows = {line.split()[0]: line for line in result.stdout.splitlines()}
    assert {"two-gates", "two-gates-slid"} <= set(rows)
    assert f"98 % of {notes}" in rows["two-gates"]
    assert "♩ = 60" in rows["two-gates"]
    assert f"100 % of {notes}" in rows["two-gates-slid"]
    assert "♩ = 72" in rows["two-gates-slid"]


def test_a_twin_without_a_take_says_so(takes: Path) -> None:
    keep_take(takes, "two-gates")

    assert "no take kept yet" in boxwalk("takes", "--twins", "two-gates-slid").stdout


def test_a_line_without_twins_is_refused_with_the_way_to_one() -> None:
    result = boxwalk("takes", "--twins", "first-stones-lw")
    assert (result.exit_code, "nearest: 'first-stones-low'" in result.stderr) == (2, True)

    alone = boxwalk("takes", "--twins", "hail")
    assert alone.exit_code == 2
    assert "boxwalk vary hail" in alone.stderr


def test_two_lines_are_printed_one_over_the_other() -> None:
    result = boxwalk("show", "two-gates", "--beside", "two-gates-slid", "--width", "90")

    assert result.exit_code == 0
    assert "25 of 32 moments the same: 7 begun otherwise." in result.stdout
    assert max(len(line) for line in result.stdout.splitlines()) <= 90


def test_a_second_line_that_is_not_known_is_refused_with_the_nearest_name() -> None:
    result = boxwalk("show", "two-gates", "--beside", "two-gats")

    assert result.exit_code == 2
    assert "two-gates" in result.stderr
