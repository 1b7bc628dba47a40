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
_NO_PERMISSION = ("it is read-only", "Allow this user to write to it and to its folder.")
_HELD = ("another program holds it", "Close that program.")
_UNWRITABLE = {
    sqlite3.SQLITE_FULL: ("the disk is full", "Free some space."),
    sqlite3.SQLITE_READONLY: _NO_PERMISSION,
    sqlite3.SQLITE_PERM: _NO_PERMISSION,
    sqlite3.SQLITE_CANTOPEN: ("it cannot be opened or made there", "Look whether its folder may be written to."),
    sqlite3.SQLITE_BUSY: _HELD,
    sqlite3.SQLITE_LOCKED: _HELD,
    sqlite3.SQLITE_IOERR: (
        "the disk is full, or cannot be read or written",
        "Free some space, or look after the disk.",
    ),
}
"""What it is, and what to do about it."""


def in_words(path: Path, error: sqlite3.Error) -> HistoryError:
    """What an error of SQLite about the history at `path` means to the player."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF  # the low byte is the kind, the rest is detail
    if code in _DAMAGED:
        return DamagedHistoryError(f"The history {path} is damaged ({error}).")
    if code in _UNWRITABLE:
        reason, advice = _UNWRITABLE[code]
        return UnwritableHistoryError(f"The history {path} cannot be written: {reason} ({error}). {advice}")
    return HistoryError(f"The history {path} cannot be used ({error}).")


def told(error: HistoryError) -> str:
    """The error with what the player can do about it, where the sentence does not say so itself."""
    match error:
        case NewerHistoryError():
            return f"{error} Update Boxwalk to use it."
        case _:
            return str(error)
