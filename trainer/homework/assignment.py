"""What a teacher asks for, and the file that it goes out in.

An assignment has an `identity` for good and an `edition` that counts up each time the teacher changes it. Its exercises
are in the file whole, each with its digest: a file whose exercise was changed without its digest is refused. (Whoever
changes both is not noticed by the pupil's program; the teacher's keeps what it sent.)

Conventions: a target is in quarters a minute, exact. Texts are shown through `wording.shown`.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Annotated, Any, Self, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from trainer.homework.container import ASSIGNMENT, packed, unpacked
from trainer.homework.errors import HomeworkError
from trainer.homework.line import line_digest, line_in
from trainer.homework.wording import shown
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_to_dict
from trainer.score.tempo import Tempo

VERSION = 1
ENDING = ".walkwork"
MOST_TASKS = 40
MOST_PASSES = 200
LONGEST_NAME, LONGEST_TITLE, LONGEST_NOTE = 60, 80, 2000
MOST_PUPILS = 60
MOST_EDITIONS = 9999
_KIND = "boxwalk_homework"

Identity = Annotated[str, Field(pattern=r"^[0-9a-f]{12}$")]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Tempi = Annotated[str, Field(pattern=r"^[0-9]{1,9}(/[1-9][0-9]{0,8})?$")]
Long = Annotated[str, Field(max_length=4 * LONGEST_NOTE)]
Moment = Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.+\-Z]{5,24}$")]


@dataclass(frozen=True, slots=True)
class Task:
    """One exercise of an assignment, and what is asked of it."""

    exercise: Exercise
    target_qpm: Fraction
    passes: int
    """How many clean passes at the target are asked for."""
    articulation: str = ""
    """The variation that the teacher chose, in words; the exercise is that already."""
    note: str = ""
    digest: str = field(init=False, compare=False)
    """Of the line, by which takes of it are known."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "digest", line_digest(self.exercise))


@dataclass(frozen=True, slots=True)
class Assignment:
    """Homework as it is given out."""

    identity: str
    edition: int
    title: str
    teacher: str
    pupils: tuple[str, ...]
    """Whom it is for; empty: whoever gets it."""
    note: str
    made: str
    """ISO 8601."""
    tasks: tuple[Task, ...]

    @property
    def content(self) -> str:
        """SHA-256 of all that is asked, whoever it is for."""
        return hashlib.sha256(text_of(replace(self, pupils=())).encode()).hexdigest()

    @property
    def lines(self) -> dict[str, Exercise]:
        """What is to be played, by its digest."""
        return {task.digest: task.exercise for task in self.tasks}

    def given_out(self) -> Self:
        """As it goes out: a group's names stay with the teacher."""
        return self if len(self.pupils) == 1 else replace(self, pupils=())


def assignment_bytes(assignment: Assignment) -> bytes:
    """The file of an assignment; `HomeworkError` when it is more than a file may hold."""
    return packed({ASSIGNMENT: text_of(assignment).encode()})


def assignment_in(data: bytes) -> Assignment:
    """The assignment that a file holds; `HomeworkError` when there is none that can be used."""
    members = unpacked(data)
    if set(members) != {ASSIGNMENT}:
        raise HomeworkError(
            "is homework that was given back: `boxwalk homework collect` reads it"
            if ASSIGNMENT in members
            else "holds no homework"
        )
    return assignment_of(members[ASSIGNMENT])


def assignment_of(text: bytes) -> Assignment:
    """The assignment that a JSON text holds; like `assignment_in`."""
    told = parsed(_Told, text, _KIND)
    tasks = tuple(_task(one, number) for number, one in enumerate(told.tasks, start=1))
    assignment = Assignment(
        identity=told.identity,
        edition=told.edition,
        title=shown(told.title, LONGEST_TITLE) or "Homework",
        teacher=shown(told.teacher, LONGEST_NAME),
        pupils=tuple(shown(name, LONGEST_NAME) for name in told.pupils),
        note=shown(told.note, LONGEST_NOTE),
        made=told.made,
        tasks=tasks,
    )
    if len({task.digest for task in tasks}) < len(tasks):
        raise HomeworkError("asks for one and the same line twice, so that no take could be told apart")
    return assignment


class Told(BaseModel):
    """What a file tells; nothing is converted and nothing unknown is let through."""

    model_config = ConfigDict(extra="forbid", strict=True, defer_build=True)  # most commands read no homework


Model = TypeVar("Model", bound=Told)


def parsed(model: type[Model], text: bytes, kind: str) -> Model:
    """A JSON object of one kind and of the version that this program reads; `HomeworkError` for anything else."""
    try:
        values = json.loads(text.decode("utf-8"), parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise HomeworkError("holds a text that is not JSON, or nested too deeply") from error
    if not isinstance(values, dict) or kind not in values:
        raise HomeworkError("is not homework of this program")
    if (version := values.pop(kind)) != VERSION:
        raise HomeworkError(f"is of version {version!r:.20}, this program reads version {VERSION}: bring it up to date")
    try:
        return model.model_validate(values)
    except (ValidationError, RecursionError) as error:
        raise HomeworkError(_first(error)) from error


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")


def _first(error: Exception) -> str:
    if not isinstance(error, ValidationError):
        return "is nested too deeply"
    details = error.errors(include_url=False, include_input=False)[0]
    where = ".".join(str(part) for part in details["loc"])
    return f"cannot be used: {shown(where, 60)}: {shown(details['msg'], 120)}"


class _ToldTask(Told):
    exercise: dict[str, Any]
    digest: Digest
    target: Tempi
    passes: Annotated[int, Field(ge=1, le=MOST_PASSES)]
    articulation: Long
    note: Long


class _Told(Told):
    identity: Identity
    edition: Annotated[int, Field(ge=1, le=MOST_EDITIONS)]
    title: Long
    teacher: Long
    pupils: Annotated[list[Long], Field(max_length=MOST_PUPILS)]
    note: Long
    made: Moment
    tasks: Annotated[list[_ToldTask], Field(min_length=1, max_length=MOST_TASKS)]


def _task(told: _ToldTask, number: int) -> Task:
    exercise = line_in(told.exercise)
    if line_digest(exercise) != told.digest:
        name = shown(exercise.name, LONGEST_NAME)
        raise HomeworkError(
            f"exercise {number}, {name}, is not as the teacher gave it out: someone has changed it. "
            "Ask for the file again"
        )
    try:
        target = Tempo(Fraction(told.target)).quarters_per_minute
    except ValueError as error:
        raise HomeworkError(f"exercise {number}: its target is out of range: {error}") from error
    return Task(exercise, target, told.passes, shown(told.articulation, 200), shown(told.note, LONGEST_NOTE))


def text_of(assignment: Assignment) -> str:
    """The JSON text that a file holds of an assignment."""
    plain: Mapping[str, Any] = {
        _KIND: VERSION,
        "identity": assignment.identity,
        "edition": assignment.edition,
        "title": assignment.title,
        "teacher": assignment.teacher,
        "pupils": list(assignment.pupils),
        "note": assignment.note,
        "made": assignment.made,
        "tasks": [
            {
                "exercise": exercise_to_dict(task.exercise),
                "digest": task.digest,
                "target": str(task.target_qpm),
                "passes": task.passes,
                "articulation": task.articulation,
                "note": task.note,
            }
            for task in assignment.tasks
        ],
    }
    return json.dumps(plain, ensure_ascii=False, indent=1)
