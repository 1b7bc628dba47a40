"""Making homework: what was asked for becomes an assignment, is kept here, and goes out as a file."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Self

from trainer.homework import folders
from trainer.homework.assignment import (
    ENDING,
    LONGEST_NAME,
    LONGEST_NOTE,
    LONGEST_TITLE,
    MOST_PUPILS,
    MOST_TASKS,
    Assignment,
    Task,
    assignment_bytes,
)
from trainer.homework.errors import HomeworkError
from trainer.homework.wording import file_part, shown


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a teacher says of homework besides its exercises."""

    title: str = ""
    teacher: str = ""
    pupils: tuple[str, ...] = ()
    note: str = ""

    def else_as_in(self, former: Assignment | None) -> Self:
        """What is empty as it was in the edition before."""
        if former is None:
            return self
        return replace(
            self,
            title=self.title or former.title,
            teacher=self.teacher or former.teacher,
            pupils=self.pupils or former.pupils,
            note=self.note or former.note,
        )


@dataclass(frozen=True, slots=True)
class Written:
    """A file that was written."""

    path: Path
    size_bytes: int


def assigned(
    tasks: Iterable[Task], wanted: Wanted, former: Assignment | None, *, identity: str, made: str
) -> Assignment:
    """The assignment; a new edition of `former`, or else the first one called `identity`.

    Without tasks those of `former` stay. `HomeworkError` when there is too much of it, too little, or one line twice.
    """
    asked = tuple(tasks)
    if not asked and former is None:
        raise HomeworkError("there is no exercise in it yet")
    if len(asked) > MOST_TASKS:
        raise HomeworkError(f"{len(asked)} exercises: expected at most {MOST_TASKS}")
    if len({task.digest for task in asked}) < len(asked):
        raise HomeworkError("one and the same line is asked for twice: vary it, or ask for it once")
    pupils = tuple(name for name in (shown(name, LONGEST_NAME) for name in wanted.pupils) if name)
    if len(pupils) > MOST_PUPILS:
        raise HomeworkError(f"{len(pupils)} pupils: expected at most {MOST_PUPILS}")
    return Assignment(
        identity=identity if former is None else former.identity,
        edition=1 if former is None else former.edition + 1,
        title=shown(wanted.title, LONGEST_TITLE) or "Homework",
        teacher=shown(wanted.teacher, LONGEST_NAME),
        pupils=pupils,
        note=shown(wanted.note, LONGEST_NOTE),
        made=made,
        tasks=asked or (former.tasks if former else ()),
    )


def give_out(assignment: Assignment, folder: Path, path: Path | None = None) -> Written:
    """Keep an assignment here and write its file: to `path`, or under a free name in `folder`.

    `HomeworkError` when either fails, or when there is a file at `path` already.
    """
    data = assignment_bytes(assignment.given_out())
    stem = file_part(assignment.title, "homework") + (f"-{assignment.edition}" if assignment.edition > 1 else "")
    to = path or folders.free_path(folder, stem, ENDING)
    if to.exists():
        raise HomeworkError(f"{to} is there already: choose another name")
    folders.keep_made(assignment)
    folders.write(to, data)
    return Written(to, len(data))


def latest_made(former: Assignment) -> Assignment:
    """The latest edition of homework that is here; the given one when there is none."""
    editions = folders.made_editions(former.identity)
    return editions[-1] if editions else former
