"""What goes into the history and comes out of it again, take by take.

A `History` is one connection, to be used by the thread that opened it. Each change is one short transaction.
"""

import hashlib
import json
import sqlite3
import zlib
from dataclasses import asdict, dataclass
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

from trainer.history.errors import HistoryError
from trainer.history.judged import Changed, Ear, JudgedPass, JudgedTake, exercise_hash, exercise_text
from trainer.history.opening import (
    BUSY_S,
    Connect,
    errors_in_words,
    facts_in_words,
    open_history,
    open_to_read,
    transaction,
)
from trainer.history.pass_facts import facts_of_passes, kept_window_ns
from trainer.playing.take import Take, TakeError, TakeHeader, take_in
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict

SIMULATED_PLAYER = "simulated"
"""Whose the takes are that nobody's hands played, unless a name was given."""


class ForeignTakeError(TakeError):
    """A MIDI file that this program did not record."""


@dataclass(frozen=True, slots=True)
class TakeFile:
    """A take as its file holds it."""

    name: str
    """In the folder of takes; a whole path elsewhere."""
    data: bytes
    take: Take
    header: TakeHeader

    @property
    def player(self) -> str:
        """Whose take it is."""
        if self.header.player or self.header.seed is None:
            return self.header.player
        return SIMULATED_PLAYER


