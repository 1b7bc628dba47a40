"""Exercises by name, path or line of text: the shipped ones, the user's own, files of several kinds, and what is typed.

Whoever calls passes the folders of own exercises; the first is the one in which new ones are kept. What lies there has
the same rights as what is shipped: a name finds it, and of two with one name it is the own one.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.score.errors import ExerciseError, NoRecipe
from trainer.score.exercise import Exercise
from trainer.score.file_reading import READABLE, read_file
from trainer.shipped import EXERCISES
from trainer.theory.naming import nearest

if TYPE_CHECKING:
    from trainer.score.recipe import Recipe

SUFFIXES = READABLE
"""How the names of exercise files end."""

_MOST_NAMES_SHOWN = 12


def exercise_names(own: Iterable[Path] = ()) -> tuple[str, ...]:
    """The names of the shipped exercises and those in the folders `own`, in alphabetical order."""
    return tuple(sorted(exercise_files(own)))


def exercise_files(own: Iterable[Path] = ()) -> dict[str, Path]:
    """Each exercise's file by its name."""
    files = {path.stem: path for path in EXERCISES.glob("*.toml")}
    for folder in reversed(tuple(own)):
        found = sorted(folder.iterdir()) if folder.is_dir() else []
        # Of two kinds of file with one name the recipe is taken: it comes last.
        found.sort(key=lambda path: path.suffix == ".toml")
        files |= {path.stem: path for path in found if path.suffix.lower() in SUFFIXES and path.is_file()}
    return files


def load_exercise(name_or_path: str, own: Iterable[Path] = ()) -> Exercise:
    """An exercise by its name, one in a file by its path, or one written as a line of text with commas.

    `ExerciseError` says what is wrong with it.
    """
    path = _file_of(name_or_path, own)
    if path is None:
        from trainer.score.one_line import exercise_from_line

        return exercise_from_line(name_or_path)
    return _read(path)


def load_all(own: Iterable[Path] = ()) -> tuple[tuple[Exercise, ...], tuple[str, ...]]:
    """Every exercise by name, and what is wrong with those that cannot be read: one broken file hides no others."""
    exercises: list[Exercise] = []
    complaints: list[str] = []
    for _, path in sorted(exercise_files(own).items()):
        try:
            exercises.append(_read(path))
        except ExerciseError as error:
            complaints.append(str(error))
    return tuple(exercises), tuple(complaints)


def load_recipe(name_or_path: str, own: Iterable[Path] = ()) -> tuple[str, "Recipe"]:
    """An exercise's name and its recipe; `NoRecipe` when it has none, as files of notes have not."""
    path = _file_of(name_or_path, own)
    if path is None:
        from trainer.score.one_line import name_of_line, recipe_from_line

        return name_of_line(name_or_path), recipe_from_line(name_or_path)
    if path.suffix.lower() == ".toml":
        from trainer.score.note_list import holds_notes
        from trainer.score.toml_reading import read_recipe

        if not holds_notes(path):
            return path.stem, read_recipe(path)
    raise NoRecipe(f"{path}: lists notes and has no recipe")


def _file_of(name_or_path: str, own: Iterable[Path]) -> Path | None:
    """The file that a name or path means; None for a line of text."""
    files = exercise_files(own)
    if name_or_path in files:
        return files[name_or_path]
    path = Path(name_or_path)
    if "," in name_or_path and not path.is_file():
        return None
    if path.suffix.lower() in SUFFIXES:
        if not path.is_file():
            raise ExerciseError(f"{path}: there is no such file")
        return path
    if path.is_file():
        raise ExerciseError(f"{path}: {path.suffix or 'a file without an ending'} is not one of {', '.join(SUFFIXES)}")
    guess = nearest(name_or_path, files)
    shown = [*sorted(files)[:_MOST_NAMES_SHOWN], f"and {len(files) - _MOST_NAMES_SHOWN} more"]
    hint = f"; nearest: {guess!r}" if guess else f"; there are: {', '.join(shown)}"
    raise ExerciseError(f"there is no exercise {name_or_path!r}{hint}")


def _read(path: Path) -> Exercise:
    return read_file(path).exercise
