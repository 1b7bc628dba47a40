import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.theory.chords import ChordsError, chord_named, chords_named, sequences
from trainer.theory.pitch import Note
from trainer.theory.scale import SCALES, Key, key_named

A_MINOR, A_MAJOR = key_named("A minor"), key_named("A major")
KEYS = st.builds(
    Key, st.builds(Note, st.sampled_from("ABCDEFG"), st.integers(-1, 1)), st.sampled_from(list(SCALES.values()))
)


def names(text: str, key: str) -> list[str]:
    return [chord.name for chord in chords_named(text, key_named(key))]


def test_capitals_have_a_major_third_and_small_letters_a_minor_one() -> None:
    assert [chord_named(word, A_MINOR).pitch_classes for word in ("i", "I")] == [(9, 0, 4), (9, 1, 4)]


@pytest.mark.parametrize(
    ("text", "key", "chords"),
    [
        ("i iv", "A minor", ["Am", "Dm"]),
        ("i VII VI VII", "A minor", ["Am", "G", "F", "G"]),
        ("I V vi IV", "Eb major", ["Eb", "Bb", "Cm", "Ab"]),
        ("i IV", "D dorian", ["Dm", "G"]),
        ("I7|IV7, V7", "E blues", ["E7", "A7", "B7"]),
        ("ii\u00f8 V7 im7b5 i\u00b07 idim Isus4 I5 I+", "C minor",
         ["Dm7b5", "G7", "Cm7b5", "Cdim7", "Cdim", "Csus4", "C5", "C+"]),
    ],
)  # fmt: skip
def test_a_sequence_is_read_by_the_degrees_of_its_key(text: str, key: str, chords: list[str]) -> None:
    assert names(text, key) == chords


def test_a_degree_without_a_sign_is_the_keys_own_and_one_with_a_sign_the_major_scales() -> None:
    assert names("VII bVII", "A minor") == ["G", "G"]
    assert names("VII bVII #IV", "A major") == ["G#", "G", "D#"]


@pytest.mark.parametrize(
    ("five", "seven"), [("B minor pentatonic", "B minor"), ("B blues", "B minor"), ("B major pentatonic", "B major")]
)
def test_a_scale_of_five_notes_borrows_its_degrees(five: str, seven: str) -> None:
    assert names("I II III IV V VI VII", five) == names("I II III IV V VI VII", seven)


def test_a_wrong_word_is_pointed_at_and_the_nearest_is_named() -> None:
    with pytest.raises(ChordsError) as caught:
        chords_named("i ivv VIII", A_MINOR)

    assert str(caught.value) == (
        "chords, column 3: 'ivv' is not a chord by its degree, such as i, IV, V7 or bVII; nearest: 'iv'\n"
        "chords, column 7: 'VIII' is not a chord by its degree, such as i, IV, V7 or bVII; nearest: 'VII'"
    )


@pytest.mark.parametrize(("text", "count"), [("  ", 0), ("i " * 9, 9)])
def test_too_few_or_too_many_chords_are_refused(text: str, count: int) -> None:
    with pytest.raises(ChordsError, match=f"{count} chords: expected 1 to 8"):
        chords_named(text, A_MINOR)


@given(KEYS)
def test_the_usual_sequences_of_every_key_can_be_read_and_begin_at_home(key: Key) -> None:
    read = [chords_named(text, key) for text in sequences(key)]

    assert {len(chords) for chords in read} == {2, 4}
    assert {chords[0].root for chords in read} == {key.root}


@given(KEYS.filter(lambda key: len(key.notes) == 7))
def test_the_usual_sequences_of_a_key_of_seven_notes_hold_none_but_its_notes(key: Key) -> None:
    used = {pc for text in sequences(key) for chord in chords_named(text, key) for pc in chord.pitch_classes}

    assert used <= key.pitch_classes


@given(st.text(alphabet="ivxIVX+#b7\u00b0 |,m", max_size=30))
def test_whatever_is_typed_is_chords_or_a_complaint(text: str) -> None:
    words = text.replace("|", " ").replace(",", " ").split()

    try:
        read = [chord.word for chord in chords_named(text, A_MAJOR)]
    except ChordsError:
        read = []

    assert read in ([], words)
