"""Handing out a phrase at once: an own exercise, a sheet to print, and homework that a pupil's program opens.

The sheet and the homework lie in `handouts/` in the data folder, under the exercise's name.
"""

from dataclasses import dataclass, replace
from itertools import count
from pathlib import Path

from trainer.devices.own_exercises import exercises_folder
from trainer.devices.recording import takes_folder
from trainer.homework.assignment import ENDING, LONGEST_TITLE, Assignment, Task, assignment_bytes
from trainer.homework.folders import keep_made, write
from trainer.homework.wording import shown
from trainer.keeping import checked_name, keep_line
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_files
from trainer.score.one_line import name_of_line
from trainer.sheets.kinds import files_of

CLEAN_PASSES = 5
"""How many clean passes at its own tempo the homework asks for."""


@dataclass(frozen=True, slots=True)
class HandedOut:
    """What was written."""

    name: str
    """Of the exercise."""
    sheet: Path
    homework: Path


def handouts_folder() -> Path:
    """Beside the takes."""
    return takes_folder().with_name("handouts")


def hand_out(line: Exercise, title: str, made: str, identity: str) -> HandedOut:
    """Keep a line under a free name made of its title and write what is handed out; `made` is the moment, ISO 8601.

    `KeepingError` or `HomeworkError` when something cannot be written; what was written before that stays.
    """
    name, title = _free(title)
    line = replace(line, name=checked_name(name), title=title)
    keep_line(line, name)
    folder = handouts_folder()
    task = Task(line, line.tempo.quarters_per_minute, CLEAN_PASSES)
    assignment = Assignment(identity, 1, shown(title, LONGEST_TITLE), "", (), "", made, (task,))
    keep_made(assignment)
    sheet, homework = folder / f"{name}.pdf", folder / f"{name}{ENDING}"
    write(homework, assignment_bytes(assignment))
    for path, data in files_of((line,), sheet):
        write(path, data)
    return HandedOut(name, sheet, homework)


def _free(title: str) -> tuple[str, str]:
    """The title, numbered if need be, whose name no exercise has yet, and that name before it."""
    known = exercise_files([exercises_folder()])
    titles = (title if number == 1 else f"{title} {number}" for number in count(1))
    return next((name, words) for words in titles for name in (name_of_line(words),) if name not in known)
