"""Keeping an exercise among the user's own: the one way there, whatever it was made by."""

import re
from pathlib import Path

from trainer.devices.own_exercises import exercises_folder
from trainer.devices.system import is_device_name
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_files
from trainer.score.note_list import note_list_text
from trainer.sheets.errors import SheetError
from trainer.sheets.saving import save

_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_LONGEST_NAME = 60


class KeepingError(ExerciseError):
    """An exercise that cannot be kept; `str()` is one line for the user."""


def checked_name(name: str) -> str:
    """`name`, which no exercise has yet; `KeepingError` for any other.

    It is checked before anything is played, so that a phrase is not lost over its name.
    """
    if not _NAME.fullmatch(name) or len(name) > _LONGEST_NAME:
        raise KeepingError(f"{name!r} is not a name: expected small letters, digits and hyphens, such as ridge-path")
    if is_device_name(name):
        raise KeepingError(f"{name!r} cannot be the name of a file on Windows: choose another name")
    if (known := exercise_files([exercises_folder()]).get(name)) is not None:
        raise KeepingError(f"there is an exercise {name!r} already ({known}): choose another name")
    return name


def keep_line(exercise: Exercise, name: str) -> Path:
    """Keep the notes of `exercise`; like `keep_text`."""
    return keep_text(note_list_text(exercise), name)


def keep_text(text: str, name: str) -> Path:
    """Write an exercise's file under a checked name; `KeepingError` when that fails, and then nothing is changed."""
    path = exercises_folder() / f"{name}.toml"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        save(path, text.encode("utf-8"))
    except OSError as error:
        raise KeepingError(f"{path.parent}: cannot be made ({error.strerror or error})") from error
    except SheetError as error:
        raise KeepingError(str(error)) from error
    return path
