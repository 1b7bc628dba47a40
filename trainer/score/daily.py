"""The line of the day: made from the date alone, the same for everybody who has the same version of the program.

A shipped line for six strings in the usual tuning is drawn, put into a key, and played another way by chance. The date
is a calendar date as ISO 8601 writes it; whoever asks says which day it is, for nothing here knows a clock.
"""

from random import Random

from trainer.score.compose import compose
from trainer.score.errors import ExerciseError, NoRecipe, Unplayable
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_recipe
from trainer.score.recipe import Recipe
from trainer.score.variations import surprise, varied

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_FEWEST_NOTES, _MOST_NOTES = 16, 96
"""Of one pass: long enough to be a line, short enough for a run of many passes."""


def line_of_the_day(day: str) -> Exercise:
    """The line of `day`, such as `2026-11-25`."""
    chance = Random(f"line of the day {day}")
    while True:
        name, recipe = _drawn(chance)
        try:
            moved = varied(recipe, {"key": chance.choice(ROOTS)}, name)
            other, _ = surprise(moved, name, chance)
            line = compose(other.model_copy(update={"title": f"Line of {day}", "family": ""}), f"line-of-{day}")
        except (ExerciseError, Unplayable):
            continue  # it cannot be played in that key
        if _FEWEST_NOTES <= len(line.notes) <= _MOST_NOTES:
            return line


def _drawn(chance: Random) -> tuple[str, Recipe]:
    while True:
        try:
            name, recipe = load_recipe(chance.choice(exercise_names()))
        except NoRecipe:
            continue
        if recipe.tuning.name == "standard":
            return name, recipe
