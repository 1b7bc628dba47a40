from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.score.counting import UNCOUNTED, count_a_beat, count_syllables, notes_a_beat
from trainer.score.meter import Meter


def counted(*onsets: str, meter: Meter | None = None) -> str:
    return " ".join(count_syllables([Fraction(onset) for onset in onsets], meter or Meter()))


@pytest.mark.parametrize(
    ("notes", "count"),
    [
        (1, "3"),
        (2, "3 &"),
        (3, "3 trip let"),
        (4, "3 e & a"),
        (5, "3 2 3 4 5"),
        (6, "3 trip let & trip let"),
        (7, "3 2 3 4 5 6 7"),
        (8, "3 ta e ta & ta a ta"),
    ],
)
def test_every_even_division_of_a_beat_is_counted(notes: int, count: str) -> None:
    assert counted(*(str(2 + Fraction(step, notes)) for step in range(notes))) == count
    assert count_a_beat(notes) == "1" + count[1:]


def test_left_out_notes_are_left_out_of_the_count() -> None:
    assert counted("0", "3/4", "1", "3/2", "2", "8/3", "13/4") == "1 a 2 & 3 let e"


def test_a_second_triplet_note_differs_in_threes_and_in_sixes() -> None:
    assert counted("0", "1/3", "2/3", "1", "7/6", "4/3") == "1 trip let 2 trip let"


def test_the_count_begins_again_in_every_bar() -> None:
    assert counted("0", "1", "2", "3", "4", meter=Meter(3, 4)) == "1 2 3 1 2"


def test_the_written_beat_counts() -> None:
    assert counted("0", "1/2", "1", "3/2", "7/4", meter=Meter(6, 8)) == "1 2 3 4 &"
    assert counted("0", "1/2", "1", "3/2", "2", meter=Meter(2, 2)) == "1 e & a 2"


def test_in_a_beat_of_mixed_figures_each_note_has_its_own_name() -> None:
    assert counted("0", "1/4", "2/3") == "1 e let"
    assert counted("0", "1/9", "2/5") == f"1 {UNCOUNTED} 3"


@given(st.lists(st.fractions(min_value=0, max_value=20, max_denominator=16), unique=True).map(sorted))
def test_every_onset_gets_one_word_and_every_beat_its_number(onsets: list[Fraction]) -> None:
    syllables = count_syllables(onsets, Meter())

    assert len(syllables) == len(onsets)
    for onset, syllable in zip(onsets, syllables, strict=True):
        if onset.denominator == 1:
            assert syllable == str(onset % 4 + 1)


@given(st.integers(1, 8))
def test_the_division_found_is_the_smallest(division: int) -> None:
    assert notes_a_beat([Fraction(step, division) for step in range(division)]) == division
