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


def test_notes_that_a_technique_joins_lie_on_one_string() -> None:
    # E4 F4 in open position would be played on the open first string; a fifth between two strings' open notes too.
    free = [chord[0] for chord in place_line([[59], [64]], STANDARD, 24)]
    joined = [chord[0] for chord in place_line([[59], [64]], STANDARD, 24, {1: [(0, 0)]})]

    assert [place.course for place in free] == [2, 1]
    assert len({place.course for place in joined}) == 1
    assert [STANDARD.pitch_at(place) for place in joined] == [59, 64]


@settings(deadline=None, max_examples=50)
@given(st.lists(st.integers(40, 88), min_size=1, max_size=40))
def test_every_place_sounds_its_pitch(pitches: list[int]) -> None:
    line = place_line([[pitch] for pitch in pitches], STANDARD, 24)

    assert [STANDARD.pitch_at(chord[0]) for chord in line] == pitches


@settings(deadline=None, max_examples=50)
@given(st.lists(st.integers(52, 76), min_size=2, max_size=20), st.data())
def test_joined_notes_share_a_string_wherever_one_string_has_both(pitches: list[int], data: st.DataObject) -> None:
    joined = data.draw(st.sets(st.integers(1, len(pitches) - 1)))
    line = place_line([[pitch] for pitch in pitches], STANDARD, 24, {at: [(0, 0)] for at in joined})

    assert [STANDARD.pitch_at(chord[0]) for chord in line] == pitches
    for at in joined:
        if abs(pitches[at] - pitches[at - 1]) <= 7 and not {at - 1, at + 1} & joined:
            assert line[at][0].course == line[at - 1][0].course
