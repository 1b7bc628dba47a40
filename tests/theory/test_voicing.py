from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from trainer.theory.chords import chord_named, chords_named
from trainer.theory.scale import key_named
from trainer.theory.voicing import HIGHEST, LOWEST, WIDEST, led, movement, voicings

C_MAJOR = key_named("C major")
WORDS = ("I", "ii", "IV", "V", "V7", "vi", "I5", "Imaj7", "V9", "vii\u00b07", "bVII", "#IV")


def moved(loop: tuple[tuple[int, ...], ...]) -> int:
    return sum(movement(before, after) for before, after in zip(loop, (*loop[1:], loop[0]), strict=True))


def test_common_notes_stay_and_the_others_take_the_nearest_step() -> None:
    assert led(chords_named("I vi IV", C_MAJOR)) == ((55, 60, 64), (57, 60, 64), (57, 60, 65))


def test_two_chords_without_a_common_note_move_by_steps() -> None:
    first, second = led(chords_named("I ii", C_MAJOR))

    assert [abs(low - high) for low, high in zip(first, second, strict=True)] == [2, 2, 1]


@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=3))
def test_no_other_voicings_of_a_loop_move_less(words: list[str]) -> None:
    chords = [chord_named(word, C_MAJOR) for word in words]

    least = min(moved(loop) for loop in product(*(voicings(chord) for chord in chords)))

    assert moved(led(chords)) == least


@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=8))
def test_a_voicing_has_the_chords_notes_close_together_in_the_middle(words: list[str]) -> None:
    chords = [chord_named(word, C_MAJOR) for word in words]

    for chord, pitches in zip(chords, led(chords), strict=True):
        assert LOWEST <= pitches[0] <= pitches[-1] <= min(HIGHEST, pitches[0] + WIDEST)
        left_out = set(chord.pitch_classes) - {pitch % 12 for pitch in pitches}
        assert left_out <= ({(chord.root.pitch_class + 7) % 12} if len(chord.semitones) == 5 else set())
