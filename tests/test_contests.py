from pathlib import Path

from click.testing import CliRunner

from tests.kept_takes import keep_take
from trainer.cli import main
from trainer.contests import standings
from trainer.score.library import load_exercise

MORNING, EVENING = "2026-03-01T09:00:00+00:00", "2026-03-01T19:00:00+00:00"


def keep_pass(folder: Path, tempo: int, *, contest: str = MORNING, **circumstances: object) -> None:
    keep_take(folder, "two-gates", tempo=tempo, passes=1, contest=contest, **circumstances)  # type: ignore[arg-type]


def test_a_run_is_worth_its_best_pass_and_runs_are_listed_by_their_points(tmp_path: Path) -> None:
    keep_pass(tmp_path, 60)
    keep_pass(tmp_path, 90, minutes=1)
    keep_pass(tmp_path, 120, minutes=2, faults="miss 3, miss 4, miss 5, miss 6, miss 9, miss 10, miss 11, miss 12")
    keep_pass(tmp_path, 100, minutes=3, contest=EVENING)

    found = standings([tmp_path])

    assert [(run.began, run.passes, run.best.qpm, run.slips) for run in found.runs] == [
        (EVENING, 1, 100, 0),
        (MORNING, 3, 90, 0),
    ]
    assert found.troubles == ()


def test_what_is_no_pass_of_a_run_gets_no_points(tmp_path: Path) -> None:
    keep_take(tmp_path, "two-gates", tempo=60, passes=1)
    keep_pass(tmp_path, 70, minutes=1, by_hand=False)
    keep_pass(tmp_path, 80, minutes=2, plays=0.5)

    assert standings([tmp_path]).runs == ()


def test_a_relay_is_worth_the_best_pass_of_each_player_and_has_a_table_of_its_own(tmp_path: Path) -> None:
    keep_pass(tmp_path, 60, player="Anna", turn=1)
    keep_pass(tmp_path, 60, player="Ben", turn=2, minutes=1)
    keep_pass(tmp_path, 90, player="Anna", turn=1, minutes=2)
    half_missed = ", ".join(f"miss {index}" for index in range(3, 19))
    keep_pass(tmp_path, 90, player="Ben", turn=2, minutes=3, faults=half_missed)
    keep_pass(tmp_path, 80, player="Anna", minutes=4)

    found = standings([tmp_path]).of_line(load_exercise("two-gates"))

    (team,) = found.relays
    assert (team.players, team.passes, [one.qpm for one in team.bests]) == (("Anna", "Ben"), 4, [90, 60])
    assert team.points == sum(one.points for one in team.bests)
    assert [path.name.partition("_contest")[0] for path in team.paths] == ["2026-03-01_09-02-00", "2026-03-01_09-01-00"]
    assert [(run.player, run.best.qpm) for run in found.runs] == [("Anna", 80)]


def test_a_relay_of_one_player_gets_no_points(tmp_path: Path) -> None:
    keep_pass(tmp_path, 60, turn=1)
    keep_pass(tmp_path, 70, turn=1, minutes=1)

    assert standings([tmp_path]).relays == ()


def test_the_points_of_a_relay_are_figured_anew_when_a_take_has_changed(tmp_path: Path) -> None:
    keep_pass(tmp_path, 60, turn=1)
    keep_pass(tmp_path, 60, turn=2, minutes=1)
    (before,) = standings([tmp_path]).relays

    before.paths[1].unlink()
    keep_pass(tmp_path, 60, turn=2, minutes=1, faults="miss 3, miss 4, miss 5, miss 6")
    (after,) = standings([tmp_path]).relays

    assert after.points < before.points


def test_the_command_prints_the_relays(tmp_path: Path) -> None:
    keep_pass(tmp_path, 60, player="Anna", turn=1)
    keep_pass(tmp_path, 60, player="Ben", turn=2, minutes=1)

    result = CliRunner().invoke(main, ["contest", "--table", "--relays", "--takes", str(tmp_path)])
    none = CliRunner().invoke(main, ["contest", "mist", "--table", "--relays", "--takes", str(tmp_path)])

    assert "Anna + Ben" in result.output
    assert "team points = the best pass of one player + the best pass of the other" in " ".join(result.output.split())
    assert none.output.startswith("No relay was played yet")


def test_wider_limits_written_into_a_take_make_no_points(tmp_path: Path) -> None:
    keep_pass(tmp_path / "own", 60)
    keep_pass(tmp_path / "edited", 60, tolerance={"hit_ns": 900_000_000})

    own, edited = (standings([tmp_path / name]).runs[0].best for name in ("own", "edited"))

    assert own == edited


def test_a_class_is_several_folders_and_a_line_goes_by_its_notes(tmp_path: Path) -> None:
    keep_pass(tmp_path / "one", 60, player="Anna")
    keep_pass(tmp_path / "two", 66, player="Ben")

    found = standings([tmp_path / "one", tmp_path / "two"])

    assert [run.player for run in found.of_line(load_exercise("two-gates")).runs] == ["Ben", "Anna"]
    assert found.of_line(load_exercise("quarry-steps")).runs == ()


def test_a_file_that_cannot_be_read_is_named_and_costs_no_other_run(tmp_path: Path) -> None:
    keep_pass(tmp_path, 60)
    (tmp_path / "2027-01-01_00-00-00_contest-two-gates.mid").write_bytes(b"not a file of notes")

    found = standings([tmp_path])

    assert len(found.runs) == 1
    assert [trouble.partition(":")[0] for trouble in found.troubles] == ["2027-01-01_00-00-00_contest-two-gates.mid"]


def test_the_command_prints_the_table_with_its_formula(tmp_path: Path) -> None:
    keep_pass(tmp_path, 60, player="Anna")

    result = CliRunner().invoke(main, ["contest", "two-gates", "--table", "--takes", str(tmp_path)])

    assert result.exit_code == 0
    assert "Anna" in result.output
    assert "points = 100 × clean notes a second" in result.output


def test_a_start_that_cannot_be_asked_is_refused() -> None:
    result = CliRunner().invoke(main, ["contest", "two-gates", "--start", "900", "--silent"])

    assert result.exit_code == 2
    assert "start 900: expected 20 to 400 quarters a minute" in result.stderr
