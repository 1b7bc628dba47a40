import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.theory.naming import UnknownWord
from trainer.theory.scale import SCALES, key_named, scale_named


def spelled(name: str) -> str:
    return " ".join(str(note) for note in key_named(name).notes)


@pytest.mark.parametrize(
    ("key", "notes"),
    [
        ("A minor pentatonic", "A C D E G"),
        ("F# minor pentatonic", "F# A B C# E"),
        ("Ab dorian", "Ab Bb Cb Db Eb F Gb"),
        ("C# major", "C# D# E# F# G# A# B#"),
        ("E blues", "E G A Bb B D"),
        ("D harmonic minor", "D E F G A Bb C#"),
        ("Eb melodic minor", "Eb F Gb Ab Bb C D"),
        ("G# harmonic minor", "G# A# B C# D# E F##"),
        ("F lydian", "F G A B C D E"),
    ],
)
def test_a_key_spells_its_notes(key: str, notes: str) -> None:
    assert spelled(key) == notes


def test_scales_have_by_names() -> None:
    assert scale_named("natural minor") == scale_named("aeolian") == scale_named("minor")
    assert scale_named("Minor Pent") == scale_named("minor-pentatonic") == SCALES["minor pentatonic"]


def test_a_key_spells_pitches_with_their_octaves() -> None:
    key = key_named("Ab dorian")

    assert [key.spell(pitch) for pitch in (56, 58, 59, 61)] == ["Ab3", "Bb3", "Cb4", "Db4"]
    with pytest.raises(ValueError, match="pitch 60 is not in Ab dorian"):
        key.spell(60)


@pytest.mark.parametrize(
    ("text", "word", "nearest"),
    [
        ("B minor pentatonik", "pentatonik", "pentatonic"),
        ("B dorean", "dorean", "dorian"),
        ("B mynor pentatonic", "mynor", "minor"),
    ],
)
def test_a_slip_in_a_key_is_named_with_the_nearest_word(text: str, word: str, nearest: str) -> None:
    with pytest.raises(UnknownWord) as caught:
        key_named(text)

    assert (caught.value.word, caught.value.nearest) == (word, nearest)


@given(
    root=st.sampled_from(
        ["C", "C#", "Db", "D", "D#", "Eb", "E", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb", "B"]
    ),
    scale=st.sampled_from(sorted(SCALES)),
    pitch=st.integers(0, 127),
)
def test_the_first_step_from_a_pitch_is_the_lowest_that_reaches_it(root: str, scale: str, pitch: int) -> None:
    key = key_named(f"{root} {scale}")

    step = key.first_step_from(pitch)

    assert key.pitch_of_step(step - 1) < pitch <= key.pitch_of_step(step)
    assert key.pitch_of_step(step) % 12 in key.pitch_classes
