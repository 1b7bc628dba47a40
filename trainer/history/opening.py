"""Opening the history: made when it is not there, brought up to date when it is older.

Write-ahead logging lets one program write while others read; two writers wait for each other for `BUSY_S`. Before an
older history is changed a copy is made beside it (`history.before-2.db`), and the whole change is one transaction: a
program that is killed in the middle leaves the old version.

Reference: the SQLite documentation on WAL, STRICT tables, the backup API and `PRAGMA user_version`.
"""

import os
import shutil
import sqlite3
import struct
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import quote

from trainer.history.errors import (
    DamagedHistoryError,
    HistoryError,
    NewerHistoryError,
    UnwritableHistoryError,
    in_words,
)
from trainer.history.migrations import APPLICATION_ID, MIGRATIONS
from trainer.score.errors import ExerciseError

BUSY_S = 5.0
"""Common practice, no source: longer than any of our transactions takes, shorter than a player's patience."""
_TRY_AGAIN_S = 0.02
_COMPANIONS = ("", "-wal", "-shm")
NOT_OURS = (zlib.error, struct.error, ValueError, TypeError, LookupError, RecursionError, ExerciseError)
"""What reading a stored value may raise that is not what this program stores."""
Connect = Callable[..., sqlite3.Connection]


def history_path(takes_folder: Path) -> Path:
    """Where the history of a folder of takes is kept: beside it."""
    return takes_folder.parent / "history.db"


def open_history(path: Path, *, busy_s: float = BUSY_S, connect: Connect = sqlite3.connect) -> sqlite3.Connection:
    """A connection to the history at `path`, made or brought up to date; a `HistoryError` when it cannot be had."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnwritableHistoryError(f"The folder {path.parent} cannot be made ({error.strerror or error}).") from error
    with errors_in_words(path):
        connection = connect(path, isolation_level=None, timeout=busy_s)
        try:
            _checked(connection, path)
            _log_ahead(connection, busy_s)
            connection.execute("PRAGMA synchronous = NORMAL")  # a power failure may cost the last take; its file stays
            connection.execute("PRAGMA foreign_keys = ON")
            migrate(connection, path)
            return _prepared(connection)
        except BaseException:
            connection.close()
            raise


def _log_ahead(connection: sqlite3.Connection, busy_s: float) -> None:
    """Turn write-ahead logging on, which the file remembers.

    Two programs that both make the file new would wait for each other for ever here, so SQLite refuses at once instead
    of waiting as it does elsewhere; one of them has turned it on a moment later.
    """
    deadline_s = time.monotonic() + busy_s
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            is_busy = error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY
            if not is_busy or time.monotonic() > deadline_s:
                raise
            time.sleep(_TRY_AGAIN_S)
        else:
            return


def open_to_read(path: Path) -> sqlite3.Connection:
    """A connection that only reads, for a history that cannot be written; a `HistoryError` when it cannot be had.

    Where not even the companions of the file can be made (a read-only folder), nobody else can be writing either, so
    the file is read as one that does not change.
    """
    if not path.exists():
        raise HistoryError(f"There is no history {path} yet.")
    for mode in ("mode=ro", "mode=ro&immutable=1"):
        with errors_in_words(path):
            try:
                connection = sqlite3.connect(f"file:{quote(str(path))}?{mode}", uri=True, isolation_level=None)
                version = _checked(connection, path)
            except sqlite3.OperationalError:
                if mode.endswith("immutable=1") or _has_log(path):
                    raise
                continue
            if version < len(MIGRATIONS):
                connection.close()
                raise HistoryError(
                    f"The history {path} is of an older version ({version}) and cannot be brought up to date there."
                )
            return _prepared(connection)
    raise AssertionError("the last way to open it returns or raises")


def _has_log(path: Path) -> bool:
    """Whether writes wait in the log; on a full disk an attempt to write leaves an empty one."""
    log = path.with_name(f"{path.name}-wal")
    return log.exists() and log.stat().st_size > 0


def assure_whole(connection: sqlite3.Connection, path: Path) -> None:
    """Go through the whole history; `DamagedHistoryError` when it does not hold together."""
    with errors_in_words(path):
        said = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
        loose = connection.execute("PRAGMA foreign_key_check").fetchone()
    if said != "ok" or loose is not None:
        raise DamagedHistoryError(f"The history {path} is damaged ({said if said != 'ok' else 'rows are missing'}).")


def put_aside(path: Path) -> Path:
    """Give a damaged history another name, with all that belongs to it; the name that it has now.

    `UnwritableHistoryError` when it cannot be renamed.
    """
    stamp = f"{datetime.now():%Y-%m-%d}"
    for number in count(1):
        aside = path.with_name(f"{path.name}.damaged-{stamp}" + (f"-{number}" if number > 1 else ""))
        if not aside.exists():
            break
    try:
        for ending in reversed(_COMPANIONS):
            companion = path.with_name(path.name + ending)
            if companion.exists():
                companion.rename(aside.with_name(aside.name + ending))
    except OSError as error:
        raise UnwritableHistoryError(
            f"The damaged history {path} cannot be put aside ({error.strerror or error})."
        ) from error
    return aside


@contextmanager
def copied(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection to a copy of a history and all that belongs to it: even reading the file itself would write."""
    with TemporaryDirectory() as place:
        for ending in _COMPANIONS:
            companion = path.with_name(path.name + ending)
            if companion.exists():
                shutil.copyfile(companion, Path(place, f"history.db{ending}"))
        with closing(sqlite3.connect(Path(place, "history.db"))) as connection:
            yield connection


