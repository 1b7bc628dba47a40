from datetime import datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.history.builders import record
from tests.progress.weeks import WEAK_NOTE, practise_weeks
from trainer.cli import main


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path


def boxwalk(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_the_sentences_are_said_and_the_pictures_written(place: Path) -> None:
    record(place, when=datetime.now().astimezone())

    result = boxwalk("report", place / "weeks.pdf")

    assert result.exit_code == 0
    assert "Two gates: ♩ = 120 on" in result.stdout
    assert "Strings are not compared: the pickup's latency was not measured" in result.stdout
    assert (place / "weeks.pdf").read_bytes().startswith(b"%PDF")


def test_a_file_that_is_no_pdf_is_refused(place: Path) -> None:
    result = boxwalk("report", place / "weeks.png")

    assert result.exit_code == 2
    assert "expected a name that ends in .pdf" in result.stderr


def test_a_line_that_was_never_played_is_named_with_the_nearest(place: Path) -> None:
    record(place, when=datetime.now().astimezone())

    result = boxwalk("report", "--exercise", "tow-gates")

    assert result.exit_code == 2
    assert "'tow-gates' is not a line that was played; nearest: 'two-gates'" in result.stderr


def test_weeks_of_a_simulated_player_show_the_late_note_that_was_planted(place: Path) -> None:
    practise_weeks(
        place,
        1,
        takes_a_day=1,
        passes=12,
        days_a_week=1,
        names=("two-gates",),
        first_day=datetime.now().astimezone() - timedelta(days=1),
    )

    shown = boxwalk("report").stdout

    assert f"Notes {WEAK_NOTE - 1} to {WEAK_NOTE} " in shown
    assert "still stands out" in shown
