"""What takes came to when they were judged here before, so that no take is judged twice by one program.

An entry is known by the bytes of a take, the lines that it was judged by and the code that judged: whoever edits a
returned file changes no entry, and another version of the program finds none. The file is a convenience and nothing
else. One that is damaged is begun anew, one that cannot be read or written is done without, and no entry is believed
that is not whole (zlib's checksum, and the fields one by one).

Reference: RFC 1950, zlib compressed data format, 2.2 "ADLER32".
"""

import sqlite3
import zlib
from collections.abc import Callable, Iterable, Mapping
from contextlib import closing, suppress
from functools import cache, partial
from pathlib import Path
from typing import TypeVar

from pydantic import TypeAdapter, ValidationError

from trainer.homework.measuring import MeasuredTake, Unused
from trainer.homework.weakest import Weakest

Entry = MeasuredTake | Unused | Weakest
MOST_ENTRIES = 50_000
"""About 1 kB each; the oldest go first."""
_WAIT_S = 2.0
_ASKED_AT_ONCE = 500
_TABLE = "CREATE TABLE IF NOT EXISTS entries (key TEXT PRIMARY KEY, program TEXT NOT NULL, entry BLOB NOT NULL) STRICT"
Told = TypeVar("Told")


@cache
def _entries() -> TypeAdapter[Entry]:
    """Made when it is needed: most commands judge no homework."""
    return TypeAdapter(Entry)


class Cache:
    """The file `path`, as far as it holds what `program` judged; without a path it keeps nothing."""

    def __init__(self, path: Path | None, program: str) -> None:
        self._path = path
        self._program = program

    def known(self, keys: Iterable[str]) -> dict[str, Entry]:
        """The entries that there are of those asked for."""
        wanted = list(dict.fromkeys(keys))
        found: dict[str, Entry] = {}
        for first in range(0, len(wanted), _ASKED_AT_ONCE):
            some = wanted[first : first + _ASKED_AT_ONCE]
            for key, packed in self._with(partial(self._asked, keys=some)) or ():
                with suppress(ValidationError, ValueError, TypeError, zlib.error):
                    found[key] = _entries().validate_json(zlib.decompress(packed), strict=True)
        return found

    def keep(self, entries: Mapping[str, Entry]) -> None:
        """Keep what was judged just now; what other programs judged is let go."""
        packed = [(key, self._program, zlib.compress(_entries().dump_json(entry))) for key, entry in entries.items()]
        if packed:
            self._with(partial(self._written, entries=packed))

    def _asked(self, file: sqlite3.Connection, keys: list[str]) -> list[tuple[str, bytes]]:
        places = ", ".join("?" * len(keys))
        query = f"SELECT key, entry FROM entries WHERE program = ? AND key IN ({places})"  # noqa: S608 - marks alone
        return list(file.execute(query, (self._program, *keys)))

    def _written(self, file: sqlite3.Connection, entries: list[tuple[str, str, bytes]]) -> None:
        file.execute("DELETE FROM entries WHERE program <> ?", (self._program,))
        file.executemany("INSERT OR REPLACE INTO entries (key, program, entry) VALUES (?, ?, ?)", entries)
        file.execute("DELETE FROM entries WHERE rowid <= (SELECT max(rowid) FROM entries) - ?", (MOST_ENTRIES,))

    def _with(self, act: Callable[[sqlite3.Connection], Told]) -> Told | None:
        """What `act` makes of the file; None when that cannot be had, with a damaged file begun anew."""
        for _ in range(2):
            try:
                return self._done(act)
            except (sqlite3.OperationalError, OSError):
                return None  # locked, read-only, full, not to be opened: the takes are judged again
            except sqlite3.DatabaseError:
                with suppress(OSError):
                    if self._path is not None:
                        self._path.unlink(missing_ok=True)
        return None

    def _done(self, act: Callable[[sqlite3.Connection], Told]) -> Told | None:
        if self._path is None:
            return None
        self._path.parent.mkdir(parents=True, exist_ok=True)
        with closing(sqlite3.connect(self._path, timeout=_WAIT_S)) as file, file:
            file.execute(_TABLE)
            return act(file)
