"""A short line, homework of it, and takes of it, made without a window or a device."""

import tempfile
from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path

from tests.builders import played
from tests.history.builders import NOON, plan_of
from trainer.devices.recording import TakeWriter, quantised, take_path
from trainer.homework.assignment import Assignment, Task
from trainer.homework.measuring import MeasuredTake, figures_of, measured
from trainer.homework.returned import Returned
from trainer.playing.take import TakeHeader
from trainer.score.exercise import Exercise
from trainer.score.one_line import exercise_from_line
from trainer.score.serial import exercise_to_dict
from trainer.score.tempo import Tempo

LINE = replace(
    exercise_from_line("A minor pentatonic, strings 1-3, positions 1, threes up, eighths"),
    name="ridge-steps",
    tempo=Tempo(Fraction(90)),
)
OTHER = replace(
    exercise_from_line("A minor pentatonic, strings 1-2, positions 2, threes down, eighths"),
    name="two-ledges",
    tempo=Tempo(Fraction(80)),
)
IDENTITY = "0123456789ab"


def assignment_of(*lines: Exercise, **changes: object) -> Assignment:
    """Homework of some lines, `LINE` unless told otherwise: two clean passes at 100."""
    tasks = tuple(Task(line, Fraction(100), 2) for line in lines or (LINE,))
    plain = Assignment(IDENTITY, 1, "Week 12", "Zoë", (), "", "2026-03-10T10:00:00+01:00", tasks)
    return replace(plain, **changes)  # type: ignore[arg-type]  # fields by their names


def keep_take(
    folder: Path,
    line: Exercise = LINE,
    *,
    tempo: int = 100,
    passes: int = 2,
    asked_passes: int | None = None,
    faults: str = "",
    when: datetime = NOON,
    **header: object,
) -> Path:
    """Keep a take of a line, played exactly but for `faults`; `header`: its fields, as the file says them."""
    plan = plan_of(line, passes=passes, tempo=tempo)
    told = TakeHeader(
        program="boxwalk",
        date=when.isoformat(timespec="seconds"),
        exercise_name=line.name,
        exercise=exercise_to_dict(line),
        pace="click",
        quarters_per_minute=plan.tempo.quarters_per_minute,
        starts_at_ns=plan.count_in_ns,
        passes=passes if asked_passes is None else asked_passes,
    )
    told = replace(told, **header)  # type: ignore[arg-type]  # fields by their names
    writer = TakeWriter(take_path(folder, when, line.name), told)
    as_played = replace(line.repeated(passes), tempo=plan.tempo)
    for message in played(as_played, faults, starts_at_ns=plan.count_in_ns):
        writer.keep(message._replace(stamp_ns=quantised(message.stamp_ns)))
    writer.tick(plan.count_in_ns + plan.tempo.ns(as_played.length_quarters))
    writer.close()
    assert writer.path is not None
    return writer.path


def take_of(line: Exercise = LINE, *, days: int = 0, **given: object) -> bytes:
    """The bytes of such a take, `days` after the first."""
    with tempfile.TemporaryDirectory() as folder:
        return keep_take(Path(folder), line, when=NOON + timedelta(days=days), **given).read_bytes()  # type: ignore[arg-type]  # as above


def measured_take(line: Exercise, data: bytes) -> MeasuredTake:
    """What a take that counts comes to."""
    found = measured(lines_of(assignment_of(line)), data)
    assert isinstance(found, MeasuredTake)
    return found


def lines_of(assignment: Assignment) -> dict[str, Exercise]:
    """Its lines by their digests."""
    return {task.digest: task.exercise for task in assignment.tasks}


def returned_of(
    *takes: bytes,
    pupil: str = "Ana",
    tag: str = "00000001",
    made: str = "2026-03-20T18:00:00+01:00",
    assignment: Assignment | None = None,
    ear: str = "ear",
) -> Returned:
    """What a pupil gives back, with honest figures."""
    assignment = assignment or assignment_of()
    found = [measured(lines_of(assignment), take) for take in takes]
    figures = tuple(
        figures_of(task.digest, [one for one in found if isinstance(one, MeasuredTake) and one.line == task.digest])
        for task in assignment.tasks
    )
    from trainer.homework.assignment import text_of

    return Returned(assignment, text_of(assignment).encode(), pupil, tag, made, ear, figures, takes)
