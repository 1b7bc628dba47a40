"""Why the history cannot be had, each in a sentence for the player.

`str()` of each error is that sentence. None of them means that a take is lost: it is a file in the folder of takes.
"""

import sqlite3
from pathlib import Path


class HistoryError(Exception):
    """The history cannot be read or written."""


class NewerHistoryError(HistoryError):
    """It was written by a later version of the program."""


class DamagedHistoryError(HistoryError):
    """It is not, or no longer, a database."""


class UnwritableHistoryError(HistoryError):
    """It cannot be written now: no permission, no space, or another program holds it."""


_DAMAGED = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
_UNWRITABLE = {
    sqlite3.SQLITE_FULL: "the disk is full",
    sqlite3.SQLITE_READONLY: "it is read-only",
    sqlite3.SQLITE_PERM: "it is read-only",
    sqlite3.SQLITE_CANTOPEN: "it cannot be opened or made there",
    sqlite3.SQLITE_BUSY: "another program holds it",
    sqlite3.SQLITE_LOCKED: "another program holds it",
    sqlite3.SQLITE_IOERR: "the disk cannot be read or written",
}


def in_words(path: Path, error: sqlite3.Error) -> HistoryError:
    """What an error of SQLite about the history at `path` means to the player."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF  # the low byte is the kind, the rest is detail
    if code in _DAMAGED:
        return DamagedHistoryError(f"The history {path} is damaged ({error}).")
    if code in _UNWRITABLE:
        return UnwritableHistoryError(f"The history {path} cannot be written: {_UNWRITABLE[code]} ({error}).")
    return HistoryError(f"The history {path} cannot be used ({error}).")
