import os
import shutil
import sqlite3
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.history.builders import history_of, plan_of, record
from trainer.history.errors import (
    HistoryError,
    NewerHistoryError,
    UnwritableHistoryError,
)
from trainer.history.figures import verdict_counts
from trainer.history.gathering import gather, missing_files, opened
from trainer.history.judged import judged, session_over
from trainer.history.migrations import MIGRATIONS
from trainer.history.opening import open_history
from trainer.history.store import History

VERSIONS = Path(__file__).parent / "versions"
OLD = range(1, len(MIGRATIONS))
NOBODY = 65534


def old_history(place: Path, version: int) -> Path:
    """A history as that version of the program left it."""
    path = place / "history.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((VERSIONS / f"{version}.sql").read_text(encoding="utf-8"))
    return path


def version_of(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])


def form_of(path: Path) -> set[tuple[str, str]]:
    """Every table, index and column, but not how it was written down."""
    with closing(sqlite3.connect(path)) as connection:
        return set(
            connection.execute(
                "SELECT s.name, c.name || c.type || c.'notnull' || c.hidden"
                " FROM sqlite_schema AS s JOIN pragma_table_xinfo(s.name) AS c"
            )
        ) | set(connection.execute("SELECT name, tbl_name FROM sqlite_schema"))


@pytest.fixture
def strangers_place() -> Iterator[Path]:
    """A folder that somebody else may only read; acting as that somebody when we are root, who may everything."""
    place = Path(tempfile.mkdtemp())
    place.chmod(0o755)
    yield place
    os.seteuid(os.getuid())
    place.chmod(0o755)
    shutil.rmtree(place)


def act_as_stranger(place: Path) -> None:
    place.chmod(0o555)
    if os.geteuid() == 0:
        os.seteuid(NOBODY)


@pytest.mark.parametrize("version", OLD)
def test_an_older_history_is_brought_up_to_date_with_all_that_is_in_it(tmp_path: Path, version: int) -> None:
    path = old_history(tmp_path, version)
    open_history(tmp_path / "new.db").close()

    with History.open(path, tmp_path / "takes") as history:
        (take_id,) = history.take_ids()
        kept = history.file_of(take_id)
        said = history.judged(take_id)
        counts = verdict_counts(history)

    assert version_of(path) == len(MIGRATIONS)
    assert form_of(path) == form_of(tmp_path / "new.db")
    assert [one.outcomes for one in said.passes] == ["..x.", "...."]
    assert said.passes == judged(session_over(kept.take, kept.header)).passes
    assert (counts.within, counts.missed) == (7, 1)


@pytest.mark.parametrize("version", OLD)
def test_a_copy_is_made_before_an_older_history_is_changed(tmp_path: Path, version: int) -> None:
    path = old_history(tmp_path, version)

    open_history(path).close()

    backup = tmp_path / f"history.before-{version + 1}.db"
    assert version_of(backup) == version
    with closing(sqlite3.connect(backup)) as connection:
        assert connection.execute("SELECT count(*) FROM takes").fetchone() == (1,)


def test_every_version_but_this_one_has_its_sample() -> None:
    assert sorted(path.stem for path in VERSIONS.glob("*.sql")) == [str(version) for version in OLD]


def test_a_new_history_needs_no_copy_and_is_marked_as_ours(tmp_path: Path) -> None:
    open_history(tmp_path / "history.db").close()

    assert [path.name for path in tmp_path.iterdir()] == ["history.db"]
    with closing(sqlite3.connect(tmp_path / "history.db")) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("PRAGMA application_id").fetchone() == (0x42585741,)


def test_a_history_from_a_newer_version_is_left_as_it_is(tmp_path: Path) -> None:
    path = old_history(tmp_path, 1)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 99")
    before = path.read_bytes()

    with pytest.raises(NewerHistoryError, match=r"newer Boxwalk \(its version is 99.*left as it is"):
        opened(path, tmp_path / "takes")

    assert path.read_bytes() == before


def test_a_database_of_another_program_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "history.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")

    with pytest.raises(HistoryError, match="no history of Boxwalk"):
        opened(path, tmp_path / "takes")

    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT count(*) FROM recipes").fetchone() == (0,)


