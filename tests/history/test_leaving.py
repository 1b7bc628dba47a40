"""What leaves the history: exported, or deleted for good."""

import csv
import json
import zlib
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from tests.builders import line
from tests.history.builders import NOON, history_of, plan_of, record
from tests.history.test_opening import old_history
from trainer.following.verdict import Match
from trainer.history.errors import UnwritableHistoryError
from trainer.history.exporting import export
from trainer.history.figures import days
from trainer.history.forgetting import belongings, forget
from trainer.history.judged import exercise_hash
from trainer.history.store import History
from trainer.playing.take import note_path, read_take
from trainer.score.serial import exercise_from_dict


def table(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_what_is_exported_can_be_read_back_whole(tmp_path: Path) -> None:
    run = record(tmp_path, faults="miss 5, string 12", player="anna")
    assert run.take_path is not None

    with history_of(tmp_path) as history:
        export(history, tmp_path / "out")

    (take,) = table(tmp_path / "out" / "takes.csv")
    notes = table(tmp_path / "out" / "notes.csv")
    ledger = run.session.ledger
    assert (take["player"], take["quarters_per_minute"], take["passes"]) == ("anna", "120", "2")
    assert (tmp_path / "out" / "takes" / take["file"]).read_bytes() == run.take_path.read_bytes()
    assert read_take(tmp_path / "out" / "takes" / take["file"]) == read_take(run.take_path)
    saved = json.loads((tmp_path / "out" / "exercises" / f"{take['exercise']}.json").read_text(encoding="utf-8"))
    assert exercise_from_dict(saved) == run.plan.exercise
    assert [(int(note["pass"]), int(note["index"])) for note in notes] == [(p, i) for p in range(2) for i in range(32)]
    assert [note["outcome"] for note in notes[:13]] == [*["matched"] * 5, "missed", *["matched"] * 6, "wrong string"]
    deviations = [v.deviation_ns for v in map(ledger.of_written, range(64)) if isinstance(v, Match)]
    assert [int(note["deviation_ns"]) for note in notes if note["outcome"] == "matched"] == deviations


def test_one_players_export_holds_nobody_elses_takes(tmp_path: Path) -> None:
    record(tmp_path, player="anna")
    record(tmp_path, plan_of(line("quarry-steps")), player="ben")

    with history_of(tmp_path) as history:
        export(history, tmp_path / "out", "ben")

    assert [take["player"] for take in table(tmp_path / "out" / "takes.csv")] == ["ben"]
    assert [path.name for path in (tmp_path / "out" / "takes").iterdir()] == ["2026-03-14_12-00-00_quarry-steps.mid"]
    assert len(list((tmp_path / "out" / "exercises").iterdir())) == 1


def bytes_beside(place: Path) -> bytes:
    """Every byte in the data folder."""
    return b"".join(path.read_bytes() for path in sorted(place.rglob("*")) if path.is_file())


def test_of_a_forgotten_player_no_byte_is_left_and_the_others_lose_nothing(tmp_path: Path) -> None:
    hers = record(tmp_path, plan_of(line("ridge-path")), player="anna-of-the-ridge")
    record(tmp_path, plan_of(line("two-gates")), player="ben", when=NOON + timedelta(days=1))
    assert hers.take_path is not None
    stream = zlib.compress(hers.take_path.read_bytes())
    address = exercise_hash(hers.plan.exercise).encode()
    history_of(tmp_path).close()
    before = bytes_beside(tmp_path)
    assert b"anna-of-the-ridge" in before
    assert stream in before
    assert address in before

    with history_of(tmp_path) as history:
        gone = forget(history, "anna-of-the-ridge")
        players = history.players()
    with history_of(tmp_path) as history:
        again = history.players()

    after = bytes_beside(tmp_path)
    assert b"anna-of-the-ridge" not in after
    assert b"ridge-path" not in after
    assert stream[20:200] not in after
    assert address not in after
    assert gone.files == (hers.take_path,)
    assert players == again == {"ben": 1}


def test_older_copies_of_the_history_go_with_a_player(tmp_path: Path) -> None:
    old_history(tmp_path, 1)
    (tmp_path / "history.db.damaged-2026-03-14").write_bytes(b"who knows whose takes")
    record(tmp_path, player="anna")

    with history_of(tmp_path) as history:
        copies = belongings(history, "anna").copies
        forget(history, "anna")

    assert [path.name for path in copies] == ["history.before-2.db", "history.db.damaged-2026-03-14"]
    assert not any(path.exists() for path in copies)


def test_while_another_program_reads_what_is_left_of_a_player_is_said(tmp_path: Path) -> None:
    record(tmp_path, player="anna")
    record(tmp_path, plan_of(line("two-gates")), player="ben", when=NOON + timedelta(days=1))
    with history_of(tmp_path) as history, closing(history_of(tmp_path).connection) as other:
        history.connection.execute("PRAGMA busy_timeout = 10")
        other.execute("BEGIN")
        other.execute("SELECT count(*) FROM takes").fetchone()
        with pytest.raises(UnwritableHistoryError, match="another program holds it"):
            forget(history, "anna")
        other.execute("ROLLBACK")

        forget(history, "anna")

    assert b"anna" not in bytes_beside(tmp_path)


def test_what_was_noted_about_a_forgotten_players_takes_goes_too(tmp_path: Path) -> None:
    hers = record(tmp_path, player="anna")
    assert hers.take_path is not None
    note_path(hers.take_path).write_text("The third finger comes late.", encoding="utf-8")
    stranger = note_path(tmp_path / "takes" / "another.mid")
    stranger.write_text("Kept.", encoding="utf-8")

    with history_of(tmp_path) as history:
        gone = forget(history, "anna")

    assert gone.notes == (note_path(hers.take_path),)
    assert list((tmp_path / "takes").iterdir()) == [stranger]


def test_the_player_without_a_name_can_be_forgotten_too(tmp_path: Path) -> None:
    record(tmp_path)
    with history_of(tmp_path) as history:
        forget(history, "")

        assert days(history) == ()
        assert history.players() == {}
    assert list((tmp_path / "takes").iterdir()) == []
    with History.open(tmp_path / "history.db", tmp_path / "takes") as history:
        assert history.take_ids() == ()
