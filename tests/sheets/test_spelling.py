from dataclasses import replace

import pytest

from tests.sheets.test_text_tablature import line
from trainer.sheets.spelling import Clef, Signature, SpelledPitch, Spelling, clef_of, signature_of
from trainer.theory.scale import key_named
from trainer.theory.tuning import TUNINGS


@pytest.mark.parametrize(
    ("key", "signature"),
    [
        ("B minor pentatonic", Signature(2, "minor")),
        ("C major pentatonic", Signature(0, "major")),
        ("E blues", Signature(1, "minor")),
        ("D melodic minor", Signature(-1, "minor")),
        ("Ab dorian", Signature(-6, "dorian")),
        ("G# major", Signature(7, "")),
    ],
)
def test_a_key_has_the_signature_that_players_expect(key: str, signature: Signature) -> None:
    assert signature_of(key_named(key)) == signature


def test_a_signature_alters_its_letters() -> None:
    assert [Signature(2).alter_of(step) for step in "CDEFGAB"] == [1, 0, 0, 1, 0, 0, 0]
    assert [Signature(-3).alter_of(step) for step in "CDEFGAB"] == [0, 0, -1, 0, 0, -1, -1]


@pytest.mark.parametrize(
    ("key", "pitch", "spelled"),
    [
        ("Ab minor", 59, SpelledPitch("C", -1, 4)),
        ("C# major", 60, SpelledPitch("B", 1, 3)),
        ("A harmonic minor", 68, SpelledPitch("G", 1, 4)),
        ("F major", 61, SpelledPitch("D", -1, 4)),
        ("G major", 61, SpelledPitch("C", 1, 4)),
        ("", 61, SpelledPitch("C", 1, 4)),
        ("something else", 61, SpelledPitch("C", 1, 4)),
    ],
)
def test_a_pitch_is_spelled_by_its_key(key: str, pitch: int, spelled: SpelledPitch) -> None:
    assert Spelling(replace(line("1/5"), key=key)).of(pitch) == spelled


@pytest.mark.parametrize(
    ("tuning", "clef"),
    [
        ("standard", Clef("G", 2, -1)),
        ("eight-string", Clef("G", 2, -1)),
        ("baritone", Clef("G", 2, -1)),
        ("bass", Clef("F", 4, -1)),
        ("six-string-bass", Clef("F", 4, -1)),
        ("ukulele", Clef("G", 2, 0)),
    ],
)
def test_an_instrument_has_its_clef(tuning: str, clef: Clef) -> None:
    assert clef_of(TUNINGS[tuning]) == clef
