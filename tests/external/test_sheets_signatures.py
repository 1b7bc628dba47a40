"""Key signatures against music21 (BSD-3-Clause), which derives them from the mode and its tonic."""

import music21
import pytest

from trainer.sheets.spelling import Signature, signature_of
from trainer.theory.scale import key_named

ROOTS = ["C", "G", "D", "A", "E", "B", "F#", "F", "Bb", "Eb", "Ab", "Db", "C#", "G#", "D#"]
MODES = ["major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "locrian"]


def sharps_of(root: str, mode: str) -> int:
    return int(music21.key.Key(root.replace("b", "-"), mode).sharps)


# No signature has more than seven sharps or flats.
@pytest.mark.parametrize(
    ("root", "mode"), [(root, mode) for root in ROOTS for mode in MODES if abs(sharps_of(root, mode)) <= 7]
)
def test_a_mode_has_the_sharps_that_music21_gives_it(root: str, mode: str) -> None:
    assert signature_of(key_named(f"{root} {mode}")) == Signature(sharps_of(root, mode), mode)


@pytest.mark.parametrize("root", [root for root in ROOTS if root not in {"Db", "D#", "G#"}])
def test_pentatonics_and_the_blues_have_the_signature_of_their_major_or_minor(root: str) -> None:
    for scale, mode in (("minor pentatonic", "minor"), ("blues", "minor"), ("major pentatonic", "major")):
        if abs(sharps_of(root, mode)) <= 7:
            assert signature_of(key_named(f"{root} {scale}")).fifths == sharps_of(root, mode)
