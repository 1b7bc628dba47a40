"""Giving homework back: the takes that count for it go into one file."""

from dataclasses import dataclass
from pathlib import Path

from trainer.homework import folders
from trainer.homework.errors import HomeworkError
from trainer.homework.folders import Opened
from trainer.homework.gathering import Gathered, returned_of
from trainer.homework.making import Written
from trainer.homework.returned import ENDING, Returned, returned_bytes
from trainer.homework.wording import file_part


@dataclass(frozen=True, slots=True)
class GivenBack:
    """What went into the file."""

    returned: Returned
    written: Written


def give_back(
    opened: Opened, found: Gathered, name: str, made: str, folder: Path, path: Path | None = None
) -> GivenBack:
    """Write the file of what `name` played: to `path`, or under a free name in `folder`.

    `HomeworkError` when there is no take, the file cannot be written, or there is one at `path` already.
    """
    if not found.takes:
        names = ", ".join(opened.names[task.digest] for task in opened.assignment.tasks)
        raise HomeworkError(" ".join([f"no take of {names} is kept since it was opened.", *found.remarks]))
    returned = returned_of(opened, found, name, made)
    data = returned_bytes(returned)
    stem = f"{file_part(returned.pupil, 'pupil')}_{file_part(opened.assignment.title, 'homework')}"
    to = path or folders.free_path(folder, f"{stem}_{returned.made[:10]}", ENDING)
    if to.exists():
        raise HomeworkError(f"{to} is there already: choose another name")
    folders.write(to, data)
    return GivenBack(returned, Written(to, len(data)))