@pytest.mark.parametrize("harm", ["not a database", "cut off", "overwritten"])
def test_a_damaged_history_is_kept_aside_and_made_anew_of_the_takes(tmp_path: Path, harm: str) -> None:
    record(tmp_path)
    history_of(tmp_path).close()
    path = tmp_path / "history.db"
    whole = path.read_bytes()
    harmed = {
        "not a database": b"The quarry is closed today." * 100,
        "cut off": whole[: len(whole) // 2],
        "overwritten": whole[:20] + b"\xff" * 80 + whole[100:],
    }[harm]
    path.write_bytes(harmed)

    history, sentence = opened(path, tmp_path / "takes")
    with history:
        gather(history, missing_files(history))
        takes = history.take_ids()

    (aside,) = tmp_path.glob("history.db.damaged-*")
    assert aside.read_bytes() == harmed
    assert len(takes) == 1
    assert sentence is not None
    assert "is damaged" in sentence
    assert f"kept as {aside}" in sentence


def test_a_second_damaged_history_of_a_day_gets_a_name_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "history.db"
    for content in (b"first" * 300, b"second" * 300):
        path.write_bytes(content)
        opened(path, tmp_path / "takes")[0].close()

    assert sorted(aside.read_bytes()[:5] for aside in tmp_path.glob("history.db.damaged-*")) == [b"first", b"secon"]


def test_in_a_read_only_folder_it_is_read_and_nothing_is_written(strangers_place: Path) -> None:
    record(strangers_place)
    history_of(strangers_place).close()
    path, takes = strangers_place / "history.db", strangers_place / "takes"
    path.chmod(stat.S_IRUSR | stat.S_IRGRP | stat.S_IROTH)
    act_as_stranger(strangers_place)

    with pytest.raises(UnwritableHistoryError, match="cannot be written: it"):
        opened(path, takes)
    with History.read(path, takes) as history:
        counts = verdict_counts(history)

    assert counts.within == 64


def test_a_read_only_folder_without_a_history_says_so(strangers_place: Path) -> None:
    act_as_stranger(strangers_place)

    with pytest.raises(UnwritableHistoryError, match="cannot be opened or made there"):
        opened(strangers_place / "history.db", strangers_place / "takes")


def test_a_history_that_another_program_holds_is_waited_for_and_then_given_up(tmp_path: Path) -> None:
    record(tmp_path)
    history_of(tmp_path).close()
    record(tmp_path, faults="miss 1")
    path, takes = tmp_path / "history.db", tmp_path / "takes"

    with closing(sqlite3.connect(path, isolation_level=None)) as other, History.open(path, takes, busy_s=0.01) as ours:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(UnwritableHistoryError, match="another program holds it"):
            gather(ours, missing_files(ours))
        other.execute("ROLLBACK")
        assert gather(ours, missing_files(ours)).taken_in == 1


def test_a_full_disk_loses_nothing_that_was_in_it(tmp_path: Path) -> None:
    record(tmp_path)
    history_of(tmp_path).close()
    record(tmp_path, plan_of(passes=8), faults="miss 1")
    path, takes = tmp_path / "history.db", tmp_path / "takes"

    with History.open(path, takes) as history:
        pages = history.connection.execute("PRAGMA page_count").fetchone()[0]
        history.connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(UnwritableHistoryError, match="the disk is full"):
            gather(history, missing_files(history))
        while_full = history.take_ids()
        soundness = history.connection.execute("PRAGMA integrity_check").fetchone()
        history.connection.execute(f"PRAGMA max_page_count = {pages + 1000}")
        later = gather(history, missing_files(history))

    assert (len(while_full), soundness, later.taken_in) == (1, ("ok",), 1)


def test_a_disk_that_fills_up_in_a_migration_leaves_the_old_version(tmp_path: Path) -> None:
    path = old_history(tmp_path, 1)

    def on_a_full_disk(*arguments: object, **options: object) -> sqlite3.Connection:
        connection: sqlite3.Connection = sqlite3.connect(*arguments, **options)  # type: ignore[call-overload]
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages}")
        return connection

    with pytest.raises(UnwritableHistoryError, match="the disk is full"):
        open_history(path, connect=on_a_full_disk)

    assert version_of(path) == 1
    with History.open(path, tmp_path / "takes") as history:
        assert len(history.take_ids()) == 1


def test_a_program_killed_in_a_migration_leaves_the_old_version(tmp_path: Path) -> None:
    path = old_history(tmp_path, 1)
    program = (
        "import sys, sqlite3; from pathlib import Path\n"
        "from trainer.history import opening\n"
        "def connect(*a, **k):\n"
        "    c = sqlite3.connect(*a, **k)\n"
        "    c.create_function('halt', 0, lambda: (print('in the middle', flush=True), sys.stdin.read())[1])\n"
        "    return c\n"
        "first, *rest = opening.MIGRATIONS[1:]\n"
        "opening.MIGRATIONS = (opening.MIGRATIONS[0], (*first, 'SELECT halt()'), *rest)\n"
        "opening.open_history(Path(sys.argv[1]), connect=connect)\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", program, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    with process:
        assert process.stdout is not None
        assert process.stdout.readline() == "in the middle\n"
        process.kill()

    assert version_of(path) == 1
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    with History.open(path, tmp_path / "takes") as history:
        assert len(history.take_ids()) == 1
        assert version_of(path) == len(MIGRATIONS)


def test_two_programs_write_at_once_and_every_take_is_in(tmp_path: Path) -> None:
    for tempo in range(100, 106):
        record(tmp_path, plan_of(tempo=tempo, passes=1))
    program = (
        "import sys; from pathlib import Path\n"
        "from trainer.history.store import History\n"
        "from trainer.history.gathering import gather, missing_files\n"
        "place = Path(sys.argv[1])\n"
        "print('ready', flush=True); sys.stdin.readline()\n"
        "with History.open(place / 'history.db', place / 'takes') as history:\n"
        "    gather(history, missing_files(history))\n"
    )
    processes = [
        subprocess.Popen(
            [sys.executable, "-c", program, str(tmp_path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for _ in range(2)
    ]
    for process in processes:
        assert process.stdout is not None
        process.stdout.readline()

    for process in processes:
        assert process.stdin is not None
        process.stdin.write("\n")
        process.stdin.flush()
    codes = [process.wait(timeout=60) for process in processes]
    for process in processes:
        process.communicate()

    assert codes == [0, 0]
    with history_of(tmp_path) as history:
        assert len(history.take_ids()) == 6
        assert verdict_counts(history).judged == 6 * 32


def test_a_disk_too_full_for_the_companions_of_the_file_is_no_hindrance_to_reading(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record(tmp_path)
    history_of(tmp_path).close()
    (tmp_path / "history.db-wal").write_bytes(b"")  # what an attempt to write leaves there
    connect = sqlite3.connect

    def on_a_full_disk(place: str, **options: object) -> sqlite3.Connection:
        if "immutable" not in place:
            raise sqlite3.OperationalError("disk I/O error")
        return connect(place, **options)  # type: ignore[call-overload, no-any-return]

    monkeypatch.setattr("trainer.history.opening.sqlite3.connect", on_a_full_disk)
    with History.read(tmp_path / "history.db", tmp_path / "takes") as history:
        counts = verdict_counts(history)

    assert counts.within == 64
