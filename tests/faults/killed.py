"""Kills the program in the middle of a save and of a migration, and looks at what is there afterwards.

    python -m tests.faults.killed --kills 50

Each time a forked process saves a file, or brings an old history up to date, over and over, and is killed (SIGKILL)
at a random moment after it has begun. Then the file has to be the old or the new one, and the history has to open
whole, with every take. (Takes themselves: tests/rig/test_killed_takes.py.) Unix only.
"""

import argparse
import os
import random
import signal
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from itertools import count
from pathlib import Path

from trainer.history.opening import assure_whole
from trainer.history.store import History
from trainer.sheets.saving import save

OLD_FORM = Path(__file__).parents[1] / "history" / "versions" / "2.sql"
CONTENTS = (b"old and short\n" * 10, b"new and long\n" * 40_000)
LONGEST_LIFE_S = 0.25


def saves(folder: Path) -> None:
    """Two contents in turn under one name, for ever."""
    for number in count():
        save(folder / "sheet.txt", CONTENTS[number % 2])


def saved_whole(folder: Path) -> bool:
    """Whether the file is one of the two."""
    return (folder / "sheet.txt").read_bytes() in CONTENTS


def migrations(folder: Path) -> None:
    """One old history after the other, for ever; each has its folder, and a mark once it is ready to be opened."""
    for number in count():
        place = folder / f"{number:06}"
        place.mkdir()
        with closing(sqlite3.connect(place / "history.db")) as connection:
            connection.executescript(OLD_FORM.read_text(encoding="utf-8"))
        (place / "ready").touch()
        History.open(place / "history.db", place / "takes").close()


def migrated_whole(folder: Path) -> bool:
    """Whether the last history opens whole, and so does every copy that was made of an older one."""
    place = max(mark.parent for mark in folder.glob("*/ready"))
    with closing(sqlite3.connect(":memory:")) as connection:
        connection.executescript(OLD_FORM.read_text(encoding="utf-8"))
        takes = connection.execute("SELECT count(*) FROM takes").fetchone()
    with History.open(place / "history.db", place / "takes") as history:
        assure_whole(history.connection, history.path)
        return bool(history.connection.execute("SELECT count(*) FROM takes").fetchone() == takes)


WORKS: dict[str, tuple[Callable[[Path], None], Callable[[Path], bool], str]] = {
    "save": (saves, saved_whole, "sheet.txt"),
    "migration": (migrations, migrated_whole, "*/ready"),
}


def is_whole_after_a_kill(name: str, folder: Path, chance: random.Random) -> bool:
    """Let a process work, kill it, and look."""
    work, is_whole, begun = WORKS[name]
    process = os.fork()
    if not process:
        try:
            work(folder)
        finally:
            os._exit(1)
    while not any(folder.glob(begun)):
        time.sleep(0.0005)
    time.sleep(chance.uniform(0, LONGEST_LIFE_S))
    os.kill(process, signal.SIGKILL)
    _, status = os.waitpid(process, 0)
    return os.WIFSIGNALED(status) and is_whole(folder)


def main() -> None:
    words = argparse.ArgumentParser(prog="python -m tests.faults.killed", description=__doc__.splitlines()[0])
    words.add_argument("--kills", type=int, default=50, help="of each (default: %(default)s)")
    words.add_argument("--seed", type=int, default=1)
    asked = words.parse_args()
    chance = random.Random(asked.seed)
    is_all_whole = True
    for name in WORKS:
        whole = 0
        for _ in range(asked.kills):
            with tempfile.TemporaryDirectory() as folder:
                whole += is_whole_after_a_kill(name, Path(folder), chance)
        sys.stdout.write(f"{name}: {asked.kills} kills, whole after {whole}\n")
        sys.stdout.flush()
        is_all_whole &= whole == asked.kills
    sys.exit(0 if is_all_whole else 1)


if __name__ == "__main__":
    main()
