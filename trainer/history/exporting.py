"""Everything as files that any program reads: tables as CSV, takes as MIDI files, lines as JSON.

Conventions: CSV with a line of names first, UTF-8, a point in fractions; empty: not known. Times are whole ns from the
start of the take, tempi exact fractions of quarters a minute. `index` counts the notes of one pass.
"""

import csv
import json
import re
import zlib
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from pathlib import Path, PureWindowsPath
from typing import Any

from trainer.history import letters
from trainer.history.opening import facts_in_words
from trainer.history.packing import EXTRA, JUMP, NO_DEVIATION, NOTE
from trainer.history.store import History
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict

OUTCOMES = {
    letters.WITHIN: "matched",
    letters.EARLY: "matched early",
    letters.LATE: "matched late",
    letters.PITCH: "wrong pitch",
    letters.STRING: "wrong string",
    letters.MISSED: "missed",
    letters.OPEN: "open",
}
TAKE_FIELDS = (
    *("take", "file", "player", "exercise", "name", "began", "ends_at_ns", "pace", "quarters_per_minute"),
    *("starts_at_ns", "passes", "first_note", "last_note", "seed", "device", "profile", "program"),
    *("judged_by", "fingerprint", "tolerance"),
)
PASS_FIELDS = ("take", "pass", "outcomes", "techniques")
NOTE_FIELDS = (
    *("take", "pass", "index", "string", "fret", "pitch", "technique_written", "outcome", "heard", "at_ns"),
    *("deviation_ns", "technique_result", "technique_played"),
)
EXTRA_FIELDS = ("take", "heard", "at_ns", "charged")
_LONGEST_NAME_BYTES = 200
"""Systems allow 255, some file systems a few less."""
_HASH = re.compile(r"[0-9a-f]{64}")
JUMP_FIELDS = ("take", "heard", "from", "to")
TEMPO_FIELDS = (
    *("player", "exercise", "name", "ended", "quarters_per_minute", "low", "high", "notes_a_second", "articulation"),
    *("procedure", "drift", "passes", "program"),
)
_TEMPI = """
    SELECT players.name, hash, exercises.name, ended, qpm, low_qpm, high_qpm, notes_a_second, articulation, procedure,
        drift, passes, program
    FROM tempo_runs JOIN players ON players.id = player_id JOIN exercises ON exercises.id = exercise_id
    WHERE ?1 IS NULL OR players.name = ?1
    ORDER BY unixepoch(ended), tempo_runs.id"""
_TAKES = """
    SELECT takes.id, file, players.name, hash, exercises.name, began, ends_at_ns, pace,
        tempo_numerator || CASE tempo_denominator WHEN 1 THEN '' ELSE '/' || tempo_denominator END,
        starts_at_ns, takes.passes, first_note, last_note, seed, devices.name, profile, takes.program,
        ears.program, fingerprint, tolerance
    FROM takes
        JOIN players ON players.id = player_id
        JOIN exercises ON exercises.id = exercise_id
        JOIN devices ON devices.id = device_id
        JOIN judgements ON take_id = takes.id
        JOIN ears ON ears.id = ear_id
    WHERE ?1 IS NULL OR players.name = ?1
    ORDER BY began_s, takes.id"""


def export(
    history: History, folder: Path, player: str | None = None, told: Callable[[], None] = lambda: None
) -> tuple[Path, ...]:
    """Write everything, or all of one player, into a folder, and say which tables; `OSError` when that fails."""
    for name in ("takes", "exercises"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    with facts_in_words(history.path):
        takes = history.connection.execute(_TAKES, (player,)).fetchall()
        lines = dict(_lines(history, {row[3] for row in takes}, folder / "exercises"))
        _table(folder / "takes.csv", TAKE_FIELDS, takes)
        _table(folder / "tempi.csv", TEMPO_FIELDS, history.connection.execute(_TEMPI, (player,)))
        with (
            (folder / "passes.csv").open("w", newline="", encoding="utf-8") as passes,
            (folder / "notes.csv").open("w", newline="", encoding="utf-8") as notes,
            (folder / "extras.csv").open("w", newline="", encoding="utf-8") as extras,
            (folder / "jumps.csv").open("w", newline="", encoding="utf-8") as jumps,
        ):
            tables = [csv.writer(file) for file in (passes, notes, extras, jumps)]
            for table, heading in zip(tables, (PASS_FIELDS, NOTE_FIELDS, EXTRA_FIELDS, JUMP_FIELDS), strict=True):
                table.writerow(heading)
            for row in takes:
                take_id, file = row[0], row[1]
                (folder / "takes" / _file_name(take_id, file)).write_bytes(history.file_bytes(take_id)[1])
                judged = history.judged(take_id)
                tables[0].writerows((take_id, one.number, one.outcomes, one.techniques) for one in judged.passes)
                tables[1].writerows(_notes(take_id, judged.passes, judged.notes, lines[row[3]]))
                tables[2].writerows((take_id, *extra) for extra in EXTRA.iter_unpack(judged.extras))
                tables[3].writerows((take_id, *jump) for jump in JUMP.iter_unpack(judged.jumps))
                told()
    return tuple(folder / f"{name}.csv" for name in ("takes", "passes", "notes", "extras", "jumps", "tempi"))


def _file_name(take_id: int, file: str) -> str:
    """What the file of a take was called, if it can be called that here too."""
    name = PureWindowsPath(file).name  # the last part after a slash of either kind
    is_usual = name.endswith(".mid") and name.isprintable() and len(name.encode()) <= _LONGEST_NAME_BYTES
    return name if is_usual else f"take-{take_id}.mid"


def _notes(take_id: int, passes: Iterable[Any], packed: bytes, line: Exercise) -> Iterator[tuple[Any, ...]]:
    records = NOTE.iter_unpack(packed)
    for one in passes:
        rows = zip(line.notes, one.outcomes, one.techniques, islice(records, len(one.outcomes)), strict=True)
        for index, (note, outcome, technique, (heard, at_ns, deviation_ns)) in enumerate(rows):
            is_open = outcome == letters.OPEN
            result, told = letters.TECHNIQUES_BY_LETTER.get(technique, (None, None))
            yield (
                take_id,
                one.number,
                index,
                note.course,
                note.fret,
                note.pitch,
                note.technique.value,
                OUTCOMES[outcome],
                "" if is_open else heard,
                "" if is_open else at_ns,
                "" if deviation_ns == NO_DEVIATION else deviation_ns,
                "" if result is None else result.value,
                "" if told is None else told.value,
            )


def _lines(history: History, hashes: set[str], folder: Path) -> Iterator[tuple[str, Exercise]]:
    """Each line, which is written as JSON under its hash."""
    for address, serial in history.connection.execute("SELECT hash, serial FROM exercises"):
        if address in hashes:
            if not _HASH.fullmatch(address):  # a file is called by it
                raise ValueError(f"{address!r:.40} is no hash of a line")
            text = zlib.decompress(serial).decode()
            (folder / f"{address}.json").write_text(text, encoding="utf-8")
            yield address, exercise_from_dict(json.loads(text))


def _table(path: Path, heading: tuple[str, ...], rows: Iterable[Iterable[Any]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file)
        table.writerow(heading)
        table.writerows(rows)
