"""The lines in files of homework: exact, checked, and known by what is played.

A line from elsewhere is believed only when the file of an own exercise could hold it: writing that file and reading it
back checks every field against the limits that hold for files from anywhere, and whoever opens homework needs that
file anyway.
"""

import hashlib
import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from trainer.homework.errors import HomeworkError
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.limits import MOST_NOTES
from trainer.score.note_list import exercise_from_note_list, note_list_text
from trainer.score.serial import exercise_from_dict, exercise_to_dict

_PLAYED = ("tuning", "meter", "length_quarters", "notes")


def line_digest(exercise: Exercise) -> str:
    """SHA-256 of what is to be played: open strings, meter, length and notes; not of its names, texts and tempo."""
    return _digest(exercise_to_dict(exercise))


def _digest(plain: Mapping[str, Any]) -> str:
    played = {field: plain[field] for field in _PLAYED} | {"tuning": plain["tuning"]["open_pitches"]}
    return hashlib.sha256(json.dumps(played, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def line_in(saved: Mapping[str, Any]) -> Exercise:
    """The line that a file from elsewhere holds; `HomeworkError` when it is not one that can be played here."""
    try:
        text = json.dumps(saved, sort_keys=True, ensure_ascii=False)
        text.encode()  # lone halves of a character could be neither shown nor written
        return _checked(text)
    except (TypeError, ValueError, RecursionError) as error:
        if isinstance(error, HomeworkError):
            raise
        raise HomeworkError(f"holds an exercise that cannot be read ({error})") from error


@lru_cache(maxsize=256)
def _checked(text: str) -> Exercise:
    saved = json.loads(text)
    notes = saved.get("notes")
    if not isinstance(notes, list) or not 1 <= len(notes) <= MOST_NOTES:
        raise HomeworkError(f"holds an exercise without notes, or of more than {MOST_NOTES}")
    try:
        exercise = exercise_from_dict(saved)
        again = exercise_from_note_list(note_list_text(exercise), "homework", "exercise")
    except (ExerciseError, ArithmeticError, IndexError) as error:
        raise HomeworkError(f"holds an exercise that cannot be played: {_short(error)}") from error
    if line_digest(again) != line_digest(exercise):
        raise HomeworkError("holds an exercise whose notes contradict one another")
    return exercise


def _short(error: Exception) -> str:
    return str(error).splitlines()[0][:200] if str(error) else type(error).__name__
