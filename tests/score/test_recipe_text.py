"""What is written of a recipe, as a line and as a file, reads back to the same recipe."""

import tomllib

import jsonschema
import pytest
from hypothesis import given, settings

from tests.score.recipes import RECIPES
from trainer.score.errors import ExerciseError
from trainer.score.library import exercise_names
from trainer.score.one_line import line_of, recipe_from_line
from trainer.score.recipe import Recipe, recipe_schema
from trainer.score.recipe_text import field_texts
from trainer.score.toml_writing import recipe_to_toml
from trainer.shipped import EXERCISES

SCHEMA = jsonschema.Draft202012Validator(recipe_schema())


def shipped(name: str) -> Recipe:
    return Recipe.model_validate(tomllib.loads((EXERCISES / f"{name}.toml").read_text(encoding="utf-8")))


def is_unplayable_only(error: ExerciseError) -> bool:
    """Whether what is wrong is that no hand plays it, every word being known."""
    _, _, *complaints = str(error).splitlines()
    known = not any(word in complaints[0] for word in ("is not", "expected", "twice", "missing"))
    return len(complaints) == 1 and known


@given(RECIPES)
@settings(max_examples=200, deadline=None)  # the first line of a kind fills tables that the others use
def test_a_recipe_comes_back_from_its_file(recipe: Recipe) -> None:
    table = tomllib.loads(recipe_to_toml(recipe))

    SCHEMA.validate(table)
    assert Recipe.model_validate(table) == recipe
    assert field_texts(Recipe.model_validate(table)) == field_texts(recipe)


@given(RECIPES)
@settings(max_examples=200, deadline=None)  # the first line of a kind fills tables that the others use
def test_a_recipe_comes_back_from_its_line_if_it_can_be_played(recipe: Recipe) -> None:
    line = line_of(recipe)

    try:
        back = recipe_from_line(line)
    except ExerciseError as error:
        if is_unplayable_only(error):
            return
        raise
    assert back == recipe
    assert line_of(back) == line


@pytest.mark.parametrize("name", exercise_names())
def test_a_shipped_exercise_can_be_said_in_a_line(name: str) -> None:
    recipe = shipped(name)

    assert recipe_from_line(line_of(recipe)) == recipe


def test_a_line_is_written_as_it_would_be_said() -> None:
    assert line_of(shipped("quarry-steps-legato").model_copy(update={"about": ""})) == (
        "B minor pentatonic, strings 1-2, positions 4 5 1 2 3 4 3 2 1 5, fours down, sixteenths, accent groups, "
        'legato, slid shifts, 66, 2/4, title "Quarry steps, legato", tags "two strings, fours, climbing, slid, legato"'
        ", family quarry-steps"
    )


def test_a_file_says_what_it_is_about_first_and_only_what_is_unlike_the_default() -> None:
    recipe = recipe_from_line(
        'A dorian, whole neck, thirds up, about "Say \\"one\\", then C:\\\\two.", tags a, after an eighth'
    )

    assert recipe_to_toml(recipe) == (
        'about = """\nSay \\"one\\", then C:\\\\two.\n"""\ntags = ["a"]\n\n'
        'key = "A dorian"\nroute = "climb by one from lowest"\ncell = "thirds up"\nstart = "after eighth"\n'
    )
