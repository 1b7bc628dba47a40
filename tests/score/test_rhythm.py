from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.score.rhythm import Division, Figure, Rhythm, duration_of, duration_text, figure_of, rhythm_of, rhythm_text
from trainer.theory.naming import UnknownWord

EIGHTH, SIXTEENTH = Fraction(1, 2), Fraction(1, 4)


@pytest.mark.parametrize(
    ("text", "rhythm"),
    [
        ("sixteenths", Figure((SIXTEENTH,), (False,))),
        ("Triplets", Figure((Fraction(1, 3),), (False,))),
        ("thirty-seconds", Figure((Fraction(1, 8),), (False,))),
        ("dotted eighth + sixteenth", Figure((Fraction(3, 4), SIXTEENTH), (False, False))),
        ("eighth + two sixteenths", Figure((EIGHTH, SIXTEENTH, SIXTEENTH), (False,) * 3)),
        ("2 sixteenths + dotted eighth rest", Figure((SIXTEENTH, SIXTEENTH, Fraction(3, 4)), (False, False, True))),
        ("5 a beat", Division((5,))),
        ("seven notes a beat", Division((7,))),
        ("4 then 3 a beat", Division((4, 3))),
    ],
)
def test_a_rhythm_is_read(text: str, rhythm: Rhythm) -> None:
    assert rhythm_of(text) == rhythm
    assert rhythm_of(rhythm_text(rhythm)) == rhythm


@pytest.mark.parametrize(
    ("text", "word", "nearest"),
    [
        ("sixtenths", "sixtenths", "sixteenths"),
        ("9 a beat", "9", None),
        ("0 a beat", "0", None),
        ("eighth sixteenth", "sixteenth", None),
        ("eighth +", "", None),
        ("eighth rest", "eighth rest", None),
        ("", "", None),
    ],
)
def test_a_slip_in_a_rhythm_is_named(text: str, word: str, nearest: str | None) -> None:
    with pytest.raises(UnknownWord) as caught:
        rhythm_of(text)

    assert (caught.value.word, caught.value.nearest) == (word, nearest)


def test_a_division_follows_the_beat_of_the_meter() -> None:
    assert figure_of(Division((2, 3)), Fraction(1, 2)) == Figure(
        (SIXTEENTH, SIXTEENTH, Fraction(1, 6), Fraction(1, 6), Fraction(1, 6)), (False,) * 5
    )


@pytest.mark.parametrize("notes_a_beat", range(1, 9))
def test_the_notes_of_a_beat_fill_it_exactly(notes_a_beat: int) -> None:
    figure = figure_of(Division((notes_a_beat,)), Fraction(1))

    assert sum(figure.durations_quarters) == 1
    assert len(figure.durations_quarters) == notes_a_beat


def test_tied_values_last_as_long_as_both() -> None:
    assert rhythm_of("quarter tied to a sixteenth + dotted eighth") == Figure(
        (Fraction(5, 4), Fraction(3, 4)), (False, False)
    )
    assert duration_of("two sixteenths") == duration_of("an eighth") == EIGHTH
    with pytest.raises(UnknownWord, match="at most 3 values are tied"):
        rhythm_of("half tied to half tied to half tied to half")


def test_a_duration_that_no_few_values_make_has_no_name() -> None:
    assert duration_text(Fraction(5, 4)) == "quarter tied to sixteenth"
    with pytest.raises(ValueError, match="1/35 quarters are not made of 3 note values"):
        duration_text(Fraction(1, 35))


VALUES = st.builds(
    "{}{}{}{}".format,
    st.sampled_from(["", "two ", "7 "]),
    st.sampled_from(["", "dotted "]),
    st.sampled_from(["quarters", "eighth", "sixteenths", "triplets", "septuplet", "half tied to dotted eighth"]),
    st.sampled_from(["", " rest", " rests"]),
)


@given(st.lists(VALUES, max_size=6).map(lambda parts: " + ".join([*parts, "eighth"])))
def test_what_is_written_of_a_rhythm_reads_back(text: str) -> None:
    rhythm = rhythm_of(text)

    assert rhythm_of(rhythm_text(rhythm)) == rhythm
