"""Deleting a player for good: every take, its file, and whatever was known by those takes alone.

SQLite leaves what was deleted in its file until the place is needed; so it is told to overwrite what it deletes
(`PRAGMA secure_delete`), the file is written anew (`VACUUM`), and the log of writes is cut to nothing. Copies from
before a migration and damaged files that were put aside may hold the player too and go as well. What a disk or a
backup of the system keeps, and what was exported, is beyond this program.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from trainer.history.errors import UnwritableHistoryError
from trainer.history.opening import backups_of, errors_in_words, transaction
from trainer.history.store import History
from trainer.playing.take import note_path

_ORPHANS = (
    "DELETE FROM exercises WHERE id NOT IN (SELECT exercise_id FROM takes UNION SELECT exercise_id FROM tempo_runs)",
    "DELETE FROM devices WHERE id NOT IN (SELECT device_id FROM takes)",
    """DELETE FROM ears WHERE id NOT IN (
        SELECT ear_id FROM judgements UNION SELECT ear_id FROM changes UNION SELECT former_ear_id FROM changes
    )""",
)


@dataclass(frozen=True, slots=True)
class Belongings:
    """What would go with a player."""

    takes: int
    files: tuple[Path, ...]
    """Take files that are there."""
    notes: tuple[Path, ...]
    """Notes about these takes."""
    copies: tuple[Path, ...]
    """Older copies of the history, which may hold the player."""


def belongings(history: History, player: str) -> Belongings:
    """What `forget` deletes."""
    with errors_in_words(history.path):
        names = [
            row[0]
            for row in history.connection.execute(
                "SELECT file FROM takes JOIN players ON players.id = player_id WHERE name = ?", (player,)
            )
        ]
    paths = [history.takes_folder / name for name in names]  # a whole path stays what it is
    return Belongings(len(names), _there(paths), _there(map(note_path, paths)), backups_of(history.path))


def forget(history: History, player: str) -> Belongings:
    """Delete a player for good; what went.

    `UnwritableHistoryError` when something is still there: once its cause is gone, this can be done again.
    """
    connection = history.connection
    with errors_in_words(history.path):
        connection.execute("PRAGMA secure_delete = ON")
        with transaction(connection):
            gone = belongings(history, player)
            # The files first: a take that is still in the folder would be taken in again.
            for path in (*gone.files, *gone.notes, *gone.copies):
                _delete(path)
            for table in ("takes", "tempo_runs"):
                theirs = f"DELETE FROM {table} WHERE player_id = (SELECT id FROM players WHERE name = ?)"  # noqa: S608 - ours
                connection.execute(theirs, (player,))
            connection.execute("DELETE FROM players WHERE name = ?", (player,))
            for statement in _ORPHANS:
                connection.execute(statement)
    with errors_in_words(history.path):
        connection.execute("VACUUM")
        is_held = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
    if is_held:
        raise UnwritableHistoryError(
            f"What was deleted still stands in the log of {history.path}, for another program holds it: close that,"
            " and do this again."
        )
    return gone


def _there(paths: Iterable[Path]) -> tuple[Path, ...]:
    return tuple(path for path in paths if path.exists())


def _delete(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise UnwritableHistoryError(f"{path} cannot be deleted ({error.strerror or error}).") from error
