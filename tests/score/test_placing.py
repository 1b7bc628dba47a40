import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.score.placing import place_line
from trainer.theory.fretboard import Location
from trainer.theory.tuning import TUNINGS

STANDARD = TUNINGS["standard"]


def places(*pitches: int) -> list[tuple[int, int]]:
    return [tuple(chord[0]) for chord in place_line([[pitch] for pitch in pitches], STANDARD, 24)]


def test_a_scale_stays_under_one_hand() -> None:
    c_major = places(60, 62, 64, 65, 67, 69, 71, 72)

    frets = [fret for _, fret in c_major if fret]
    assert max(frets) - min(frets) <= 3


def test_what_comes_later_decides_where_an_early_note_lies() -> None:
    # E4 alone is the open first string; before a run up the neck it is fretted where the run begins.
    alone = places(64)
    before_a_run = places(64, 76, 77, 79, 76, 77, 79)

    assert alone == [(1, 0)]
    assert before_a_run[0][1] >= 5


def test_each_note_of_a_chord_has_a_string_of_its_own() -> None:
    (chord,) = place_line([[40, 47, 52, 56, 59, 64]], STANDARD, 24)

    assert chord == tuple(
        Location(course, fret) for course, fret in zip(range(6, 0, -1), (0, 2, 2, 1, 0, 0), strict=True)
    )


def test_a_chord_that_the_neck_has_no_room_for_is_named() -> None:
    with pytest.raises(ValueError, match="no free place for E2 F2"):
        place_line([[40, 41]], STANDARD, 24)


@settings(deadline=None, max_examples=50)
@given(st.lists(st.integers(40, 88), min_size=1, max_size=40))
def test_every_place_sounds_its_pitch(pitches: list[int]) -> None:
    line = place_line([[pitch] for pitch in pitches], STANDARD, 24)

    assert [STANDARD.pitch_at(chord[0]) for chord in line] == pitches
