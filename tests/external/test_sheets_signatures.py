"""Key signatures against music21 (BSD-3-Clause), which derives them from the mode and its tonic."""

import music21
import pytest

from trainer.sheets.spelling import Signature, signature_of
from trainer.theory.scale import key_named

ROOTS = ["C", "G", "D", "A", "E", "B", "F#", "F", "Bb", "Eb", "Ab", "Db", "C#", "G#", "D#"]
MODES = ["major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "locrian"]


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("root", ROOTS)
def test_a_mode_has_the_sharps_that_music21_gives_it(root: str, mode: str) -> None:
    sharps = music21.key.Key(root.replace("b", "-"), mode).sharps
    if abs(sharps) > 7:
        pytest.skip("no signature has more than seven sharps or flats")

    assert signature_of(key_named(f"{root} {mode}")) == Signature(sharps, mode)


@pytest.mark.parametrize("root", [root for root in ROOTS if root not in {"Db", "D#", "G#"}])
def test_pentatonics_and_the_blues_have_the_signature_of_their_major_or_minor(root: str) -> None:
    tonic = root.replace("b", "-")
    for scale, mode in (("minor pentatonic", "minor"), ("blues", "minor"), ("major pentatonic", "major")):
        sharps = music21.key.Key(tonic, mode).sharps
        if abs(sharps) <= 7:
            assert signature_of(key_named(f"{root} {scale}")).fifths == sharps
