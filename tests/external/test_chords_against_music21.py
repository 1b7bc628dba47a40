"""Chords by degrees mean what music21 means by the same figures.

Source: music21's `roman.RomanNumeral` (BSD licence), with the sixth and seventh degree of minor taken as they lie in
natural minor, which is the convention here.
"""

import pytest
from music21 import key as m21_key
from music21.roman import Minor67Default, RomanNumeral

from trainer.theory.chords import chord_named
from trainer.theory.scale import key_named

ROOTS = ("C", "G", "D", "A", "E", "B", "F#", "F", "Bb", "Eb", "Ab", "Db")
MAJOR = ("I", "ii", "iii", "IV", "V", "vi", "vii\u00b0", "V7", "bVII", "bVI", "bIII", "I+", "vii\u00b07", "i", "iv")
MINOR = ("i", "III", "iv", "v", "V", "VI", "VII", "V7", "VII7", "III+", "IV", "I")


def theirs(figure: str, root: str, mode: str) -> set[int]:
    in_key = m21_key.Key(root.replace("b", "-"), mode)
    numeral = RomanNumeral(
        figure.replace("\u00b0", "o"), in_key, sixthMinor=Minor67Default.FLAT, seventhMinor=Minor67Default.FLAT
    )
    return {pitch.pitchClass for pitch in numeral.pitches}


@pytest.mark.parametrize("root", ROOTS)
@pytest.mark.parametrize(("mode", "figures"), [("major", MAJOR), ("minor", MINOR)], ids=["major", "minor"])
def test_the_same_figure_has_the_same_notes(root: str, mode: str, figures: tuple[str, ...]) -> None:
    key = key_named(f"{root} {mode}")

    ours = {figure: set(chord_named(figure, key).pitch_classes) for figure in figures}

    assert ours == {figure: theirs(figure, root, mode) for figure in figures}
