import sqlite3
from contextlib import closing
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.builders import line
from tests.history.builders import NOON, header_of, history_of, plan_of, record
from trainer.devices import wire
from trainer.devices.recording import TakeWriter, take_path
from trainer.following.verdict import Pace
from trainer.history.errors import UnwritableHistoryError
from trainer.history.figures import verdict_counts
from trainer.history.gathering import gather, missing_files, opened
from trainer.history.judged import judged
from trainer.history.keeping import HistoryKeeper
from trainer.history.store import History
from trainer.playing.messages import StampedMessage


def keeper_at(place: Path, **options: object) -> HistoryKeeper:
    return HistoryKeeper(place / "history.db", place / "takes", **options)  # type: ignore[arg-type]


def test_a_take_is_in_the_history_when_the_program_ends_just_as_it_was_said_live(tmp_path: Path) -> None:
    keeper = keeper_at(tmp_path)

    keeper.hold()
    run = record(tmp_path, faults="miss 5")
    keeper.take_over(run.session, run.take_path)
    keeper.close()

    with History.open(tmp_path / "history.db", tmp_path / "takes") as history:
        (take_id,) = history.take_ids()
        assert history.judged(take_id) == judged(run.session)
    assert keeper.trouble is None
    assert keeper.played_names == {"two-gates"}


def test_takes_that_only_lie_in_the_folder_are_taken_in_at_the_start(tmp_path: Path) -> None:
    record(tmp_path)
    record(tmp_path, plan_of(line("quarry-steps")))

    keeper_at(tmp_path).close(patience_s=30)
    keeper = keeper_at(tmp_path)
    keeper.close()

    assert keeper.played_names == {"two-gates", "quarry-steps"}
    assert keeper.last_takes is not None
    assert {(one.name, one.quarters_per_minute, one.pace, one.is_simulated) for one in keeper.last_takes} == {
        ("two-gates", 120, "click", False),
        ("quarry-steps", 120, "click", False),
    }


def test_a_phrase_that_no_line_was_given_for_is_kept_without_a_verdict(tmp_path: Path) -> None:
    phrase = replace(line(), name="hill-song", notes=(), length_quarters=Fraction(0))
    at_ns = 100_000_000
    header = replace(header_of(plan_of(phrase, passes=1)), pace=Pace.FREE.value)
    writer = TakeWriter(take_path(tmp_path / "takes", NOON, "hill-song"), header)
    writer.keep(StampedMessage(at_ns, wire.note_on(1, 64, 90)))
    writer.close()

    with history_of(tmp_path) as history:
        (take_id,) = history.take_ids()
        kept, judged_take = history.file_of(take_id), history.judged(take_id)

    assert [message.stamp_ns for message in kept.take.messages] == [at_ns]
    assert (judged_take.passes, judged_take.notes) == ((), b"")


def test_what_a_killed_program_left_is_replaced_by_the_whole_take(tmp_path: Path) -> None:
    run = record(tmp_path)
    path = run.take_path
    assert path is not None
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) * 9 // 10])
    history_of(tmp_path).close()

    path.write_bytes(whole)

    with history_of(tmp_path) as history:
        (take_id,) = history.take_ids()
        assert history.file_bytes(take_id) == (path.name, whole)
        assert history.judged(take_id) == judged(run.session)


def test_a_renamed_take_file_is_no_second_take(tmp_path: Path) -> None:
    path = record(tmp_path).take_path
    assert path is not None
    history_of(tmp_path).close()
    path.rename(path.with_name("the-best-one.mid"))

    with history_of(tmp_path) as history:
        assert history.known_files() == {"the-best-one.mid": path.with_name("the-best-one.mid").stat().st_size}


def test_files_from_elsewhere_are_passed_over_and_broken_ones_named(tmp_path: Path) -> None:
    path = record(tmp_path).take_path
    assert path is not None
    broken = path.read_bytes().replace(b'"pace":"click"', b'"pace":"clack"')
    (tmp_path / "takes" / "broken.mid").write_bytes(broken)
    (tmp_path / "takes" / "foreign.mid").write_bytes(b"MThd\0\0\0\6\0\0\0\1\0\x60MTrk\0\0\0\4\0\xff\x2f\0")

    with History.open(tmp_path / "history.db", tmp_path / "takes") as history:
        gathered = gather(history, missing_files(history))

    assert gathered.taken_in == 1
    (sentence,) = gathered.unread
    assert sentence.startswith("broken.mid: take header: pace")


