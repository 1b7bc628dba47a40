"""Finding a pupil and an exercise in the tables by what is typed, and a take to be shown again."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

from trainer.following.tolerance import Tolerance
from trainer.homework.answering import Row
from trainer.homework.collecting import PupilRows, Table
from trainer.homework.errors import HomeworkError
from trainer.homework.line import line_in
from trainer.homework.measuring import MeasuredTake
from trainer.homework.returned import take_digest
from trainer.playing.take import Take, TakeHeader, take_in
from trainer.score.exercise import Exercise
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


@dataclass(frozen=True, slots=True)
class Kept:
    """A take to be shown again, as it is judged here."""

    take: Take
    header: TakeHeader
    line: Exercise
    note: str = ""
    """What was noted about it."""


def best_take(row: Row) -> MeasuredTake:
    """The last take with a clean pass at the fastest tempo that has one, or else the last one."""
    if row.fastest is None:
        return row.takes[-1]
    at_best = [take for take in row.takes if take.quarters_per_minute == row.fastest.qpm and True in take.clean]
    return at_best[-1]


def kept_take(rows: PupilRows, wanted: MeasuredTake) -> Kept:
    """A take out of a returned file; `HomeworkError` or `TakeError` when it cannot be shown."""
    data = next(data for data in rows.returned.takes if take_digest(data) == wanted.digest)
    take = take_in(data)
    if take.header is None:
        raise HomeworkError("the take does not say what was played")
    header = replace(take.header, tolerance=asdict(Tolerance()), input=f"the machine of {rows.pupil}")
    note = rows.returned.notes.get(wanted.digest, "")
    return Kept(replace(take, header=header), header, line_in(header.exercise), note)
