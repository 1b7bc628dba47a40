from datetime import timedelta
from pathlib import Path

from tests.history.builders import history_of
from tests.kept_takes import FIRST, keep_take
from trainer.score.library import load_exercise
from trainer.twins import last_figures, names_played


def test_the_last_take_of_a_line_is_judged_with_its_tempo_and_its_slips(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates", tempo=60)
    keep_take(tmp_path, "two-gates", minutes=5, tempo=72, faults="miss 3, fret 9")
    keep_take(tmp_path, "two-gates-slid", minutes=9)

    figures = last_figures("two-gates", tmp_path)

    assert figures is not None
    notes = 2 * len(load_exercise("two-gates").notes)
    assert (figures.notes, figures.as_written, figures.quarters_per_minute) == (notes, notes - 2, 72)
    assert figures.date == (FIRST + timedelta(minutes=5)).isoformat()
    assert figures.spread_ms is not None
    assert figures.spread_ms < 5


def test_a_twin_whose_name_only_begins_alike_is_another_line(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates-slid")

    assert last_figures("two-gates", tmp_path) is None
    assert last_figures("two-gates-slid", tmp_path) is not None


def test_what_was_still_ahead_when_the_player_stopped_is_not_missed(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates", passes=4, plays=0.25)

    figures = last_figures("two-gates", tmp_path)

    assert figures is not None
    length = len(load_exercise("two-gates").notes)
    assert length - 1 <= figures.notes <= length + 1
    assert figures.as_written >= figures.notes - 1


def test_a_take_of_a_stretch_and_a_file_that_is_no_take_are_passed_over(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates", tempo=60)
    keep_take(tmp_path, "two-gates", minutes=5, tempo=72, stretch=(0, 7))
    (tmp_path / "2027-01-01_00-00-00_two-gates.mid").write_bytes(b"not a file of notes")

    figures = last_figures("two-gates", tmp_path)

    assert figures is not None
    assert figures.quarters_per_minute == 60


def test_two_takes_of_one_second_are_of_one_line(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates", tempo=60)
    keep_take(tmp_path, "two-gates", tempo=64)

    figures = last_figures("two-gates", tmp_path)

    assert figures is not None
    assert figures.quarters_per_minute == 64


def test_played_is_what_a_player_played(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates")
    keep_take(tmp_path, "two-gates", minutes=1, by_hand=False)
    keep_take(tmp_path, "mist", by_hand=False)

    assert names_played(("two-gates", "mist", "hail"), tmp_path) == {"two-gates"}
    assert names_played(("two-gates",), tmp_path / "nowhere") == frozenset()


def test_the_history_tells_the_same_as_the_files(tmp_path: Path) -> None:
    takes = tmp_path / "takes"
    keep_take(takes, "two-gates", tempo=60)
    keep_take(takes, "two-gates-slid", minutes=1, tempo=72, faults="miss 3, fret 9, unslid 4", plays=0.7)
    keep_take(takes, "two-gates-slid", minutes=2, stretch=(0, 7))
    keep_take(takes, "quarry-steps", minutes=3, by_hand=False)
    names = ("two-gates", "two-gates-slid", "quarry-steps", "ridge-path")
    by_files = [last_figures(name, takes) for name in names], names_played(names, takes)

    history_of(tmp_path).close()
    for path in takes.glob("*.mid"):
        path.write_bytes(b"")

    assert ([last_figures(name, takes) for name in names], names_played(names, takes)) == by_files
    assert by_files[0][1] is not None
    assert by_files[1] == {"two-gates", "two-gates-slid"}


def test_a_take_that_the_history_does_not_have_yet_is_read_from_its_file(tmp_path: Path) -> None:
    takes = tmp_path / "takes"
    keep_take(takes, "two-gates", tempo=60)
    history_of(tmp_path).close()
    keep_take(takes, "two-gates", minutes=5, tempo=72)
    keep_take(takes, "quarry-steps", minutes=6)

    figures = last_figures("two-gates", takes)

    assert figures is not None
    assert figures.quarters_per_minute == 72
    assert names_played(("two-gates", "quarry-steps"), takes) == {"two-gates", "quarry-steps"}