def test_a_history_that_cannot_be_written_costs_no_take_and_is_caught_up_with_the_next(tmp_path: Path) -> None:
    is_full = [True]

    def full_at_first(path: Path, folder: Path) -> tuple[History, str | None]:
        if is_full.pop() if is_full else False:
            raise UnwritableHistoryError("The history cannot be written: the disk is full.")
        return opened(path, folder)

    keeper = keeper_at(tmp_path, open_it=full_at_first)
    runs = [record(tmp_path, faults="miss 1"), record(tmp_path, faults="miss 2")]
    keeper.take_over(runs[0].session, runs[0].take_path)
    keeper.take_over(runs[1].session, runs[1].take_path)
    keeper.close(patience_s=30)

    assert keeper.trouble is None
    with History.open(tmp_path / "history.db", tmp_path / "takes") as history:
        assert len(history.take_ids()) == 2


def test_the_player_is_told_when_takes_are_files_only(tmp_path: Path) -> None:
    (tmp_path / "history.db").mkdir()
    run = record(tmp_path)

    keeper = keeper_at(tmp_path)
    keeper.take_over(run.session, run.take_path)
    keeper.close()

    assert keeper.trouble is not None
    assert "cannot be opened or made there" in keeper.trouble
    assert keeper.trouble.endswith(f"Takes are kept as files in {tmp_path / 'takes'} and are taken in later.")
    assert run.take_path is not None
    assert run.take_path.exists()


def test_handing_over_a_take_waits_for_nobody(tmp_path: Path) -> None:
    record(tmp_path)
    history_of(tmp_path).close()
    run = record(tmp_path, faults="miss 5")

    with closing(sqlite3.connect(tmp_path / "history.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        keeper = keeper_at(tmp_path)
        keeper.take_over(run.session, run.take_path)  # would wait for ever if it waited for the other program
        assert keeper._thread.is_alive()
        other.execute("ROLLBACK")
    keeper.close(patience_s=30)

    with History.open(tmp_path / "history.db", tmp_path / "takes") as history:
        assert len(history.take_ids()) == 2


def test_damage_that_shows_while_the_program_runs_is_met_with_a_new_history(tmp_path: Path) -> None:
    first = record(tmp_path)
    history_of(tmp_path).close()
    path = tmp_path / "history.db"
    content = bytearray(path.read_bytes())
    with closing(sqlite3.connect(path)) as connection:
        root = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'judgements'").fetchone()[0]
    content[(root - 1) * 4096 : root * 4096] = b"\xff" * 4096
    path.write_bytes(content)
    second = record(tmp_path, faults="miss 5")

    keeper = keeper_at(tmp_path)
    keeper.take_over(second.session, second.take_path)
    keeper.close(patience_s=30)

    assert keeper.trouble is not None
    assert "is damaged" in keeper.trouble
    assert len(list(tmp_path.glob("history.db.damaged-*"))) >= 1
    with History.open(path, tmp_path / "takes") as history:
        assert verdict_counts(history).judged == 2 * len(first.exercise.notes)


@pytest.mark.parametrize("seed", [None, 7])
def test_what_no_hand_played_is_the_simulated_players(tmp_path: Path, seed: int | None) -> None:
    from dataclasses import replace

    from trainer.history.store import take_file

    path = record(tmp_path).take_path
    assert path is not None
    kept = take_file(path, tmp_path / "takes")

    named = replace(kept, header=replace(kept.header, seed=seed, player="anna"))
    nameless = replace(kept, header=replace(kept.header, seed=seed))

    assert named.player == "anna"
    assert nameless.player == ("" if seed is None else "simulated")


def test_a_folder_of_takes_that_cannot_be_listed_is_said(tmp_path: Path) -> None:
    (tmp_path / "takes").write_text("not a folder")

    keeper = keeper_at(tmp_path)
    keeper.close(patience_s=30)

    assert keeper.trouble is not None
    assert keeper.trouble.startswith(f"The folder {tmp_path / 'takes'} cannot be read (Not a directory).")
