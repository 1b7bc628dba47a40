from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.theory.fretboard import Location
from trainer.theory.positions import Positions
from trainer.theory.scale import SCALES, key_named
from trainer.theory.tuning import TUNINGS


def positions(key: str, tuning: str = "standard", last_fret: int = 24, notes_a_string: int = 0) -> Positions:
    named = key_named(key)
    return Positions(named, TUNINGS[tuning], notes_a_string or named.scale.notes_a_string, last_fret)


def rows(ladder: Positions) -> list[str]:
    """Each whole form as its number and its frets from the last string to the first."""
    last = len(ladder.tuning.open_pitches)
    return [
        f"{form.number}: "
        + " ".join("-".join(str(fret) for fret in form.frets(course)) for course in range(last, 0, -1))
        for form in ladder.forms()
    ]


ROOTS = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]

# Common practice: the five positions of A minor pentatonic as they stand in any book of the trade, no single source.
A_MINOR_PENTATONIC = [
    "4: 0-3 0-3 0-2 0-2 1-3 0-3",
    "5: 3-5 3-5 2-5 2-5 3-5 3-5",
    "1: 5-8 5-7 5-7 5-7 5-8 5-8",
    "2: 8-10 7-10 7-10 7-9 8-10 8-10",
    "3: 10-12 10-12 10-12 9-12 10-13 10-12",
    "4: 12-15 12-15 12-14 12-14 13-15 12-15",
    "5: 15-17 15-17 14-17 14-17 15-17 15-17",
]

# Common practice, no source: G major, three notes a string.
G_MAJOR = [
    "6: 0-2-3 0-2-3 0-2-4 0-2-4 1-3-5 2-3-5",
    "7: 2-3-5 2-3-5 2-4-5 2-4-5 3-5-7 3-5-7",
    "1: 3-5-7 3-5-7 4-5-7 4-5-7 5-7-8 5-7-8",
    "2: 5-7-8 5-7-9 5-7-9 5-7-9 7-8-10 7-8-10",
    "3: 7-8-10 7-9-10 7-9-10 7-9-11 8-10-12 8-10-12",
    "4: 8-10-12 9-10-12 9-10-12 9-11-12 10-12-13 10-12-14",
    "5: 10-12-14 10-12-14 10-12-14 11-12-14 12-13-15 12-14-15",
]


def test_the_minor_pentatonic_has_five_positions_and_their_octaves() -> None:
    assert rows(positions("A minor pentatonic", last_fret=17)) == A_MINOR_PENTATONIC


def test_the_major_scale_has_seven_positions_of_three_notes_a_string() -> None:
    assert rows(positions("G major", last_fret=15)) == G_MAJOR


def test_in_drop_d_the_last_string_is_two_frets_further_up_and_the_rest_stays() -> None:
    assert rows(positions("A minor pentatonic", tuning="drop-d", last_fret=14))[-3:] == [
        "1: 7-10 5-7 5-7 5-7 5-8 5-8",
        "2: 10-12 7-10 7-10 7-9 8-10 8-10",
        "3: 12-14 10-12 10-12 9-12 10-13 10-12",
    ]


def test_a_form_hides_what_lies_past_the_last_fret() -> None:
    ladder = positions("A minor pentatonic", last_fret=16)

    form = ladder.form(ladder.forms()[-1].rung + 1)

    assert (form.number, form.is_whole, form.hidden) == (5, False, 6)
    assert form.notes == tuple(Location(course, 14 if course in {3, 4} else 15) for course in range(6, 0, -1))


def test_a_position_knows_its_low_form_and_the_form_an_octave_up() -> None:
    ladder = positions("A minor pentatonic")

    low, high = ladder.low(4), ladder.octave_up(4)

    assert low is not None
    assert high is not None
    assert (low.frets(6), high.frets(6)) == ((0, 3), (12, 15))
    assert ladder.octave_up(3) is None
    assert positions("A minor pentatonic", last_fret=12).low(4) is not None
    assert positions("A minor pentatonic", last_fret=12).octave_up(4) is None


def test_strings_past_the_last_fret_do_not_matter_to_a_line_that_leaves_them_out() -> None:
    ladder = positions("A minor pentatonic", last_fret=15)

    assert [form.number for form in ladder.forms([1, 2])][-1] == 4
    assert [form.number for form in positions("A minor pentatonic", last_fret=16).forms([1, 2])][-1] == 4
    assert [form.number for form in positions("A minor pentatonic", last_fret=17).forms([3])][-1] == 5


def test_more_notes_a_string_than_the_scale_has_are_refused() -> None:
    with pytest.raises(ValueError, match=r"6 notes a string are not in 1\.\.5"):
        positions("A minor pentatonic", notes_a_string=6)


ladders = st.builds(
    positions,
    st.builds(
        "{} {}".format,
        st.sampled_from(ROOTS),
        st.sampled_from(sorted(SCALES)),
    ),
    st.sampled_from(sorted(set(TUNINGS) - {"ukulele"})),
    st.integers(12, 27),
    st.integers(1, 4),
)


@given(ladders)
def test_neighbouring_forms_share_all_but_one_note_of_every_string(ladder: Positions) -> None:
    forms = {form.rung: form for form in ladder.forms()}

    for rung, form in forms.items():
        if (higher := forms.get(rung + 1)) is not None:
            for course in ladder.tuning.courses:
                assert form.frets(course)[1:] == higher.frets(course)[:-1]
            assert higher.number == form.number % ladder.count + 1


@given(ladders)
def test_a_form_is_a_row_of_neighbouring_scale_notes_from_its_degree_on_the_lowest_string(ladder: Positions) -> None:
    for form in ladder.forms():
        pitches = [ladder.tuning.pitch_at(note) for note in form.notes]
        first = ladder.key.first_step_from(pitches[0])
        assert pitches == [ladder.key.pitch_of_step(first + step) for step in range(len(pitches))]
        assert ladder.key.notes[form.number - 1].pitch_class == pitches[0] % 12


@given(ladders)
def test_forms_lie_on_the_neck_and_the_next_ones_on_either_side_do_not(ladder: Positions) -> None:
    rungs = [form.rung for form in ladder.forms()]

    for form in ladder.forms():
        assert all(0 <= note.fret <= ladder.last_fret for note in form.notes)
    for beyond in (rungs[0] - 1, rungs[-1] + 1) if rungs else ():
        assert not ladder.form(beyond).is_whole


@given(st.sampled_from(ROOTS), st.sampled_from(["minor", "major"]))
def test_a_shift_of_one_pentatonic_position_moves_each_note_two_or_three_frets(root: str, kind: str) -> None:
    ladder = positions(f"{root} {kind} pentatonic")
    forms = ladder.forms()

    for low, high in pairwise(forms):
        shifts = {b.fret - a.fret for a, b in zip(low.notes, high.notes, strict=True)}
        assert shifts <= {2, 3}
