"""Scales, spelling and pitches against music21 (BSD licence), and frequencies against the equal-temperament formula.

Reference: music21, https://www.music21.org; f = 440 * 2**((n - 69) / 12) with A4 = 440 Hz (ISO 16).
"""

import warnings

import pytest

from trainer.theory.pitch import pitch_name
from trainer.theory.scale import key_named
from trainer.theory.tuning import TUNINGS

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # music21 imports packages that deprecate each other
    from music21 import pitch as reference_pitch
    from music21 import scale as reference_scale

ROOTS = ("C", "C#", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")

SCALES = {
    "major": reference_scale.MajorScale,
    "minor": reference_scale.MinorScale,
    "dorian": reference_scale.DorianScale,
    "phrygian": reference_scale.PhrygianScale,
    "lydian": reference_scale.LydianScale,
    "mixolydian": reference_scale.MixolydianScale,
    "locrian": reference_scale.LocrianScale,
    "harmonic minor": reference_scale.HarmonicMinorScale,
    # music21's melodic minor differs upwards and downwards; ours is the rising form both ways.
    "melodic minor": reference_scale.MelodicMinorScale,
}


@pytest.mark.parametrize("root", ROOTS)
@pytest.mark.parametrize("scale", sorted(SCALES))
def test_every_scale_is_spelled_as_music21_spells_it(scale: str, root: str) -> None:
    reference = SCALES[scale](root.replace("b", "-"))
    low = f"{root.replace('b', '-')}4"

    rising = reference.getPitches(
        low, reference_pitch.Pitch(low).transpose("P8"), direction=reference_scale.Direction.ASCENDING
    )

    expected = [pitch.name.replace("-", "b") for pitch in rising[:7]]
    assert [str(note) for note in key_named(f"{root} {scale}").notes] == expected


@pytest.mark.parametrize("root", ROOTS)
def test_the_pentatonics_are_the_minor_and_major_scale_without_two_degrees(root: str) -> None:
    """Common practice, no source: minor without its second and sixth, major without its fourth and seventh."""
    minor, major = key_named(f"{root} minor").notes, key_named(f"{root} major").notes

    assert key_named(f"{root} minor pentatonic").notes == tuple(minor[place] for place in (0, 2, 3, 4, 6))
    assert key_named(f"{root} major pentatonic").notes == tuple(major[place] for place in (0, 1, 2, 4, 5))


def test_every_midi_number_from_c0_has_the_name_that_music21_reads_as_that_number() -> None:
    """Below C0 music21 reads the minus sign of the octave as a flat."""
    names = {number: pitch_name(number) for number in range(12, 128)}

    assert {number: reference_pitch.Pitch(name).midi for number, name in names.items()} == {n: n for n in names}


@pytest.mark.parametrize("tuning", sorted(TUNINGS))
def test_open_strings_have_music21s_frequencies_and_those_of_the_formula(tuning: str) -> None:
    for number in TUNINGS[tuning].open_pitches:
        hertz = 440 * 2 ** ((number - 69) / 12)
        assert reference_pitch.Pitch(midi=number).frequency == pytest.approx(hertz, abs=1e-6)


def test_standard_tuning_has_the_frequencies_that_handbooks_print() -> None:
    """Open strings in Hz to two decimals: common practice (any handbook of the guitar), from the formula above."""
    printed = [329.63, 246.94, 196.00, 146.83, 110.00, 82.41]

    assert [round(440 * 2 ** ((n - 69) / 12), 2) for n in TUNINGS["standard"].open_pitches] == printed
