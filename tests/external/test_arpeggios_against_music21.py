"""Chord tones, scale tones and published counts of the patterns, against music21 and arithmetic.

- Chords of the key: music21's `RomanNumeral` in the key of the exercise (an independent implementation).
- Groups of g over N notes: N - g + 1 groups, g * (N - g + 1) notes; fives in sixteenths meet the beat after 20 notes
  and the 4/4 bar line after 80: common practice and arithmetic (least common multiples of 5 and 4, and of 5 and 16).
- Three-notes-a-string shapes of G major: a published fingering chart's frets, from memory: 357 357 457 457 578 578.
"""

from fractions import Fraction
from math import lcm

import pytest
from music21 import key as m21_key
from music21 import roman

from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.score.one_line import exercise_from_line

KEYS = [
    ("C", "major"),
    ("G", "major"),
    ("Eb", "major"),
    ("F#", "major"),
    ("A", "minor"),
    ("C#", "minor"),
    ("Bb", "minor"),
]
NUMERALS = {"major": ["I", "ii", "iii", "IV", "V", "vi", "viio"], "minor": ["i", "iio", "III", "iv", "v", "VI", "VII"]}
SEVENTHS = {
    "major": ["I7", "ii7", "iii7", "IV7", "V7", "vi7", "vii/o7"],
    "minor": ["i7", "ii/o7", "III7", "iv7", "v7", "VI7", "VII7"],
}


def pitch_classes(exercise: Exercise) -> set[int]:
    return {note.pitch % 12 for note in exercise.notes}


def chord(figure: str, root: str, mode: str) -> set[int]:
    scale = m21_key.Key(root.replace("b", "-"), mode)
    return {pitch.pitchClass for pitch in roman.RomanNumeral(figure, scale).pitches}


@pytest.mark.parametrize(("root", "mode"), KEYS)
@pytest.mark.parametrize("degree", range(1, 8))
@pytest.mark.parametrize("position", [1, 4])
def test_an_arpeggio_has_the_tones_of_the_keys_chord(root: str, mode: str, degree: int, position: int) -> None:
    line = f"{root} {mode}, positions {position}, {{}} {degree} up and down"

    triad, seventh = (exercise_from_line(line.format(kind)) for kind in ("arpeggio", "seventh arpeggio"))

    assert pitch_classes(triad) == chord(NUMERALS[mode][degree - 1], root, mode)
    assert pitch_classes(seventh) == chord(SEVENTHS[mode][degree - 1], root, mode)


@pytest.mark.parametrize(("root", "mode"), KEYS)
def test_a_sequence_of_triads_goes_through_the_keys_chords_in_order(root: str, mode: str) -> None:
    exercise = exercise_from_line(f"{root} {mode}, positions 1, triads up")

    for group in range(14):
        tones = {note.pitch % 12 for note in exercise.notes if note.group == group}
        assert tones == chord(NUMERALS[mode][group % 7], root, mode)


@pytest.mark.parametrize("tuning", ["standard", "drop-d", "dadgad", "seven-string"])
@pytest.mark.parametrize(("name", "size"), [("threes", 3), ("fours", 4), ("fives", 5), ("sixes", 6), ("sevens", 7)])
def test_groups_of_g_over_n_notes_number_n_minus_g_plus_one(name: str, size: int, tuning: str) -> None:
    exercise = exercise_from_line(f"A minor pentatonic, {tuning}, positions 2, {name} up, sixteenths")

    notes = 2 * len(exercise.tuning.open_pitches)
    assert len({note.group for note in exercise.notes}) == notes - size + 1
    assert len(exercise.notes) == size * (notes - size + 1)


@pytest.mark.parametrize(("size", "a_beat"), [(5, 4), (3, 4), (7, 4), (6, 4), (5, 3)])
def test_an_odd_group_meets_the_beat_and_the_bar_where_arithmetic_says(size: int, a_beat: int) -> None:
    names = {3: "threes", 5: "fives", 6: "sixes", 7: "sevens"}
    exercise = exercise_from_line(
        "A minor pentatonic, strings 1-2, climb by one from 1 for 64, accent groups, "
        f"{names[size]} down, {a_beat} a beat"
    )

    accents = [index for index, note in enumerate(exercise.notes) if note.accent]
    on_beat = [index for index in accents if exercise.notes[index].onset_quarters % 1 == 0]
    on_bar = [index for index in accents if exercise.notes[index].onset_quarters % 4 == 0]
    assert on_beat[1] == lcm(size, a_beat)
    assert on_bar[1] == lcm(size, 4 * a_beat)
    if (size, a_beat) == (5, 4):
        assert (on_beat[1], on_bar[1]) == (20, 80)


def test_the_shipped_fives_end_where_they_meet_the_bar_line() -> None:
    exercise = load_exercise("sheepfold-fives")

    assert len(exercise.notes) == 80
    assert exercise.length_quarters == Fraction(20)


def test_three_notes_a_string_of_g_major_lie_where_the_charts_have_them() -> None:
    exercise = exercise_from_line("G major, positions 1, up")

    frets = [tuple(note.fret for note in exercise.notes if note.course == course) for course in range(6, 0, -1)]
    assert frets == [(3, 5, 7), (3, 5, 7), (4, 5, 7), (4, 5, 7), (5, 7, 8), (5, 7, 8)]
