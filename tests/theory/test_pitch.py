import pytest

from trainer.theory.naming import UnknownWord
from trainer.theory.pitch import (
    Interval,
    Note,
    interval_between,
    interval_of_degree,
    note_named,
    pitch_name,
    pitch_named,
)


def test_middle_c_is_c4_and_60() -> None:
    assert pitch_named("C4") == 60
    assert pitch_name(60) == "C4"


def test_an_octave_number_belongs_to_the_letter() -> None:
    assert [pitch_named(name) for name in ("Cb4", "B3", "B#3", "C4")] == [59, 59, 60, 60]
    assert note_named("Cb").at(59) == "Cb4"
    assert note_named("B#").at(60) == "B#3"


def test_every_midi_number_is_read_back_from_its_name() -> None:
    assert [pitch_named(pitch_name(pitch)) for pitch in range(128)] == list(range(128))
    assert [pitch_named(pitch_name(pitch, flats=True)) for pitch in range(128)] == list(range(128))


def test_typographic_signs_are_read() -> None:
    assert note_named("F♯") == Note("F", 1)
    assert note_named("e♭") == Note("E", -1)


@pytest.mark.parametrize("text", ["", "H", "F#b", "F###", "Bbb4"])
def test_what_is_no_note_is_refused(text: str) -> None:
    with pytest.raises(UnknownWord):
        note_named(text)


def test_a_note_refuses_a_pitch_that_is_not_its_own() -> None:
    with pytest.raises(ValueError, match="pitch 61 is not a C"):
        Note("C").at(61)


@pytest.mark.parametrize(
    ("degree", "interval", "name"),
    [
        ("1", Interval(1, 0), "perfect unison"),
        ("b2", Interval(2, 1), "minor second"),
        ("b3", Interval(3, 3), "minor third"),
        ("3", Interval(3, 4), "major third"),
        ("#4", Interval(4, 6), "augmented fourth"),
        ("b5", Interval(5, 6), "diminished fifth"),
        ("5", Interval(5, 7), "perfect fifth"),
        ("bb7", Interval(7, 9), "diminished seventh"),
        ("8", Interval(8, 12), "perfect octave"),
    ],
)
def test_a_degree_is_an_interval_with_a_name(degree: str, interval: Interval, name: str) -> None:
    assert interval_of_degree(degree) == interval
    assert interval.degree == degree
    assert interval.name == name


def test_an_interval_keeps_its_letters() -> None:
    assert str(interval_of_degree("b3").above(note_named("Ab"))) == "Cb"
    assert str(interval_of_degree("7").above(note_named("G#"))) == "F##"
    assert interval_between(note_named("Ab"), note_named("Cb")) == Interval(3, 3)
    assert interval_between(note_named("B"), note_named("F")).name == "diminished fifth"
