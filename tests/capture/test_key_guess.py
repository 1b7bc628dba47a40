import pytest

from trainer.capture.key_guess import guessed_key, guessed_positions
from trainer.score.library import exercise_names, load_exercise
from trainer.theory.scale import key_named


@pytest.mark.parametrize("name", exercise_names())
def test_every_shipped_line_is_heard_in_the_notes_of_its_key(name: str) -> None:
    exercise = load_exercise(name)

    guess = guessed_key([note.pitch for note in exercise.notes])

    assert guess.key.pitch_classes == key_named(exercise.key).pitch_classes


def test_most_shipped_lines_are_heard_with_their_root() -> None:
    lines = [load_exercise(name) for name in exercise_names()]
    right = [line.key == guessed_key([note.pitch for note in line.notes]).key.name for line in lines]

    # Relative keys have the same notes: which of them is meant, a line without chords often does not say.
    assert sum(right) / len(right) >= 0.6


def test_a_scale_that_begins_and_ends_on_its_root_is_nearly_sure() -> None:
    guess = guessed_key([60, 62, 64, 65, 67, 69, 71, 72, 71, 69, 67, 65, 64, 62, 60])

    assert guess.key.name == "C major"
    assert guess.inside == 1
    assert guess.probability > 0.8


def test_a_single_note_is_only_a_guess() -> None:
    assert guessed_key([60]).probability < 0.5


def test_a_flat_key_is_spelled_with_flats() -> None:
    assert guessed_key([63, 65, 67, 68, 70, 72, 74, 75, 63]).key.name == "Eb major"


def test_no_notes_have_no_key() -> None:
    with pytest.raises(ValueError, match="no notes"):
        guessed_key([])


def test_positions_hold_the_notes_and_change_seldom() -> None:
    exercise = load_exercise("quarry-steps")

    numbers = guessed_positions(
        [note.location for note in exercise.notes], key_named(exercise.key), exercise.tuning, exercise.last_fret
    )

    assert None not in numbers
    right = sum(number == note.position for number, note in zip(numbers, exercise.notes, strict=True))
    assert right / len(numbers) >= 0.85
