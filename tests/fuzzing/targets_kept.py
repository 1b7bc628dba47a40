"""Targets: what is kept and handed on. Homework, the history, what is remembered."""

import sqlite3
from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import replace
from datetime import timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.builders import line
from tests.fuzzing.bending import ODD_VALUES, Edit, bent_bytes, bent_json, chosen
from tests.fuzzing.reading import encoded, used
from tests.fuzzing.targets_played import bent_take, takes
from tests.history.builders import NOON, record
from tests.homework.builders import LINE, assignment_of, lines_of, returned_of, take_of
from trainer.coaching.plan import Day
from trainer.coaching.planning import planned
from trainer.devices.remembered import KeptDay, LastChoices, Memory, SetUp
from trainer.history import figures
from trainer.history.exporting import export
from trainer.history.gathering import gather, missing_files
from trainer.history.rejudging import changes_by_today
from trainer.history.store import History
from trainer.homework.assignment import assignment_bytes, assignment_in
from trainer.homework.container import packed, unpacked
from trainer.homework.errors import HomeworkError
from trainer.homework.measuring import MeasuredTake, Unused, measured
from trainer.homework.returned import returned_bytes, returned_in
from trainer.playing.profile import PickupProfile
from trainer.playing.take import TakeError
from trainer.progress.gathering import facts_of, known_of
from trainer.run import RunPlan

TODAY = NOON.date()


# Homework, both ways.


@cache
def homework() -> tuple[bytes, ...]:
    """An assignment and what came back."""
    short = replace(LINE.excerpt(0, 9), name="ridge-steps")
    given = assignment_of(short)
    return assignment_bytes(given), returned_bytes(returned_of(take_of(short, passes=1), assignment=given))


def bent_homework(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """The archive's bytes, a member's JSON, or a member's take."""
    try:
        members = unpacked(data)
    except HomeworkError:
        return bent_bytes(data, edit, seeds)
    if edit.kind % 5 == 0:
        return bent_bytes(data, edit._replace(kind=edit.kind // 5), seeds)
    name = chosen(edit.where, sorted(members))
    member, inner = members[name], edit._replace(kind=edit.kind // 5)
    if name.endswith(".json"):
        members[name] = encoded(bent_json(member.decode("utf-8", "replace"), inner, ["{}"]))
    else:
        members[name] = bent_take(member, inner, takes())
    return packed(members)


def take_home(data: bytes, _folder: Path) -> None:
    """Opened by a pupil or collected by a teacher; its takes are measured or do not count."""
    try:
        assignment = assignment_in(data)
        for task in assignment.tasks:
            used(task.exercise)
    except HomeworkError:
        returned = returned_in(data)
        for take in returned.takes:
            assert isinstance(measured(lines_of(returned.assignment), take), MeasuredTake | Unused)


# The history, page by page and cell by cell; and what is remembered.


@cache
def histories() -> tuple[bytes, ...]:
    """A history with two takes, as one file."""
    with TemporaryDirectory() as place:
        folder = Path(place)
        short = RunPlan(line().excerpt(0, 9), line().tempo, passes=2)
        record(folder, short, "miss 3, string 5")
        with History.open(folder / "history.db", folder / "takes") as history:
            gather(history, missing_files(history))
            history.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            history.connection.execute("PRAGMA journal_mode = DELETE")
        return ((folder / "history.db").read_bytes(),)


def bent_history(data: bytes, edit: Edit, seeds: Sequence[bytes]) -> bytes:
    """A byte of a page, or a cell of a table."""
    if edit.kind % 3 == 0 or not data:
        return bent_bytes(data, edit._replace(kind=edit.kind // 3), seeds)
    with closing(sqlite3.connect(":memory:")) as connection, suppress(sqlite3.Error, OverflowError):
        connection.deserialize(data)
        tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        table = chosen(edit.where, tables)
        columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
        column = chosen(edit.what, columns)
        (before,) = connection.execute(f"SELECT {column} FROM {table} LIMIT 1").fetchone() or (b"",)  # noqa: S608 - our own names
        value = _odd_cell(before, edit)
        mark = "CAST(? AS TEXT)" if isinstance(value, str) else "?"
        value = encoded(value) if isinstance(value, str) else value  # also what is no UTF-8
        change = f"UPDATE {table} SET {column} = {mark} WHERE rowid IN (SELECT min(rowid) FROM {table})"  # noqa: S608 - our own names
        connection.execute(change, (value,))
        connection.commit()
        return connection.serialize()
    return bent_bytes(data, edit, seeds)


def _odd_cell(before: object, edit: Edit) -> object:
    match before:
        case bytes():
            return bent_bytes(before, edit._replace(kind=edit.kind // 3), [b""])
        case str() if edit.what % 2:
            return bent_json(before, edit._replace(kind=edit.kind // 3), [""])
        case int() if edit.what % 2:
            return before + edit.what % 9 - 4
        case _:
            odd = chosen(edit.what, ODD_VALUES)
            return odd if isinstance(odd, int | float | str) and odd != 10**40 else None


def look_through(data: bytes, folder: Path) -> None:
    """Everything that the program asks of a history."""
    path = folder / "history.db"
    path.write_bytes(data)
    with History.open(path, folder / "takes", busy_s=0.0) as history:
        figures.days(history)
        figures.lines(history)
        figures.takes(history)
        figures.breaks(history)
        figures.verdict_counts(history)
        for take_id in history.take_ids():
            history.judged(take_id)
            with suppress(TakeError):
                history.file_of(take_id)
        facts_of(history, "", TODAY - timedelta(days=9), TODAY)
        known_of(history, "", TODAY)
        changes_by_today(history)
        export(history, folder / "out")


@cache
def memories() -> tuple[str, ...]:
    """What is remembered of two devices and of the last choices."""
    with TemporaryDirectory() as place:
        memory = Memory(Path(place) / "remembered.json")
        memory.keep_device("Pickup", SetUp(PickupProfile(latency_ns=9_000_000), "2026-03-14", {"strings": ("Six.",)}))
        memory.keep_choices(LastChoices("Pickup", "two-gates", "free", 3, "187/2"))
        memory.keep_day(KeptDay("2026-03-14", Day(planned(15, [line()]), 15, "", (1,))))
        return (memory.path.read_text(encoding="utf-8"),)


def remember(text: str, folder: Path) -> None:
    """What is read at every start: nothing may be raised."""
    path = folder / "remembered.json"
    path.write_bytes(encoded(text))
    memory = Memory(path)
    memory.keep_choices(LastChoices("Other"))
    assert Memory(path).choices.input_name == "Other"
