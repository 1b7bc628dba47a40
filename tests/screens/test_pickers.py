import pytest

from trainer.score.line_editing import draft_of, with_field
from trainer.score.recipe import Recipe
from trainer.screens.pickers import GROUPS, Picker, pickers_of

LINES = (
    "B minor pentatonic, strings 1-2, positions 4 5 1 2, fours down, sixteenths, slide shifts, legato, 96",
    "E dorian, climb by one from lowest, thirds up, 96",
    "A blues, strings 1-3, up two down one from 1 for 6, fives up and down then up, for a small hand",
    "G major, bass tuning, two strings at a time, down one from high 1, steps 1 3 2 | 4, 7/8, after an eighth",
)


def recipe_in(line: str) -> Recipe:
    recipe = draft_of(line).recipe
    assert recipe is not None
    return recipe


def row(line: str, name: str) -> Picker:
    return next(picker for picker in pickers_of(recipe_in(line)) if picker.name == name)


@pytest.mark.parametrize("line", LINES)
def test_whatever_is_picked_is_what_the_line_then_says(line: str) -> None:
    recipe = recipe_in(line)

    for place, picker in enumerate(pickers_of(recipe)):
        # Every choice once, and of the other lines a sample: each is a line that is composed.
        for pick in picker.picks if line == LINES[0] else picker.picks[::4]:
            after = draft_of(with_field(line, recipe, picker.field, pick.value)).recipe
            assert after is not None, f"{picker.name}: {pick.words}"
            again = pickers_of(after)[place]
            assert again.now is not None, f"{picker.name}: {pick.words}"
            assert again.picks[again.now].value == pick.value


def test_every_row_belongs_to_a_group() -> None:
    assert sum(GROUPS) == len(pickers_of(recipe_in(LINES[0])))


def test_every_field_that_a_line_can_say_but_its_heading_has_a_row() -> None:
    fields = {picker.field for picker in pickers_of(recipe_in(LINES[0]))}

    assert fields == set(Recipe.model_fields) - {"title", "about", "tags", "family"}


def test_what_no_row_offers_stands_in_its_row_as_it_is() -> None:
    pattern = row(LINES[3], "pattern")

    assert (pattern.now, pattern.says) == (None, "steps 1 3 2 | 4")
    assert row(LINES[0], "positions").says == "in this order: 4 5 1 2"


def test_stepping_goes_round_and_begins_at_an_end_where_the_line_says_something_else() -> None:
    order, pattern = row(LINES[0], "whole line"), row(LINES[3], "pattern")

    assert [pick.words for pick in (order.stepped(1), order.stepped(-1)) if pick] == ["backward", "backward"]
    assert [pattern.stepped(1), pattern.stepped(-1)] == [pattern.picks[0], pattern.picks[-1]]
    assert row(LINES[3], "direction").stepped(1) is None


def test_another_beginning_keeps_the_shape_of_a_list_of_positions() -> None:
    begins = row(LINES[0], "from position")

    assert [pick.value for pick in begins.picks[:3]] == ["1 2 3 4", "2 3 4 5", "3 4 5 1"]


def test_strings_are_those_of_the_tuning() -> None:
    assert [pick.words for pick in row(LINES[3], "strings").picks] == [
        *("all", "1–3", "2–4", "1–2", "2–3", "3–4", "1", "2", "3", "4"),
    ]


def test_another_beginning_goes_round_the_positions_of_its_scale() -> None:
    seven = row("A dorian, strings 1-2, positions 1 2 3, up", "from position")

    assert [pick.value for pick in seven.picks[4:7]] == ["5 6 7", "6 7 1", "7 1 2"]
