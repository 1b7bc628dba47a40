"""`python -m tests.benchmarks.history [--takes N] [--keep FOLDER]`: ten years of daily practice, opened and looked at.

The takes are drawn, not played: each file is a real one of a shipped line with another date, its verdicts are random
letters and times. Prints, asserts nothing. `--rows` also puts every note into a table row of its own, the form that was
not chosen, and counts the same there.
"""

import argparse
import os
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from tests.builders import played
from trainer.devices.recording import TakeWriter
from trainer.following.tolerance import Tolerance
from trainer.history.figures import Asked, breaks, days, lines, takes, verdict_counts
from trainer.history.gathering import missing_files
from trainer.history.judged import JudgedPass, JudgedTake, ear_of
from trainer.history.opening import history_path, transaction
from trainer.history.packing import EXTRA, NOTE, NOTE_FIELDS, packed
from trainer.history.passes import passes_of
from trainer.history.store import History, TakeFile, take_file_of
from trainer.playing.take import TakeHeader
from trainer.score.library import exercise_names, load_exercise
from trainer.score.serial import exercise_to_dict

FIRST_DAY = datetime(2016, 1, 1, 17, 0, tzinfo=UTC)
DATE = "2016-01-01T17:00:00+00:00"
NOTES_A_TAKE = 200
LINES = 60
BATCH = 500
REPEATS = 5


