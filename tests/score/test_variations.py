from random import Random

import pytest

from tests.score.builders import tab
from trainer.score.compose import compose
from trainer.score.errors import ExerciseError, Unplayable
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_recipe
from trainer.score.one_line import recipe_from_line
from trainer.score.recipe import Recipe
from trainer.score.recipe_text import field_texts
from trainer.score.variations import surprise, varied
from trainer.theory.technique import Technique

LINE = recipe_from_line("B minor pentatonic, strings 1-2, positions 4 5, fours down, sixteenths, slid shifts, 80")


def other(**changes: str) -> Recipe:
    return varied(LINE, changes, "steps")


def composed(recipe: Recipe) -> Exercise:
    return compose(recipe, "steps")


def changed(**changes: str) -> dict[str, object]:
    """The fields that differ afterwards, but for title, text and family."""
    before, after = field_texts(LINE), field_texts(other(**changes))
    told = {field: after.get(field) for field in before.keys() | after.keys() if before.get(field) != after.get(field)}
    return {field: value for field, value in told.items() if field not in {"title", "about", "family"}}


@pytest.mark.parametrize(
    ("word", "value", "expected"),
    [
        ("key", "C#", {"key": "C# minor pentatonic"}),
        ("key", "C# dorian", {"key": "C# dorian"}),
        ("tuning", "drop d", {"tuning": "drop-d"}),
        ("strings", "2-3", {"strings": "2-3"}),
        ("route", "1 2 3", {"route": "1 2 3"}),
        ("direction", "backward", {"order": "backward"}),
        ("direction", "turned", {"order": "backward"}),
        ("mirrored", "yes", {"cell": "fours up"}),
        ("mirrored", "no", {}),
        ("rhythm", "triplets", {"rhythm": "triplets"}),
        ("grouping", "fives", {"cell": "fives down", "accents": "groups"}),
        ("grouping", "3", {"cell": "threes down", "accents": "groups"}),
        ("articulation", "one pick a string", {"articulation": "one pick a string"}),
        ("slid", "no", {"shifts": None}),
        ("slid", "yes", {}),
        ("tempo", "96", {"tempo": 96}),
        ("tempo", "+8", {"tempo": 88}),
        ("tempo", "90%", {"tempo": 72}),
        ("notes_a_string", "three", {"notes_a_string": 3}),
    ],
)
def test_a_change_changes_what_it_says_and_nothing_else(word: str, value: str, expected: dict[str, object]) -> None:
    assert changed(**{word: value}) == expected


def test_the_line_backwards_is_the_line_from_its_end() -> None:
    forward, backward = composed(other(slid="no")), composed(other(direction="backward", slid="no"))

    assert [note.location for note in backward.notes] == [note.location for note in forward.notes][::-1]


def test_what_is_hammered_on_forwards_is_pulled_off_backwards() -> None:
    recipe = recipe_from_line("B minor pentatonic, strings 1-2, positions 1, steps 1 h2 3 h4")

    assert tab(composed(recipe)) == "2/7 2/h10 1/7 1/h10"
    assert tab(composed(varied(recipe, {"direction": "backward"}, "x"))) == "1/10 1/p7 2/10 2/p7"


def test_upside_down_each_position_stays_where_it_is() -> None:
    straight, mirrored = composed(LINE), composed(other(mirrored="yes"))

    assert mirrored.route == straight.route
    assert {note.location for note in mirrored.notes} == {note.location for note in straight.notes}
    assert [note.fret for note in mirrored.notes[:4]] == [note.fret for note in straight.notes[:4]][::-1]


def test_a_line_without_groups_gets_accents_by_their_size() -> None:
    recipe = recipe_from_line("A dorian, whole neck, up and down")

    assert field_texts(varied(recipe, {"grouping": "fives"}, "x"))["accents"] == "every 5"


def test_twins_name_one_family_and_tell_what_is_unlike() -> None:
    once = other(key="C#")
    twice = varied(once, {"articulation": "legato"}, "steps-in-c-sharp")

    assert (once.family, twice.family) == ("steps", "steps")
    assert composed(twice).family == "steps"
    assert once.title == "Steps: key C#"
    assert "key C#" in once.about


def test_the_tags_go_with_the_change() -> None:
    recipe = LINE.model_copy(update={"tags": ("two strings", "fours", "slid", "picked")})

    legato = varied(recipe, {"articulation": "legato", "slid": "no", "grouping": "fives"}, "x")

    assert legato.tags == ("two strings", "unslid", "legato", "fives")


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"keys": "C"}, "keys: 'keys' is not something to vary; nearest: 'key'"),
        ({"key": "H"}, "key: 'H' is not a note"),
        ({"key": "C dorain"}, "key: 'dorain' is not a scale; nearest: 'dorian'"),
        ({"tempo": "fast"}, "tempo: 'fast' is not a tempo such as 96, "),
        ({"tempo": "900"}, "tempo: 900 is not valid"),
        ({"grouping": "nines"}, "grouping: 'nines' is not a size of groups; nearest: 'fives'"),
        ({"mirrored": "ys"}, "mirrored: 'ys' is not an answer; nearest: 'yes'"),
        ({"direction": "backwards"}, "order: 'backwards' is not an order; nearest: 'backward'"),
        ({"rhythm": "sixtenths"}, "rhythm: 'sixtenths' is not a note value; nearest: 'sixteenths'"),
    ],
)
def test_a_slip_in_a_change_is_named(changes: dict[str, str], message: str) -> None:
    with pytest.raises(ExerciseError) as caught:
        varied(LINE, changes, "steps")

    assert str(caught.value).startswith(message)


@pytest.mark.parametrize("seed", range(12))
def test_a_surprise_is_another_line_of_the_same_material(seed: int) -> None:
    drawn, changes = surprise(LINE, "steps", Random(seed))

    assert composed(drawn).notes != composed(LINE).notes
    assert len(changes) == 2
    assert (drawn.key, drawn.tuning, drawn.strings, drawn.route) == (LINE.key, LINE.tuning, LINE.strings, LINE.route)
    assert surprise(LINE, "steps", Random(seed)) == (drawn, changes)


@pytest.mark.parametrize("name", exercise_names())
def test_every_shipped_exercise_can_be_varied_in_every_simple_way(name: str) -> None:
    _, recipe = load_recipe(name)
    ways = [{"direction": "turned"}, {"mirrored": "yes"}, {"slid": "no"}, {"articulation": "legato"}, {"tempo": "90%"}]

    for changes in ways:
        other = varied(recipe, changes, name)
        try:
            notes = compose(other, name).notes
        except Unplayable as error:
            # Another first note of a position may have no fret to slide from.
            if error.field != "shifts":
                raise
        else:
            assert len(notes) == len(compose(recipe, name).notes)
    picked = compose(varied(recipe, {"slid": "no", "articulation": "picked"}, name), name).notes
    asked = any(note.technique is not Technique.PICK for note in picked)
    assert not asked or "steps" in field_texts(recipe)["cell"]
