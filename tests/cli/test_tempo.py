import json
from typing import Any

import pytest
from click.testing import CliRunner, Result

from trainer.cli import main


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
