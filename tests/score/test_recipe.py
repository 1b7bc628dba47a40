import json
import tomllib
from fractions import Fraction

import jsonschema
import pytest
from pydantic import ValidationError

from trainer.score.library import exercise_names
from trainer.score.meter import Meter
from trainer.score.recipe import Recipe, courses_of, meter_of, recipe_schema
from trainer.shipped import EXERCISES, SHARED
from trainer.theory.naming import UnknownWord

LEAST: dict[str, object] = {"key": "A minor pentatonic", "route": "1", "cell": "up"}


@pytest.mark.parametrize(
    ("text", "courses"),
    [
        ("1-2", (1, 2)),
        ("3-1", (1, 2, 3)),
        ("3-2-1", (1, 2, 3)),
        ("1 3", (1, 3)),
        ("1, 2, 4", (1, 2, 4)),
        ("6", (6,)),
        ("top three", (1, 2, 3)),
        ("all", ()),
    ],
)
def test_strings_are_read(text: str, courses: tuple[int, ...]) -> None:
    assert courses_of(text) == courses


@pytest.mark.parametrize(("text", "word"), [("1-x", "x"), ("", ""), ("0-2", "0"), ("2 2", "2 2")])
def test_what_names_no_strings_is_refused(text: str, word: str) -> None:
    with pytest.raises(UnknownWord) as caught:
        courses_of(text)

    assert caught.value.word == word


def test_meters_are_read() -> None:
    assert meter_of("7/8") == meter_of(" 7 / 8 ") == Meter(7, 8)
    with pytest.raises(UnknownWord, match="'4/5' is not a meter"):
        meter_of("4/5")


def test_a_list_says_the_same_as_text() -> None:
    as_text = Recipe.model_validate(
        LEAST | {"strings": "1-2", "route": "4 5 1", "cell": "fours down then fives down", "accents": "1 3"}
    )
    as_lists = Recipe.model_validate(
        LEAST | {"strings": [1, 2], "route": [4, 5, 1], "cell": ["fours down", "fives down"], "accents": [1, 3]}
    )

    assert as_lists == as_text


def test_a_tempo_is_exact_to_its_last_decimal() -> None:
    recipe = Recipe.model_validate(LEAST | {"tempo": 92.1})

    assert recipe.pace.quarters_per_minute == Fraction(921, 10)


def test_the_default_of_a_field_written_as_text_is_its_first_example() -> None:
    properties = recipe_schema()["properties"]
    said = {name: field["default"] for name, field in properties.items() if "examples" in field and "default" in field}

    assert set(said) == {
        "tuning", "strings", "order", "rhythm", "start", "accents", "articulation", "shifts", "first_stroke", "meter",
        "hand",
    }  # fmt: skip
    assert Recipe.model_validate(LEAST | said) == Recipe.model_validate(LEAST)


def test_the_schema_in_the_shared_folder_is_that_of_the_recipe() -> None:
    kept = json.loads((SHARED / "exercise.schema.json").read_text(encoding="utf-8"))

    assert kept == recipe_schema()
    jsonschema.Draft202012Validator.check_schema(kept)


@pytest.mark.parametrize("name", exercise_names())
def test_every_shipped_exercise_is_valid_by_the_schema(name: str) -> None:
    table = tomllib.loads((EXERCISES / f"{name}.toml").read_text(encoding="utf-8"))

    jsonschema.validate(table, recipe_schema())


def test_values_of_another_type_are_refused() -> None:
    wrong = LEAST | {"key": 5, "route": True, "cell": {"up": 1}, "tags": "fours", "last_fret": 11, "tempo": 401}

    with pytest.raises(ValidationError) as caught:
        Recipe.model_validate(wrong)

    assert {error["loc"][0] for error in caught.value.errors()} == set(wrong)