def take_file(path: Path, takes_folder: Path) -> TakeFile:
    """Read a take file; `TakeError` when it is not one of ours."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise TakeError(f"{path}: {error.strerror or error}") from error
    name = path.name if path.parent == takes_folder else str(path)
    return take_file_of(name, data)


def take_file_of(name: str, data: bytes) -> TakeFile:
    """The same of bytes that have been read."""
    try:
        take = take_in(data)
    except TakeError as error:
        raise TakeError(f"{name}: {error}") from error
    if take.header is None:
        raise ForeignTakeError(f"{name}: it does not say what was played")
    try:
        datetime.fromisoformat(take.header.date)
    except ValueError:
        raise TakeError(f"{name}: {take.header.date!r} is no date") from None
    return TakeFile(name, data, take, take.header)


class History:
    """The takes, with all that is known of them; `HistoryError` from any method when the file cannot be used."""

    def __init__(self, connection: sqlite3.Connection, path: Path, takes_folder: Path) -> None:
        self.connection = connection
        self.path = path
        self.takes_folder = takes_folder

    @classmethod
    def open(
        cls, path: Path, takes_folder: Path, *, busy_s: float = BUSY_S, connect: Connect = sqlite3.connect
    ) -> Self:
        """The history at `path`, made when it is not there."""
        return cls(open_history(path, busy_s=busy_s, connect=connect), path, takes_folder)

    @classmethod
    def read(cls, path: Path, takes_folder: Path) -> Self:
        """The history at `path`, which cannot be written."""
        return cls(open_to_read(path), path, takes_folder)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self.connection.close()

    def known_files(self) -> dict[str, int]:
        """The take files that are in it, and the bytes that each had."""
        with errors_in_words(self.path):
            return dict(self.connection.execute("SELECT file, size_bytes FROM takes"))

    def add(self, kept: TakeFile, judged: JudgedTake) -> None:
        """Take a take in; one that is in already under its file's name is replaced when the file is another now."""
        with errors_in_words(self.path), transaction(self.connection):
            self._add(kept, judged)

    def judge_again(self, take_id: int, judged: JudgedTake, changed: Changed) -> None:
        """Let another ear's verdicts on a take count, and keep what changed; within the caller's transaction."""
        self.connection.execute(
            "INSERT OR REPLACE INTO changes SELECT take_id, ?, ear_id, ?, ?, ? FROM judgements WHERE take_id = ?",
            (
                self._id("ears", **asdict(judged.ear)),
                json.dumps(changed.outcomes),
                json.dumps(changed.techniques),
                changed.moved,
                take_id,
            ),
        )
        self.connection.execute("DELETE FROM judgements WHERE take_id = ?", (take_id,))
        self.connection.execute("DELETE FROM passes WHERE take_id = ?", (take_id,))
        self._put_judgement(take_id, judged)

    def file_of(self, take_id: int) -> TakeFile:
        """A take as its file holds it."""
        return take_file_of(*self.file_bytes(take_id))

    def file_bytes(self, take_id: int) -> tuple[str, bytes]:
        """The name and the bytes of a take's file."""
        with errors_in_words(self.path):
            row = self.connection.execute(
                "SELECT takes.file, streams.file FROM takes JOIN streams ON take_id = takes.id WHERE takes.id = ?",
                (take_id,),
            ).fetchone()
        if row is None:
            raise HistoryError(f"There is no take {take_id} in the history {self.path}.")
        with facts_in_words(self.path):
            return row[0], zlib.decompress(row[1])

    def judged(self, take_id: int) -> JudgedTake:
        """What was said of a take."""
        with errors_in_words(self.path):
            row = self.connection.execute(
                "SELECT program, fingerprint, tolerance, notes, extras, jumps, earlier FROM judgements"
                " JOIN ears ON ears.id = ear_id WHERE take_id = ?",
                (take_id,),
            ).fetchone()
            passes = self.connection.execute(
                "SELECT number, outcomes, techniques FROM passes WHERE take_id = ? ORDER BY number", (take_id,)
            ).fetchall()
        if row is None:
            raise HistoryError(f"There is no take {take_id} in the history {self.path}.")
        program, fingerprint, tolerance, notes, extras, jumps, earlier = row
        return JudgedTake(
            Ear(program, fingerprint, tolerance),
            tuple(JudgedPass(*one) for one in passes),
            notes,
            extras,
            jumps,
            earlier,
        )

    def exercise(self, address: str) -> Exercise:
        """The line with this hash, as it was when played."""
        with errors_in_words(self.path):
            row = self.connection.execute("SELECT serial FROM exercises WHERE hash = ?", (address,)).fetchone()
        if row is None:
            raise HistoryError(f"There is no line {address} in the history {self.path}.")
        with facts_in_words(self.path):
            return exercise_from_dict(json.loads(zlib.decompress(row[0])))

    def latest_exercise(self, name: str) -> Exercise | None:
        """The line called `name` as it was when it was last played whole; None when it never was."""
        with errors_in_words(self.path):
            row = self.connection.execute(
                "SELECT hash FROM takes JOIN exercises ON exercises.id = exercise_id"
                " WHERE name = ? AND first_note IS NULL ORDER BY began_s DESC LIMIT 1",
                (name,),
            ).fetchone()
        return None if row is None else self.exercise(row[0])

    def take_ids(self, player: str | None = None) -> tuple[int, ...]:
        """All takes, or one player's, the oldest first."""
        with errors_in_words(self.path):
            found = self.connection.execute(
                "SELECT takes.id FROM takes JOIN players ON players.id = player_id"
                " WHERE ?1 IS NULL OR players.name = ?1 ORDER BY began_s, takes.id",
                (player,),
            )
            return tuple(row[0] for row in found)

    def players(self) -> dict[str, int]:
        """Who has played, and in how many takes."""
        with errors_in_words(self.path):
            return dict(
                self.connection.execute(
                    "SELECT name, count(*) FROM takes JOIN players ON players.id = player_id GROUP BY name"
                )
            )

    def played_names(self, player: str | None = None) -> frozenset[str]:
        """The names of all lines that were ever played, by one player or by anybody."""
        with errors_in_words(self.path):
            return frozenset(
                row[0]
                for row in self.connection.execute(
                    "SELECT DISTINCT name FROM exercises WHERE id IN (SELECT exercise_id FROM takes"
                    " WHERE ?1 IS NULL OR player_id = (SELECT id FROM players WHERE name = ?1))",
                    (player,),
                )
            )

    def names_by_hand(self) -> frozenset[str]:
        """The names of all lines that anybody but the simulated player ever played."""
        with errors_in_words(self.path):
            return frozenset(
                row[0]
                for row in self.connection.execute(
                    "SELECT DISTINCT name FROM takes JOIN exercises ON exercises.id = exercise_id WHERE seed IS NULL"
                )
            )

    def _add(self, kept: TakeFile, judged: JudgedTake) -> None:
        digest = hashlib.sha256(kept.data).digest()
        run = self.connection.execute
        if run("SELECT 1 FROM takes WHERE digest = ?", (digest,)).fetchone():
            # The same take under another name: a file that was renamed, or copied.
            run("UPDATE OR IGNORE takes SET file = ? WHERE digest = ?", (kept.name, digest))
            return
        run("DELETE FROM takes WHERE file = ?", (kept.name,))
        header = kept.header
        tempo = Fraction(header.quarters_per_minute)
        values = (
            kept.name,
            digest,
            len(kept.data),
            self._id("players", name=kept.player),
            self._id("devices", name=header.input, profile=json.dumps(asdict(header.profile), sort_keys=True)),
            self.exercise_id(exercise_from_dict(header.exercise)),
            header.date,
            kept.take.ends_at_ns,
            header.pace,
            tempo.numerator,
            tempo.denominator,
            header.starts_at_ns,
            header.passes,
            header.first_note,
            header.last_note,
            header.seed,
            header.program,
        )
        take_id = run(
            "INSERT INTO takes (file, digest, size_bytes, player_id, device_id, exercise_id, began, ends_at_ns, pace,"
            " tempo_numerator, tempo_denominator, starts_at_ns, passes, first_note, last_note, seed, program)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id",
            values,
        ).fetchone()[0]
        run("INSERT INTO streams VALUES (?, ?)", (take_id, zlib.compress(kept.data)))
        self._put_judgement(take_id, judged)

    def _put_judgement(self, take_id: int, judged: JudgedTake) -> None:
        ear_id = self._id("ears", **asdict(judged.ear))
        self.connection.execute(
            "INSERT INTO judgements VALUES (?, ?, ?, ?, ?, ?)",
            (take_id, ear_id, judged.notes, judged.extras, judged.jumps, judged.earlier),
        )
        serial, numerator, denominator = self.connection.execute(
            "SELECT serial, tempo_numerator, tempo_denominator FROM takes"
            " JOIN exercises ON exercises.id = exercise_id WHERE takes.id = ?",
            (take_id,),
        ).fetchone()
        window_ns = kept_window_ns(serial, numerator, denominator, judged.ear.tolerance)
        facts = facts_of_passes(judged.notes, judged.extras, [one.outcomes for one in judged.passes])
        self.connection.executemany(
            "INSERT INTO passes (take_id, number, outcomes, techniques, extra, spread_ns, window_ns)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)",
            [
                (take_id, one.number, one.outcomes, one.techniques, fact.extra, fact.spread_ns, window_ns)
                for one, fact in zip(judged.passes, facts, strict=True)
            ],
        )

    def player_id(self, name: str) -> int:
        """The row of a player, made when there is none; within the caller's transaction."""
        return self._id("players", name=name)

    def exercise_id(self, exercise: Exercise) -> int:
        """The row of a line as it is, made when there is none; within the caller's transaction."""
        return self._id(
            "exercises",
            "hash",
            hash=exercise_hash(exercise),
            name=exercise.name,
            title=exercise.title,
            note_count=len(exercise.notes),
            serial=zlib.compress(exercise_text(exercise).encode(), 9),
        )

    def _id(self, table: str, *known_by: str, **fields: object) -> int:
        """The row of a table with these fields, made when it is not there; `known_by`: those that tell rows apart."""
        keys = known_by or tuple(fields)
        # The names of tables and fields are our own; nothing from outside stands in these statements.
        condition = " AND ".join(f"{key} = ?" for key in keys)
        find = f"SELECT id FROM {table} WHERE {condition}"  # noqa: S608 - see above
        row = self.connection.execute(find, [fields[key] for key in keys]).fetchone()
        if row is None:
            marks = ", ".join("?" * len(fields))
            make = f"INSERT INTO {table} ({', '.join(fields)}) VALUES ({marks}) RETURNING id"  # noqa: S608 - see above
            row = self.connection.execute(make, list(fields.values())).fetchone()
        return int(row[0])
