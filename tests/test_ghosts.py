import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.history.builders import history_of
from tests.kept_takes import keep_take
from trainer.following.verdict import Match, Missed, Pace
from trainer.ghosts import Ghosts
from trainer.history.opening import history_path
from trainer.score.library import load_exercise
from trainer.tablature.ghost import Ghost, GhostChoice

LINE = load_exercise("two-gates")
NOTES = len(LINE.notes)


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """Takes: slow and clean, faster and clean, fastest with two slips, and at last slowest with one."""
    takes = tmp_path / "takes"
    keep_take(takes, "two-gates", minutes=0, tempo=60, passes=1)
    keep_take(takes, "two-gates", minutes=1, tempo=80, passes=1)
    keep_take(takes, "two-gates", minutes=2, tempo=100, passes=1, faults="miss 3, fret 9")
    keep_take(takes, "two-gates", minutes=3, tempo=40, passes=1, faults="miss 5")
    return takes


def found(folder: Path | None, choice: GhostChoice, player: str = "") -> Ghost | None:
    return Ghosts(folder, lambda: player).of(LINE, Pace.CLICK, choice)


def figures(ghost: Ghost | None) -> tuple[int, float] | None:
    return None if ghost is None else (ghost.as_written, ghost.quarters_per_minute)


@pytest.mark.parametrize("knows_history", [False, True])
def test_best_is_most_notes_clean_and_then_the_fastest_and_last_is_the_latest(
    folder: Path, *, knows_history: bool
) -> None:
    if knows_history:
        history_of(folder.parent).close()

    assert figures(found(folder, GhostChoice.BEST)) == (NOTES, 80)
    assert figures(found(folder, GhostChoice.LAST)) == (NOTES - 1, 40)
    assert found(folder, GhostChoice.OFF) is None


def test_a_ghost_holds_the_verdicts_of_its_take(folder: Path) -> None:
    ghost = found(folder, GhostChoice.LAST)

    assert ghost is not None
    verdicts = [ghost.states[index].verdict for index in range(NOTES)]
    assert [index for index, verdict in enumerate(verdicts) if isinstance(verdict, Missed)] == [5]
    assert sum(isinstance(verdict, Match) for verdict in verdicts) == NOTES - 1
    assert ghost.date == "2026-03-01T09:03:00"


def test_a_figure_that_was_changed_in_the_history_is_not_believed(folder: Path) -> None:
    history_of(folder.parent).close()
    with sqlite3.connect(history_path(folder)) as database:
        database.execute("UPDATE passes SET outcomes = replace(replace(outcomes, 'x', '.'), 'p', '.')")

    ghost = found(folder, GhostChoice.BEST)

    assert figures(ghost) == (NOTES - 2, 100)


def test_a_take_that_the_history_has_is_played_against_without_its_file(folder: Path) -> None:
    history_of(folder.parent).close()
    for path in folder.glob("*.mid"):
        path.unlink()

    assert figures(found(folder, GhostChoice.BEST)) == (NOTES, 80)


def test_the_whole_passes_of_a_take_count_one_by_one_and_one_broken_off_does_not(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates", passes=3, plays=0.5, faults="miss 2")

    assert figures(found(tmp_path, GhostChoice.LAST)) == (NOTES - 1, 60)
    keep_take(tmp_path, "two-gates", minutes=1, passes=2, faults="miss 2")
    assert figures(found(tmp_path, GhostChoice.LAST)) == (NOTES, 60)


def test_passes_of_contests_count_and_those_of_others_or_of_a_stretch_do_not(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates", tempo=90, passes=1, contest="2026-03-01T09:00:00+00:00")
    keep_take(tmp_path, "two-gates", minutes=1, tempo=120, passes=1, player="Ana")
    keep_take(tmp_path, "two-gates", minutes=2, tempo=130, passes=1, by_hand=False)
    keep_take(tmp_path, "two-gates-slid", minutes=3, tempo=140, passes=1)
    keep_take(tmp_path, "two-gates", minutes=4, tempo=150, passes=1, stretch=(0, 31))

    assert figures(found(tmp_path, GhostChoice.BEST)) == (NOTES, 90)
    assert figures(found(tmp_path, GhostChoice.BEST, "Ana")) == (NOTES, 120)
    assert figures(found(tmp_path, GhostChoice.BEST, "simulated")) == (NOTES, 130)


def test_what_cannot_be_read_is_nobodys_ghost(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates", passes=1)
    (tmp_path / "2027-01-01_00-00-00_two-gates.mid").write_bytes(b"not a file of notes")

    assert figures(found(tmp_path, GhostChoice.LAST)) == (NOTES, 60)
    assert found(tmp_path / "nowhere", GhostChoice.LAST) is None
    assert found(None, GhostChoice.BEST) is None