def say(line: str) -> None:
    """One line of the answer."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def template(name: str, folder: Path) -> tuple[TakeFile, int]:
    """A real take of a line, and how many notes a pass has."""
    exercise = load_exercise(name)
    passes = -(-NOTES_A_TAKE // len(exercise.notes))
    header = TakeHeader(
        "boxwalk 0.1.0", DATE, name, exercise_to_dict(exercise), "click", Fraction(90), 2_000_000_000, passes
    )
    writer = TakeWriter(folder / f"{name}.mid", header)
    for message in played(exercise.repeated(passes)):
        writer.keep(message._replace(stamp_ns=message.stamp_ns // 20_000 * 20_000))
    writer.close()
    assert writer.path is not None
    return take_file_of(name, writer.path.read_bytes()), len(exercise.notes)


def drawn(rng: Random, length: int, passes: int) -> JudgedTake:
    """Verdicts by chance: 92 % in time, the rest of every kind."""
    count = length * passes
    letters = "".join(rng.choices(".<>psx", (92, 2, 2, 1, 1, 2), k=count))
    techniques = "".join(rng.choices("pphls?PL", k=count)) if rng.random() < 0.5 else "p" * count
    notes = np.zeros(count, dtype=list(NOTE_FIELDS))
    notes["heard"] = np.arange(count)
    notes["at_ns"] = np.arange(count) * 166_666_667
    notes["deviation_ns"] = np.array([round(rng.gauss(0, 12e6)) for _ in range(count)])
    return JudgedTake(
        ear=ear_of(Tolerance()),
        passes=tuple(
            JudgedPass(n, letters[n * length : (n + 1) * length], techniques[n * length : (n + 1) * length])
            for n in range(passes)
        ),
        notes=notes.tobytes(),
        extras=packed(EXTRA, ((n, n * 10**9, True) for n in range(rng.randrange(3)))),
        jumps=b"",
        earlier="[]",
    )


def fill(history: History, count: int, rng: Random, lines: int = LINES) -> None:
    """Draw the takes, six to a day of practice."""
    history.takes_folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        templates = [template(name, Path(folder)) for name in exercise_names()[:lines]]
    a_day = 6
    for first in range(0, count, BATCH):
        with transaction(history.connection):
            for number in range(first, min(first + BATCH, count)):
                kept, length = rng.choice(templates)
                day, place = divmod(number, a_day)
                when = (FIRST_DAY + timedelta(days=day, minutes=place * 4 + 6 * (place > 2))).isoformat()
                data = kept.data.replace(DATE.encode(), when.encode())
                name = f"{when[:19].replace(':', '-').replace('T', '_')}_line.mid"
                with (history.takes_folder / name).open("wb") as file:
                    os.truncate(file.fileno(), len(data))
                history._add(take_file_of(name, data), drawn(rng, length, kept.header.passes))


def timed(what: str, act: Callable[[], Any]) -> None:
    """Print how long some calls took by the clock, and what the cheapest cost the processor."""
    spent, costs = [], []
    for _ in range(REPEATS):
        began, busy = time.perf_counter(), time.process_time()
        act()
        spent.append(time.perf_counter() - began)
        costs.append(time.process_time() - busy)
    say(f"| {what} | {1e3 * spent[0]:.0f} | {1e3 * sorted(spent)[REPEATS // 2]:.0f} | {1e3 * min(costs):.0f} |")


def all_deviations(history: History) -> int:
    """Every deviation of ten years as one array: what pictures over all time are made of."""
    blobs = b"".join(row[0] for row in history.connection.execute("SELECT notes FROM judgements"))
    return int(np.median(np.frombuffer(blobs, list(NOTE_FIELDS))["deviation_ns"]))


def measure(path: Path, folder: Path) -> None:
    """Open and look."""
    say("| what | first ms | middle ms | processor ms |")
    say("| --- | --- | --- | --- |")
    timed("open", lambda: History.open(path, folder).close())

    def open_and_look_for_new() -> None:
        with History.open(path, folder) as history:
            assert missing_files(history) == ()

    timed("open, and look for files that are not in it", open_and_look_for_new)
    with History.open(path, folder) as history:
        name = lines(history)[0].name
        year = Asked(since="2020-01-01", until="2020-12-31")
        for what, act in {
            "by day": lambda: days(history),
            "by day, one year": lambda: days(history, year),
            "by line": lambda: lines(history),
            "by line, one word": lambda: lines(history, Asked(words=(name,))),
            "the last 100 takes": lambda: takes(history),
            "breaks": lambda: breaks(history),
            "verdicts counted": lambda: verdict_counts(history),
            "lines ever played": history.played_names,
            "20 passes of a line, note by note": lambda: passes_of(history, name),
            "1000 passes of a line, note by note": lambda: passes_of(history, name, last=1000),
            "all deviations as one array": lambda: all_deviations(history),
        }.items():
            timed(what, act)


def compare_rows(path: Path) -> None:
    """The form that was not chosen: a row a note."""
    other = path.with_name("rows.db")
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(other)) as rows:
        rows.execute("PRAGMA cache_size = -65536")
        rows.execute(
            "CREATE TABLE notes (take_id INTEGER, place INTEGER, outcome TEXT, technique TEXT, heard INTEGER,"
            " at_ns INTEGER, deviation_ns INTEGER, PRIMARY KEY (take_id, place)) STRICT, WITHOUT ROWID"
        )
        for take_id, notes in source.execute("SELECT take_id, notes FROM judgements ORDER BY take_id"):
            words = source.execute(
                "SELECT outcomes, techniques FROM passes WHERE take_id = ? ORDER BY number", (take_id,)
            ).fetchall()
            told = zip("".join(w[0] for w in words), "".join(w[1] for w in words), NOTE.iter_unpack(notes), strict=True)
            rows.executemany(
                "INSERT INTO notes VALUES (?, ?, ?, ?, ?, ?, ?)",
                ((take_id, place, o, t, *record) for place, (o, t, record) in enumerate(told)),
            )
        rows.commit()
        timed(
            "a row a note: verdicts counted",
            lambda: rows.execute("SELECT outcome, count(*) FROM notes GROUP BY outcome").fetchall(),
        )
        timed("a row a note: all deviations", lambda: rows.execute("SELECT sum(deviation_ns) FROM notes").fetchall())
        say(f"a row a note: {other.stat().st_size / 1e6:.0f} MB for the verdicts alone")


def main() -> None:
    """Draw, open, look."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--takes", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rows", action="store_true")
    parser.add_argument("--keep", type=Path, help="Make it here, or use what is here already.")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = (options.keep or Path(temporary)) / "takes"
        path = history_path(folder)
        if not path.exists():
            began = time.perf_counter()
            with History.open(path, folder) as history:
                fill(history, options.takes, Random(options.seed))
            say(f"{options.takes} takes drawn in {time.perf_counter() - began:.0f} s")
        with closing(sqlite3.connect(path)) as connection:
            notes = connection.execute("SELECT sum(length(outcomes)) FROM passes").fetchone()[0]
            say(f"{notes} notes, {path.stat().st_size / 1e6:.0f} MB")
        measure(path, folder)
        if options.rows:
            compare_rows(path)


if __name__ == "__main__":
    main()
