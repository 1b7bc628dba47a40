"""What we print as text tablature reads back to the same notes."""

from collections.abc import Callable, Sequence
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, example, given, settings

from tests.score.recipes import TABLES
from tests.sheets.returning import in_order
from trainer.score.compose import compose
from trainer.score.counting import count_syllables, notes_a_beat
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_exercise
from trainer.score.meter import Meter
from trainer.score.recipe import Recipe
from trainer.score.text_tab_reading import text_tab_from
from trainer.sheets import text_tablature as sheet
from trainer.sheets.text_tablature import text_tablature


def written(exercise: Exercise) -> list[tuple[object, ...]]:
    """What text tablature says of each note; of a chord it says one finger, and not whose it is."""
    alone = [note.onset_quarters for note in exercise.notes]
    return sorted(
        (
            note.onset_quarters,
            note.location,
            note.pitch,
            note.technique.value,
            note.slide_from or (0, 0),
            note.stroke or "",
            (note.finger or 0) if alone.count(note.onset_quarters) == 1 else 0,
            note.accent,
            note.position or 0,
        )
        for note in exercise.notes
    )


@pytest.mark.parametrize("width", [60, 100, 200])
@pytest.mark.parametrize("name", exercise_names())
def test_what_we_print_of_every_shipped_line_reads_back_to_the_same_notes(name: str, width: int) -> None:
    exercise = load_exercise(name)

    found = text_tab_from(text_tablature(exercise, width), name, "line.txt").exercise

    assert written(found) == written(exercise)
    assert (found.title, found.key, found.tuning, found.tempo, found.meter, found.length_quarters) == (
        exercise.title,
        exercise.key,
        exercise.tuning,
        exercise.tempo,
        exercise.meter,
        exercise.length_quarters,
    )


def can_be_counted(exercise: Exercise) -> bool:
    """Whether a count line tells each beat from all others.

    Triplets and sixteenths in one beat have no count of their own; and fives and sevens are counted in numbers, so that
    1 2 may be two beats or the beginning of one.
    """
    beats: dict[int, list[Fraction]] = {}
    for note in exercise.notes:
        beat, offset = divmod(note.onset_quarters / exercise.meter.beat_quarters, 1)
        beats.setdefault(beat, []).append(offset)
    return all(notes_a_beat(offsets) not in (None, 5, 7) for offsets in beats.values())


FIVES_OVER_THE_NECK: dict[str, object] = {
    "key": "C blues",
    "tuning": "all-fourths",
    "strings": "1-2",
    "route": "whole neck",
    "cell": "down",
    "rhythm": "5 a beat",
    "articulation": "legato",
    "shifts": "slid",
}


def test_fives_with_slides_between_are_not_taken_for_sevens() -> None:
    exercise = compose(Recipe.model_validate(FIVES_OVER_THE_NECK), "line")

    reading = text_tab_from(text_tablature(exercise), "line", "line.txt")

    assert written(reading.exercise) == written(exercise)


# Two notes between two counts came back as one chord.
@example(FIVES_OVER_THE_NECK | {"start": "after an eighth"})
@example(
    FIVES_OVER_THE_NECK | {"start": "after an eighth", "tuning": "baritone", "strings": "2-3", "cell": "steps 0 4"}
)
# Notes of a chord have no order.
@example(FIVES_OVER_THE_NECK | {"cell": "steps 1+3 2+4", "route": "1"})
@given(TABLES)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
def test_what_we_print_of_every_recipe_that_compiles_reads_back_to_the_same_notes(table: dict[str, object]) -> None:
    try:
        exercise = compose(Recipe.model_validate(table), "line")
    except Unplayable:
        return

    assert_reads_back(exercise)


def assert_reads_back(exercise: Exercise) -> None:
    reading = text_tab_from(text_tablature(exercise), "line", "line.txt")

    if can_be_counted(exercise):
        assert written(reading.exercise) == written(exercise)
    else:
        assert [(note.course, note.fret) for note in in_order(reading.exercise)] == [
            (note.course, note.fret) for note in in_order(exercise)
        ]


def one_fret_higher(course: int, columns: Sequence[object]) -> str:
    return string(course, columns).replace("5", "6")  # type: ignore[arg-type] # columns are no part of the interface


def an_eighth_late(onsets: Sequence[Fraction], meter: Meter) -> tuple[str, ...]:
    return count_syllables([onset + Fraction(1, 2) for onset in onsets], meter)


def nothing(*_: object) -> str:
    return ""


string = sheet._string


@pytest.mark.parametrize(
    ("step", "broken"), [("_string", one_fret_higher), ("count_syllables", an_eighth_late), ("_sign", nothing)]
)
def test_a_printer_with_one_broken_step_is_found_out(
    monkeypatch: pytest.MonkeyPatch, step: str, broken: Callable[..., object]
) -> None:
    exercise = load_exercise("quarry-steps-legato")
    assert_reads_back(exercise)

    monkeypatch.setattr(sheet, step, broken)

    with pytest.raises(AssertionError):
        assert_reads_back(exercise)