@contextmanager
def errors_in_words(path: Path) -> Iterator[None]:
    """Turn what SQLite says of the history at `path` into a `HistoryError`."""
    try:
        yield
    except sqlite3.Error as error:
        raise in_words(path, error) from error


@contextmanager
def facts_in_words(path: Path) -> Iterator[None]:
    """The same, and of stored values that cannot be what this program stored: a `DamagedHistoryError`."""
    try:
        with errors_in_words(path):
            yield
    except NOT_OURS as error:
        raise DamagedHistoryError(f"The history {path} is damaged ({error or type(error).__name__}).") from error


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All or nothing; the lock on writing is taken at once, so that nothing has to be done twice."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        with suppress(sqlite3.Error):  # a full disk may have rolled back already
            connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


def migrate(connection: sqlite3.Connection, path: Path) -> None:
    """Bring an older history up to date, after a copy of it was made beside it."""
    if _version(connection) == len(MIGRATIONS):
        return
    with facts_in_words(path), transaction(connection):
        version = _version(connection)  # another program may have been faster
        if version > 0 and version < len(MIGRATIONS):
            _back_up(path, version + 1)
        for number, statements in enumerate(MIGRATIONS[version:], start=version + 1):
            for statement in statements:
                if isinstance(statement, str):
                    connection.execute(statement)
                else:
                    statement(connection)
            connection.execute(f"PRAGMA user_version = {number}")
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def backups_of(path: Path) -> tuple[Path, ...]:
    """The copies and damaged files that are kept beside a history."""
    return tuple(sorted(path.parent.glob(f"{path.stem}.before-*{path.suffix}"))) + tuple(
        sorted(path.parent.glob(f"{path.name}.damaged-*"))
    )


def _back_up(path: Path, number: int) -> None:
    """Copy the history as it is committed, under a name of its own once it is whole."""
    backup = path.with_name(f"{path.stem}.before-{number}{path.suffix}")
    unfinished = backup.with_name(f"{backup.name}.new")
    try:
        unfinished.unlink(missing_ok=True)
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(unfinished)) as copy:
            source.backup(copy)
        with unfinished.open("rb") as file:
            os.fsync(file.fileno())
        unfinished.replace(backup)
    except OSError as error:
        raise UnwritableHistoryError(
            f"The history {path} is of an older version, and no copy of it can be made before it is changed "
            f"({error.strerror or error})."
        ) from error


def _checked(connection: sqlite3.Connection, path: Path) -> int:
    """The version of what is there; a `HistoryError` for anything that this program must not touch."""
    version = _version(connection)
    if version > len(MIGRATIONS):
        raise NewerHistoryError(
            f"The history {path} was written by a newer Boxwalk (its version is {version}, this program knows up to "
            f"{len(MIGRATIONS)}). It is left as it is."
        )
    is_new = not connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    if not is_new and _pragma(connection, "application_id") != APPLICATION_ID:
        raise HistoryError(f"{path} is a database, but no history of Boxwalk. It is left as it is.")
    return version


def _version(connection: sqlite3.Connection) -> int:
    return _pragma(connection, "user_version")


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def _prepared(connection: sqlite3.Connection) -> sqlite3.Connection:
    connection.execute("PRAGMA cache_size = -65536")  # 64 MB: all that the views of ten years walk over
    return connection
