import pytest

from trainer.score.line_editing import draft_of, fields_said, with_field
from trainer.theory.naming import UnknownWord

LINE = "B minor pentatonic,  strings 1, 2 , positions 4 5 1, fours down,sixteenths, legato, 96"


def said_anew(text: str, field: str, value: str | int) -> str:
    recipe = draft_of(text).recipe
    assert recipe is not None
    return with_field(text, recipe, field, value)


@pytest.mark.parametrize(
    ("field", "value", "line"),
    [
        ("key", "C dorian", LINE.replace("B minor pentatonic", "C dorian")),
        ("strings", "2-3", LINE.replace("strings 1, 2", "strings 2-3")),
        ("route", "climb by one from 4 for 6", LINE.replace("positions 4 5 1", "climb by one from 4 for 6")),
        ("tempo", 104, LINE.replace("96", "104")),
        ("accents", "every 3", f"{LINE}, accent every 3"),
        ("articulation", "picked", LINE.replace(" legato,", "")),
        ("strings", "all", LINE.replace("  strings 1, 2 ,", "")),
        ("tempo", 80, LINE.replace(", 96", "")),
    ],
)
def test_one_field_is_said_anew_and_the_rest_stays_as_it_was_typed(field: str, value: str | int, line: str) -> None:
    assert said_anew(LINE, field, value) == line


def test_a_mistake_elsewhere_stays_where_it_is() -> None:
    recipe = draft_of(LINE).recipe
    assert recipe is not None

    assert with_field("foxes, B minor pentatonic, strings 1-2", recipe, "strings", "3-4") == (
        "foxes, B minor pentatonic, strings 3-4"
    )


def test_a_field_that_is_said_twice_is_said_once_after_a_change() -> None:
    recipe = draft_of(LINE).recipe
    assert recipe is not None

    assert with_field("picked, E dorian, positions 1, legato", recipe, "articulation", "one pick a string") == (
        "one pick a string, E dorian, positions 1"
    )


def test_a_number_that_is_not_given_is_left_out() -> None:
    line = "E dorian, two notes a string, positions 1, up"

    assert said_anew(line, "notes_a_string", 0) == "E dorian, positions 1, up"


def test_a_value_that_means_nothing_is_refused() -> None:
    with pytest.raises(UnknownWord, match="something that key can be"):
        said_anew(LINE, "key", "H dorian")


def test_mistakes_point_at_the_letters_as_they_were_typed() -> None:
    text = "  B  minor   pentatonc, foxes   down,  positions 1"

    problems = draft_of(text).problems

    pointed_at = [text[problem.column : problem.column + problem.width] for problem in problems]
    assert pointed_at == ["pentatonc", "foxes"]


def test_what_is_missing_is_missed_behind_the_end() -> None:
    assert {problem.column for problem in draft_of(" E dorian ").problems} == {9}
    assert {problem.column for problem in draft_of("").problems} == {0}


def test_a_line_that_can_be_read_and_not_played_still_says_what_it_says() -> None:
    draft = draft_of("E dorian, positions 9, up")

    assert draft.exercise is None
    assert draft.recipe is not None
    assert draft.recipe.key.name == "E dorian"
    assert [problem.column for problem in draft.problems] == [10]


def test_each_field_is_found_where_it_is_said() -> None:
    places = {field: LINE[begin:end] for field, (begin, end) in fields_said(LINE).items()}

    assert places == {
        "key": "B minor pentatonic",
        "strings": "strings 1, 2",
        "route": "positions 4 5 1",
        "cell": "fours down",
        "rhythm": "sixteenths",
        "articulation": "legato",
        "tempo": "96",
    }
