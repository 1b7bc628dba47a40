"""Exercises by name, path or line of text: the shipped ones, files of three kinds, and what is typed."""

from pathlib import Path

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.file_reading import READABLE, read_file
from trainer.shipped import EXERCISES
from trainer.theory.naming import nearest

_SUFFIXES = READABLE


def exercise_names() -> tuple[str, ...]:
    """The names of the shipped exercises, in alphabetical order."""
    return tuple(sorted(path.stem for path in EXERCISES.glob("*.toml")))


def load_exercise(name_or_path: str) -> Exercise:
    """A shipped exercise by its name, one in a file by its path, or one written as a line of text with commas.

    `ExerciseError` says what is wrong with it.
    """
    if name_or_path in exercise_names():
        return _read(EXERCISES / f"{name_or_path}.toml")
    path = Path(name_or_path)
    if "," in name_or_path and not path.is_file():
        from trainer.score.one_line import exercise_from_line

        return exercise_from_line(name_or_path)
    if path.suffix.lower() in _SUFFIXES:
        if not path.is_file():
            raise ExerciseError(f"{path}: there is no such file")
        return _read(path)
    if path.is_file():
        raise ExerciseError(f"{path}: {path.suffix or 'a file without an ending'} is not one of {', '.join(_SUFFIXES)}")
    guess = nearest(name_or_path, exercise_names())
    hint = f"; nearest: {guess!r}" if guess else f"; there are: {', '.join(exercise_names())}"
    raise ExerciseError(f"there is no exercise {name_or_path!r}{hint}")


def _read(path: Path) -> Exercise:
    return read_file(path).exercise
