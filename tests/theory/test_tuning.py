import pytest

from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord
from trainer.theory.tuning import TUNINGS, tuning_named

# Open strings as MIDI numbers, the last string first: common practice, no source.
FIGURES = {
    "standard": (40, 45, 50, 55, 59, 64),
    "e-flat": (39, 44, 49, 54, 58, 63),
    "d-standard": (38, 43, 48, 53, 57, 62),
    "drop-d": (38, 45, 50, 55, 59, 64),
    "drop-c-sharp": (37, 44, 49, 54, 58, 63),
    "drop-c": (36, 43, 48, 53, 57, 62),
    "double-drop-d": (38, 45, 50, 55, 59, 62),
    "dadgad": (38, 45, 50, 55, 57, 62),
    "open-d": (38, 45, 50, 54, 57, 62),
    "open-e": (40, 47, 52, 56, 59, 64),
    "open-g": (38, 43, 50, 55, 59, 62),
    "open-a": (40, 45, 52, 57, 61, 64),
    "open-c": (36, 43, 48, 55, 60, 64),
    "all-fourths": (40, 45, 50, 55, 60, 65),
    "fifths": (36, 43, 50, 57, 64, 67),
    "seven-string": (35, 40, 45, 50, 55, 59, 64),
    "eight-string": (30, 35, 40, 45, 50, 55, 59, 64),
    "baritone": (35, 40, 45, 50, 54, 59),
    "bass": (28, 33, 38, 43),
    "bass-drop-d": (26, 33, 38, 43),
    "five-string-bass": (23, 28, 33, 38, 43),
    "six-string-bass": (23, 28, 33, 38, 43, 48),
    "ukulele": (67, 60, 64, 69),
}


def test_every_tuning_has_its_figures_with_course_1_first() -> None:
    assert {name: tuning.open_pitches[::-1] for name, tuning in TUNINGS.items()} == FIGURES


@pytest.mark.parametrize("name", ["drop D", "Drop_D", "drop-d tuning"])
def test_a_tuning_is_found_however_it_is_written(name: str) -> None:
    assert tuning_named(name) is TUNINGS["drop-d"]


def test_a_tuning_has_by_names() -> None:
    assert tuning_named("half step down") is TUNINGS["e-flat"]
    assert tuning_named("7 strings") is TUNINGS["seven-string"]


def test_an_unknown_tuning_is_answered_with_the_nearest() -> None:
    with pytest.raises(UnknownWord, match="'drop-f' is not a tuning; nearest: 'drop-d'"):
        tuning_named("drop-f")


def test_the_fretboard_gives_every_place_of_a_pitch_up_to_the_last_fret() -> None:
    standard = TUNINGS["standard"]

    assert standard.locations_of(64, 24) == tuple(
        Location(course, fret) for course, fret in ((1, 0), (2, 5), (3, 9), (4, 14), (5, 19), (6, 24))
    )
    assert standard.locations_of(64, 23)[-1] == Location(5, 19)
    assert standard.locations_of(39, 24) == ()
