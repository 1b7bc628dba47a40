"""What a command's EXERCISE argument may be: a shipped name, an own one, a file, or a recipe in one line of text."""

from pathlib import Path
from typing import TYPE_CHECKING

from trainer.score.exercise import Exercise

if TYPE_CHECKING:
    from trainer.score.recipe import Recipe


def own_folders() -> tuple[Path, ...]:
    """The folders of own exercises."""
    from trainer.devices.own_exercises import exercises_folder

    return (exercises_folder(),)


def exercise_named(words: str) -> Exercise:
    """The exercise that `words` mean; `ExerciseError` when there is none."""
    from trainer.score.library import SUFFIXES, load_exercise
    from trainer.score.one_line import exercise_from_line

    # Commas never stand in a shipped name and always in a one-line recipe.
    is_line = "," in words and not words.lower().endswith(SUFFIXES)
    return exercise_from_line(words) if is_line else load_exercise(words, own_folders())


def recipe_named(words: str) -> "tuple[str, Recipe]":
    """The name and the recipe of the exercise that `words` mean; `ExerciseError` when it has none."""
    from trainer.score.library import load_recipe

    return load_recipe(words, own_folders())
