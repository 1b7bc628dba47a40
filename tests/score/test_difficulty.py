"""Inside and outside as they are commonly taught: see the terms in `trainer.score.difficulty`."""

import pytest

from tests.score.builders import line
from trainer.score.difficulty import Parts, Path, parts_of, string_changes
from trainer.score.exercise import Exercise
from trainer.score.hand import HANDS
from trainer.score.library import load_exercise
from trainer.score.one_line import exercise_from_line
from trainer.score.playability import strains_of


def paths(exercise: Exercise) -> list[Path]:
    return [change.path for change in string_changes(exercise)]


def box(cell: str, stroke: str = "down", **fields: object) -> Exercise:
    plain = {"key": "A minor pentatonic", "strings": "all", "cell": cell, "first_stroke": stroke}
    return line(**(plain | fields))


def test_two_notes_a_string_from_a_down_stroke_change_inside_upwards_and_outside_downwards() -> None:
    assert paths(box("up")) == [Path.INSIDE] * 5
    assert paths(box("down")) == [Path.OUTSIDE] * 5
    assert paths(box("up", "up")) == [Path.OUTSIDE] * 5
    assert paths(box("down", "up")) == [Path.INSIDE] * 5


def test_three_notes_a_string_take_turns() -> None:
    exercise = box("up", key="G major")

    assert paths(exercise) == [Path.OUTSIDE, Path.INSIDE, Path.OUTSIDE, Path.INSIDE, Path.OUTSIDE]


def test_a_string_change_says_from_where_to_where() -> None:
    change = string_changes(line(cell="steps 2 3"))[0]

    assert (change.index, change.from_course, change.to_course, change.path) == (1, 2, 1, Path.OUTSIDE)


def test_slurred_notes_do_not_use_a_stroke() -> None:
    exercise = box("up", key="G major", articulation="one pick a string")

    # Each string has one stroke: down, up, down ... from string to string.
    assert paths(exercise) == [Path.OUTSIDE, Path.INSIDE, Path.OUTSIDE, Path.INSIDE, Path.OUTSIDE]
    assert parts_of(exercise).slurs == 12
    assert parts_of(exercise).strokes == 6


def test_the_parts_of_a_line_are_counted_by_themselves() -> None:
    exercise = exercise_from_line(
        "B minor pentatonic, strings 1-2, positions 4 5, fours down, sixteenths, slid shifts, 60"
    )

    assert parts_of(exercise) == Parts(
        notes_a_second=4.0,
        shifts=1,  # the slide itself
        longest_shift_frets=2,
        widest_reach_mm=92,  # frets 2 and 5
        string_changes=3,
        string_skips=0,
        inside=1,
        outside=2,
        strokes=8,
        slurs=0,
        slides=1,
    )


@pytest.mark.parametrize(
    ("rhythm", "tempo", "notes_a_second"),
    [
        ("sixteenths", 60, 4.0),
        ("sixteenths", 90, 6.0),
        ("triplets", 60, 3.0),
        ("4 then 3 a beat", 60, 4.0),
        ("5 a beat", 72, 6.0),
    ],
)
def test_notes_a_second_are_those_of_the_densest_beat(rhythm: str, tempo: int, notes_a_second: float) -> None:
    assert parts_of(line(route="1 1 1", rhythm=rhythm, tempo=tempo)).notes_a_second == notes_a_second


def test_chords_have_no_string_changes_and_a_skip_passes_over_a_string() -> None:
    assert parts_of(load_exercise("paired-stones")).string_changes == 0
    assert parts_of(box("string skips up")).string_skips == 4


def test_what_a_hand_cannot_do_is_told_with_the_limit() -> None:
    wide = exercise_from_line("G major, positions 1, string 6, four notes a string, up, legato, 60")
    leap = exercise_from_line("A minor pentatonic, positions 4 up 3, strings 1-2, fours down, 60")

    assert strains_of(wide, HANDS["child"])[0].told == (
        "bar 1, note 3: frets 3 and 7 lie 112 mm apart: a reach of 78 mm is set for 'child'"
    )
    [strain] = strains_of(leap, HANDS["child"])
    assert strain.told.endswith("frets at once: at most 5 are set for 'child'")
    assert strains_of(leap, HANDS["adult"]) == ()
