"""That the views do not walk over what they need not: the figures are in `tests/benchmarks/history.py`."""

from pathlib import Path
from random import Random

import pytest

from tests.benchmarks.history import fill
from trainer.history import figures
from trainer.history.figures import Asked, days, lines, takes, verdict_counts
from trainer.history.gathering import missing_files
from trainer.history.passes import passes_of
from trainer.history.store import History


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("years")
    with History.open(place / "history.db", place / "takes") as history:
        fill(history, 30, Random(1), lines=4)
    return place


@pytest.fixture
def history(filled: Path):
    with History.open(filled / "history.db", filled / "takes") as opened:
        yield opened


def test_drawn_years_can_be_looked_at_from_every_side(history: History) -> None:
    counts = verdict_counts(history)

    assert missing_files(history) == ()
    assert sum(day.takes for day in days(history)) == 30
    assert sum(line.takes for line in lines(history)) == 30
    assert len(takes(history, most=7)) == 7
    assert counts.judged == sum(len(one.outcomes) for t in history.take_ids() for one in history.judged(t).passes)
    assert len(passes_of(history, lines(history)[0].name, last=5)) == 5


@pytest.mark.parametrize("query", ["_DAYS", "_LINES", "_LISTED", "_ALL_VERDICTS", "_SITTINGS"])
def test_a_view_reads_no_bytes_of_takes_and_no_single_notes(history: History, query: str) -> None:
    figures._ask(history, Asked())

    plan = history.connection.execute(
        f"EXPLAIN QUERY PLAN {getattr(figures, query)}",
        {"break_s": 300},
    ).fetchall()

    steps = " | ".join(row[3] for row in plan)
    assert "streams" not in steps
    assert "judgements" not in steps
    assert "SCAN passes" not in steps
    assert "SCAN takes" not in steps


def test_the_passes_of_a_line_are_found_by_index(history: History) -> None:
    plan = history.connection.execute(
        "EXPLAIN QUERY PLAN SELECT takes.id FROM takes JOIN exercises ON exercises.id = exercise_id"
        " JOIN players ON players.id = player_id WHERE exercises.name = ? AND players.name = ? ORDER BY began_s DESC",
        ("two-gates", ""),
    ).fetchall()

    assert not [row[3] for row in plan if row[3].startswith("SCAN")]
