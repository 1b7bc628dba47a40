"""Finding a pupil and an exercise in the tables by what is typed."""

from collections.abc import Sequence

from trainer.homework.answering import Row
from trainer.homework.collecting import PupilRows, Table
from trainer.homework.errors import HomeworkError
from trainer.theory.naming import UnknownWord


def row_named(tables: Sequence[Table], pupil: str, exercise: str) -> tuple[PupilRows, Row]:
    """The row of a pupil and an exercise, of the newest homework that has both; `HomeworkError` with the nearest."""
    everyone = [rows for table in tables for rows in table.pupils]
    theirs = [rows for rows in everyone if rows.pupil.casefold() == pupil.casefold()]
    if not theirs:
        raise HomeworkError(str(UnknownWord(pupil, "a pupil in the table", [rows.pupil for rows in everyone])))
    for rows in theirs:
        for row in rows.rows:
            if row.task.exercise.name.casefold() == exercise.casefold():
                return rows, row
    names = [row.task.exercise.name for rows in theirs for row in rows.rows]
    raise HomeworkError(str(UnknownWord(exercise, "an exercise of this homework", names)))
