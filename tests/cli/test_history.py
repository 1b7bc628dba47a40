import csv
import json
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.builders import line
from tests.history.builders import NOON, history_of, plan_of, record
from trainer.cli import main
from trainer.coaching.asking import Pass
from trainer.coaching.working_tempo import Drift, Estimate
from trainer.history.tempo_runs import TempoRun, keep_run
from trainer.score.note_list import note_list_text


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path


def boxwalk(*arguments: object, answer: str | None = None) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], input=answer)


def test_without_a_take_it_says_so() -> None:
    assert boxwalk("history").stdout == "There are no takes by the player without a name yet.\n"


def test_working_tempi_are_rows_too_the_latest_first(place: Path) -> None:
    with history_of(place) as history:
        for days, qpm in ((0, 104.0), (7, 112.0)):
            found = Estimate(qpm, qpm - 6, qpm + 6, 20, Drift.FALLING if days else None)
            keep_run(history, TempoRun(line(), NOON + timedelta(days=days), found, (Pass(qpm, is_clean=True),)))

    rows = [row.split() for row in boxwalk("history", "--by", "tempo").stdout.splitlines()]
    since = json.loads(boxwalk("history", "gates", "--by", "tempo", "--since", "2026-03-20", "--json").stdout)

    assert [row[:4] for row in rows[1:]] == [
        ["2026-03-21", "two-gates", "112", "106-118"],
        ["2026-03-14", "two-gates", "104", "98-110"],
    ]
    assert [(row["day"], row["estimate"]["qpm"]) for row in since] == [("2026-03-21", 112.0)]


def test_what_was_played_is_shown_by_day_line_and_take(place: Path) -> None:
    record(place, faults="miss 5")
    record(place, plan_of(tempo=100), when=NOON + timedelta(days=1))

    by_day, by_line, by_take = (boxwalk("history", "--by", by).stdout for by in ("day", "line", "take"))

    assert [row.split()[0] for row in by_day.splitlines()] == ["day", "2026-03-15", "2026-03-14"]
    assert by_line.splitlines()[1].split()[:2] == ["two-gates", "2026-03-15"]
    assert by_line.splitlines()[1].split()[-6:] == ["3", "of", "4", "120", "99", "%"]
    assert [row.split()[3] for row in by_take.splitlines()[1:]] == ["100", "120"]


def test_rows_are_told_as_json_too(place: Path) -> None:
    record(place, faults="miss 5", player="anna")

    (day,) = json.loads(boxwalk("history", "--player", "anna", "--json").stdout)

    assert (day["day"], day["takes"], day["verdicts"]["missed"]) == ("2026-03-14", 1, 1)


def test_who_else_has_played_is_said_when_there_is_nothing_to_show(place: Path) -> None:
    record(place, player="anna")

    assert "There are takes by anna (1): see --player NAME." in boxwalk("history").stdout
    assert boxwalk("history", "--player", "anna", "ridge").stdout == "Nothing that was played fits.\n"


def test_a_day_that_is_none_is_refused() -> None:
    result = boxwalk("history", "--since", "2026-02-30")

    assert result.exit_code == 2
    assert "'2026-02-30': expected a day such as 2026-03-14" in result.stderr


def test_takes_that_were_judged_today_need_no_judging(place: Path) -> None:
    record(place)

    assert boxwalk("rejudge").stdout.startswith("All 1 takes are judged by today's ear.")


def test_an_export_goes_into_a_new_folder_alone(place: Path) -> None:
    record(place)

    first = boxwalk("export", place / "out")
    second = boxwalk("export", place / "out")

    assert first.exit_code == 0
    with (place / "out" / "passes.csv").open(newline="") as file:
        assert [row["outcomes"] for row in csv.DictReader(file)] == [32 * "."] * 2
    assert second.exit_code == 2
    assert "is not empty: expected a new folder" in second.stderr


def test_a_player_is_forgotten_only_after_a_yes(place: Path) -> None:
    record(place, player="anna")

    no = boxwalk("history", "--forget", "anna", answer="n\n")
    kept = list((place / "takes").iterdir())
    yes = boxwalk("history", "--forget", "anna", answer="y\n")

    assert no.exit_code == 1
    assert len(kept) == 1
    assert "1 takes by anna go for good, 1 of them files" in yes.stdout
    assert "Nothing by anna is left" in yes.stdout
    assert list((place / "takes").iterdir()) == []


def test_a_player_who_is_not_there_is_named_with_the_nearest() -> None:
    result = boxwalk("history", "--forget", "ana")

    assert result.exit_code == 2
    assert "there is no player 'ana'; there are takes by nobody" in result.stderr


def test_a_history_from_a_newer_version_is_a_complaint_and_no_traceback(place: Path) -> None:
    record(place)
    boxwalk("history")
    import sqlite3

    connection = sqlite3.connect(place / "history.db")
    connection.execute("PRAGMA user_version = 99")
    connection.close()

    result = boxwalk("history")

    assert result.exit_code == 2
    assert "was written by a newer Boxwalk" in result.stderr
    assert f"Takes stay as files in {place / 'takes'}." in result.stderr


def test_a_headless_take_is_in_the_history_by_its_player(place: Path) -> None:
    (place / "short.toml").write_text(note_list_text(line().excerpt(0, 3)), encoding="utf-8")

    played = boxwalk(
        *("practise", place / "short.toml", "--input", "simulated", "--headless", "--silent", "--passes", 1),
        *("--tempo", 300, "--count-in", 0, "--player", "anna"),
    )

    assert played.exit_code == 0, played.output
    (row,) = json.loads(boxwalk("history", "--by", "line", "--player", "anna", "--json").stdout)
    assert row["takes"] == 1
