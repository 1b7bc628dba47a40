import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from trainer.cli import main
from trainer.history.store import History
from trainer.history.tempo_runs import tempo_runs
from trainer.run import Run, RunPlan
from trainer.station import Station


def dialogue(answers: str, *options: str) -> Result:
    return CliRunner().invoke(main, ["tempo", "two-gates-slid", "--dialogue", *options], input=answers)


def said(result: Result) -> list[dict[str, Any]]:
    return [json.loads(line) for line in result.stdout.splitlines()]


CLEAN, SPOILED = '{"clean": true}\n', '{"clean": false}\n'


def test_twenty_answers_bring_twenty_tempi_and_a_figure() -> None:
    lines = said(dialogue((CLEAN * 4 + SPOILED) * 4, "--start", "90"))

    assert lines[0] == {"tempo": 90.0}
    assert [list(line) for line in lines] == [["tempo"]] * 20 + [["estimate", "interval", "passes", "drift"]]
    assert lines[-1]["passes"] == 20
    assert lines[-1]["interval"][0] < lines[-1]["estimate"] < lines[-1]["interval"][1]


def test_without_a_start_the_first_tempo_is_the_lines_own() -> None:
    assert said(dialogue(CLEAN))[0] == {"tempo": 76.0}


@pytest.mark.parametrize("bad", ["yes", "", "true", '{"clean": 1}', '{"clean": "true"}', "[" * 5000, '{"clear": true}'])
def test_a_line_that_is_no_answer_is_named_and_asked_again(bad: str) -> None:
    result = dialogue(CLEAN + bad + "\n" + SPOILED * 20)
    lines = said(result)

    assert lines[1] == lines[2]
    assert lines[-1]["passes"] == 20
    assert result.stderr.startswith('line 2: expected {"clean": true} or {"clean": false}, found ')


def test_when_the_answers_end_early_the_figure_so_far_is_given() -> None:
    result = dialogue((CLEAN * 4 + SPOILED) * 2)

    assert result.exit_code == 0
    assert said(result)[-1]["passes"] == 10


def test_when_they_end_too_early_it_says_how_many_are_wanting() -> None:
    result = dialogue(CLEAN * 3)

    assert result.exit_code == 2
    assert "the answers ended after 3. Not enough yet: a working tempo needs 5 more passes." in result.stderr


@pytest.mark.parametrize("start", ["5", "401", "nan"])
def test_a_start_out_of_range_is_refused(start: str) -> None:
    result = dialogue("", "--start", start)

    assert result.exit_code == 2
    assert f"start {start}: expected 20 to 400 quarters a minute" in result.stderr


def test_the_dialogue_is_of_the_adaptive_run_only() -> None:
    result = dialogue("", "--by", "ladder")

    assert result.exit_code == 2
    assert "--dialogue goes with the adaptive run" in result.stderr


@pytest.mark.parametrize(
    ("options", "complaint"),
    [
        (["--by", "ladder", "--in-row", "0"], "expected 1 to 20 each"),
        (["--by", "bursts", "--over", "200"], "expected up to 100"),
        (["--by", "ladder", "--spoiled", "0"], "expected 1 to 20 each"),
        (["--by", "bursts", "--easy", "0"], "0 easy passes: expected 1 to 20"),
        (["--by", "bursts", "--rise", "30"], "expected up to 100 and 0 to 20"),
        (["--by", "shuffled", "--around", "0"], "expected over 0, up to 60"),
        (["--by", "shuffled", "--tempi", "1", "--times", "2"], "1 tempi 2 times: expected 2 to 15 tempi"),
        (["--simulate", "900"], "--simulate 900: expected 20 to 400"),
    ],
)
def test_settings_out_of_range_are_refused_before_anything_is_played(options: list[str], complaint: str) -> None:
    result = CliRunner().invoke(main, ["tempo", "two-gates-slid", "--headless", *options])

    assert result.exit_code == 2
    assert complaint in result.stderr


def at_once(station: Station, plan: RunPlan, say: Callable[[str], None]) -> tuple[Run, bool]:  # noqa: ARG001 - a stand-in
    """The run as it is played, with a clock that jumps from one message to the next."""
    run = station.start_run(plan)
    now_ns = run.zero_ns
    while not run.is_finished:
        now_ns += 20_000_000
        run.update(station.poll(now_ns), now_ns)
    return run, False


def test_a_run_without_a_window_says_each_pass_and_ends_with_the_figure(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("trainer.headless.play_to_end", at_once)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    line = "A minor pentatonic, strings 1-2, position 1, fours down, sixteenths"

    result = CliRunner().invoke(
        main, ["tempo", line, "--headless", "--silent", "--simulate", "150", "--start", "120", "--seed", "3"]
    )

    said_lines = result.stdout.splitlines()
    assert result.exit_code == 0, result.output
    assert said_lines[0].startswith("Clean at ♩ = 120: no note missed or wrong")
    assert sum(line.startswith("Pass ") and "clean" in line for line in said_lines) == 20
    assert any("not clean: 1 missed" in line for line in said_lines)
    assert any("Rest your hands" in line for line in said_lines)
    assert said_lines[-2].startswith("Working tempo today: ♩ = ")
    assert said_lines[-1] == "No working tempo of an earlier day is kept."
    assert len(list(tmp_path.rglob("*.mid"))) == 20
    (database,) = tmp_path.rglob("history.db")
    with History.read(database, database.parent / "takes") as history:
        (run,) = tempo_runs(history, "simulated")
    assert f"♩ = {run.estimate.qpm:.0f}, clean" in said_lines[-2]
    assert len(run.passes) == 20
