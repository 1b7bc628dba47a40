import csv
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from tests.builders import line
from tests.history.builders import NOON, history_of, record
from trainer.coaching.asking import Pass
from trainer.coaching.clean import notes_a_second
from trainer.coaching.working_tempo import Drift, Estimate
from trainer.history.errors import DamagedHistoryError
from trainer.history.exporting import export
from trainer.history.forgetting import forget
from trainer.history.gathering import made_anew
from trainer.history.keeping import HistoryKeeper
from trainer.history.store import History
from trainer.history.tempo_runs import KeptRun, TempoRun, articulation_of, keep_run, tempo_runs
from trainer.theory.technique import Technique

FOUND = Estimate(118.5, 109.0, 127.25, 3, Drift.FALLING)
PASSES = tuple(Pass(qpm, is_clean=qpm < 120) for qpm in (100.0, 130.0, 115.0))
RUN = TempoRun(line(), NOON, FOUND, PASSES)


@pytest.fixture
def history(tmp_path: Path) -> Iterator[History]:
    with history_of(tmp_path) as opened:
        yield opened


def test_a_run_comes_out_as_it_went_in_with_notes_a_second_and_articulation(history: History) -> None:
    keep_run(history, RUN)
    keep_run(history, RUN)

    found = tempo_runs(history, "", "two-gates")

    speed = notes_a_second(line(), 118.5)
    assert found == (KeptRun("two-gates", date(2026, 3, 14), FOUND, speed, "picked", "working tempo", PASSES),)


def test_runs_are_one_players_and_stand_in_the_order_in_which_they_ended(history: History) -> None:
    later = replace(RUN, ended=NOON + timedelta(days=3), exercise=line("quarry-steps"))
    for run, player in ((later, "anna"), (RUN, "anna"), (RUN, "")):
        keep_run(history, run, player)
    keep_run(history, replace(RUN, is_simulated=True))

    assert [run.name for run in tempo_runs(history, "anna")] == ["two-gates", "quarry-steps"]
    assert [run.name for run in tempo_runs(history, "anna", "quarry-steps")] == ["quarry-steps"]
    assert len(tempo_runs(history, "")) == len(tempo_runs(history, "simulated")) == 1


def test_the_articulation_is_that_of_more_than_single_notes() -> None:
    written = line()
    pulled = [
        replace(note, technique=Technique.PULL) if number % 3 == 2 else note
        for number, note in enumerate(written.notes)
    ]
    one = (replace(written.notes[0]), replace(written.notes[1], technique=Technique.SLIDE), *written.notes[2:])

    assert articulation_of(written) == "picked"
    assert articulation_of(replace(written, notes=tuple(pulled))) == "pull-offs"
    assert articulation_of(replace(written, notes=one)) == "picked"


def test_a_players_runs_go_with_the_player_and_the_others_stay(tmp_path: Path) -> None:
    record(tmp_path, player="anna")
    with history_of(tmp_path) as history:
        keep_run(history, RUN, "anna")
        keep_run(history, RUN)

        forget(history, "anna")

        assert tempo_runs(history, "anna") == ()
        assert len(tempo_runs(history, "")) == 1


def test_runs_are_exported(tmp_path: Path, history: History) -> None:
    keep_run(history, RUN)

    tables = export(history, tmp_path / "out")

    with tables[-1].open(encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    assert tables[-1].name == "tempi.csv"
    assert (row["name"], Fraction(row["quarters_per_minute"]), row["drift"]) == (
        "two-gates",
        Fraction("118.5"),
        "falling",
    )


def test_a_run_is_taken_in_by_the_thread_of_the_history(tmp_path: Path) -> None:
    keeper = HistoryKeeper(tmp_path / "history.db", tmp_path / "takes", player="anna")

    keeper.keep_tempo_run(RUN)
    keeper.close()

    assert keeper.trouble is None
    with history_of(tmp_path) as history:
        assert [run.estimate for run in tempo_runs(history, "anna")] == [FOUND]


def test_runs_are_brought_over_when_a_damaged_history_is_made_anew(tmp_path: Path) -> None:
    record(tmp_path)
    path, takes = tmp_path / "history.db", tmp_path / "takes"
    with history_of(tmp_path) as history:
        keep_run(history, RUN, "anna")
        keep_run(history, RUN)
        history.connection.execute(
            "UPDATE tempo_runs SET passes = 'torn' WHERE player_id = ?", (history.player_id(""),)
        )
        whole = tempo_runs(history, "anna")

    made, sentence = made_anew(path, takes, DamagedHistoryError("Damaged."))

    with made:
        assert tempo_runs(made, "anna") == whole
        assert tempo_runs(made, "") == ()
    assert sentence.endswith("1 working tempo could be read in it and stay.")
