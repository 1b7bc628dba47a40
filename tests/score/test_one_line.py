import tomllib
from fractions import Fraction

import pytest

from tests.score.builders import line, tab
from trainer.score.errors import ExerciseError
from trainer.score.library import exercise_names, load_exercise
from trainer.score.one_line import exercise_from_line, recipe_from_line
from trainer.score.recipe_text import field_texts
from trainer.shipped import EXERCISES
from trainer.theory.tuning import TUNINGS


def complaint(text: str) -> list[str]:
    with pytest.raises(ExerciseError) as caught:
        exercise_from_line(text)
    return str(caught.value).splitlines()


def test_a_line_says_what_a_file_says() -> None:
    exercise = exercise_from_line(
        "B minor pentatonic, strings 1-2, positions 4 5 1 2 3 4, fours down, sixteenths, slide shifts, legato, 96"
    )

    assert exercise.notes == line(route="4 5 1 2 3 4", rhythm="sixteenths", shifts="slid", articulation="legato").notes
    assert exercise.tempo.quarters_per_minute == 96
    assert exercise.name == "b-minor-pentatonic-strings-1-2-positions-4-5-1-2-3-4-fours"


def test_clauses_may_stand_in_any_order() -> None:
    clauses = ["96", "legato", "E blues", "up and down", "climb by one from 2 for 3", "top two strings", "triplets"]

    there, back = (exercise_from_line(", ".join(order)) for order in (clauses, clauses[::-1]))

    assert there.notes == back.notes


def test_commas_inside_lists_moves_and_cells_do_not_divide() -> None:
    commas = exercise_from_line(
        "A minor pent, strings 1, 2, up two, down one from 1 for 4, fours down, then fives down"
    )
    spaces = exercise_from_line("A minor pent, strings 1 2, up two down one from 1 for 4, fours down then fives down")

    assert commas.notes == spaces.notes


def test_every_kind_of_clause_is_known() -> None:
    exercise = exercise_from_line(
        "title Blind alley, drop D, A minor pentatonic, strings 4-6, three notes a string, positions 1, up, in 7/8, "
        "dotted eighth + sixteenth, accent groups, 21 frets, up-stroke first, picked shifts, picked, at 92.5"
    )

    assert (exercise.title, exercise.tuning, exercise.last_fret) == ("Blind alley", TUNINGS["drop-d"], 21)
    assert exercise.meter.bar_quarters == Fraction(7, 2)
    assert exercise.tempo.quarters_per_minute == Fraction(185, 2)
    assert [note.stroke for note in exercise.notes[:2]] == ["up", "down"]
    assert [note.accent for note in exercise.notes[:2]] == [True, False]
    assert exercise.notes[1].onset_quarters == Fraction(3, 4)
    assert tab(exercise).startswith("6/7 6/10 6/12 5/")


@pytest.mark.parametrize("name", exercise_names())
def test_every_shipped_file_can_be_written_as_a_line_by_its_fields(name: str) -> None:
    table = tomllib.loads((EXERCISES / f"{name}.toml").read_text(encoding="utf-8"))
    clauses = [f"{field} {said}" for field, said in table.items() if field not in {"title", "about", "tags"}]

    exercise = exercise_from_line(", ".join(clauses))

    shipped = load_exercise(name)
    assert (exercise.notes, exercise.tempo, exercise.meter) == (shipped.notes, shipped.tempo, shipped.meter)


def test_every_mistake_is_underlined_and_told_with_the_nearest_word() -> None:
    text = "B minor pentatonik, stings 1-2, fours dwn, sixtenths, positions 4 5 x, legatto, 900"

    assert complaint(text) == [
        text,
        "        ^^^^^^^^^^  ^^^^^^            ^^^  ^^^^^^^^^                ^  ^^^^^^^  ^^^",
        "column 9: key: 'pentatonik' is not a scale; nearest: 'pentatonic'",
        "column 21: 'stings' is not the beginning of anything that a line can say; nearest: 'strings'",
        "column 39: cell: 'dwn' is not a direction; nearest: 'down'",
        "column 44: 'sixtenths' is not the beginning of anything that a line can say; nearest: 'sixteenths'",
        "column 69: route: 'x' is not a position number or a move such as `up two`",
        "column 72: 'legatto' is not the beginning of anything that a line can say; nearest: 'legato'",
        "column 81: tempo: '900' is not valid: input should be less than or equal to 400",
    ]


def test_what_is_missing_is_asked_for_at_the_end() -> None:
    assert complaint("B minor pentatonic, fours down")[1:] == [
        "                              ^",
        "column 31: route is missing: the positions in order, or a rule, such as '4 5 1 2 3 4'",
    ]


def test_what_is_said_twice_is_told() -> None:
    assert complaint("B minor, A minor, positions 1, up")[1:] == [
        "         ^^^^^^^",
        "column 10: the key is given twice",
    ]


def test_what_cannot_be_played_is_underlined() -> None:
    why = "needs a note before it on the same string: nothing slides across strings"

    assert complaint("B minor pentatonic, strings 1-2, positions 4 5, steps 2 s3")[1:] == [
        "                                                ^^^^^^^^^^",
        f"column 49: cell: a slide to fret 2 of string 1 {why}",
    ]


def test_an_empty_line_is_answered_with_what_it_needs() -> None:
    assert [problem.split(":")[1] for problem in complaint("")[2:]] == [
        " cell is missing", " key is missing", " route is missing",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("clause", "field", "value"),
    [
        ("thirds up and down", "cell", "thirds up and down"),
        ("arpeggio 2, 5, 1 up", "cell", "arpeggio 2 5 1 up"),
        ("string skips up", "cell", "string skips up"),
        ("two pedal down then orders of 1 2 3", "cell", "two pedal down then orders of 1 2 3"),
    ],
)
def test_every_kind_of_cell_is_known(clause: str, field: str, value: str) -> None:
    recipe = recipe_from_line(f"A dorian, whole neck, strings 1-3, {clause}")

    assert field_texts(recipe)[field] == value


def test_what_a_teacher_adds_is_known() -> None:
    recipe = recipe_from_line(
        "A dorian, whole neck, two strings at a time, fours up, backward, after an eighth, for a small hand, "
        'title "Up, then down", about "Slowly, \\"evenly\\".", tags "fours, diagonal", family wall'
    )

    assert field_texts(recipe) == {
        "title": "Up, then down",
        "about": 'Slowly, "evenly".',
        "tags": ["fours", "diagonal"],
        "family": "wall",
        "key": "A dorian",
        "route": "climb by one from lowest",
        "strings_at_a_time": 2,
        "cell": "fours up",
        "order": "backward",
        "start": "after eighth",
        "hand": "small hand",
    }


def test_what_a_hand_does_not_reach_is_underlined_at_the_hand() -> None:
    told = complaint("G major, positions 1, strings 6, four notes a string, up, legato, for a child")

    assert told[1].strip() == "^^^^^"
    assert told[2].startswith("column 73: hand: bar 1, note ")
    assert told[2].endswith(" mm apart: a reach of 78 mm is set for 'child'")
