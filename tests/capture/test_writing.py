from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.capture.listening import PhraseNote
from trainer.capture.writing import Asked, CaptureError, captured
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_exercise
from trainer.score.note_list import exercise_from_note_list, note_list_text
from trainer.score.tempo import Tempo

from .builders import SECOND_NS, STANDARD, note, onsets, phrase_of

AT_120 = Asked(STANDARD, tempo=Tempo(Fraction(120)), starts_at_ns=0)


def as_asked(exercise: Exercise) -> Asked:
    return Asked(exercise.tuning, exercise.meter, exercise.tempo, 2 * SECOND_NS, exercise.name)


def notes_of(exercise: Exercise) -> list[tuple[object, ...]]:
    return sorted(
        (each.onset_quarters, each.location, each.technique, each.slide_from or (0, 0)) for each in exercise.notes
    )


@pytest.mark.parametrize("name", exercise_names())
def test_an_exact_performance_of_every_shipped_line_is_written_as_the_line(name: str) -> None:
    exercise = load_exercise(name)

    found = captured(phrase_of(exercise), as_asked(exercise)).exercise

    places = {(each.onset_quarters, each.location) for each in exercise.notes}
    assert {(each.onset_quarters, each.location) for each in found.notes} == places


@pytest.mark.parametrize("jitter_ms", [5, 15, 25])
def test_nearly_every_note_of_unsteady_performances_is_written_where_it_was_meant(jitter_ms: int) -> None:
    meant, found = 0, 0

    for name in exercise_names()[jitter_ms // 10 % 2 :: 2]:
        exercise = load_exercise(name)
        written = captured(phrase_of(exercise, jitter_ms, seed=jitter_ms), as_asked(exercise)).exercise
        places = {(each.onset_quarters, each.location) for each in written.notes}
        meant += len(exercise.notes)
        found += sum((each.onset_quarters, each.location) in places for each in exercise.notes)

    assert found / meant >= 0.98


def test_techniques_are_written_as_heard() -> None:
    exercise = load_exercise("quarry-steps-legato")

    found = captured(phrase_of(exercise), as_asked(exercise)).exercise

    assert notes_of(found) == notes_of(exercise)


def test_what_is_written_can_be_saved_and_read_again() -> None:
    found = captured(phrase_of(load_exercise("two-gates")), as_asked(load_exercise("two-gates"))).exercise

    assert exercise_from_note_list(note_list_text(found), found.name, "x") == found


def test_the_line_begins_on_the_bar_of_its_first_note() -> None:
    phrase = [note(4500, "1/5"), note(5000, "1/8"), note(5500, "1/5"), note(6000, "1/8")]

    assert onsets(captured(phrase, AT_120).exercise) == [1, 2, 3, 4]


def test_notes_of_one_stroke_share_an_onset() -> None:
    chord = [note(0, "4/2"), note(12, "3/2"), note(24, "2/1"), note(520, "2/1"), note(1000, "1/0")]

    found = captured(chord, AT_120).exercise

    assert [(each.onset_quarters, each.course) for each in found.notes] == [(0, 4), (0, 3), (0, 2), (1, 2), (2, 1)]


def test_even_late_offbeats_are_swing() -> None:
    phrase = [note(500 * beat + late, f"1/{beat % 4 + 5}") for beat in range(12) for late in (0, 315)]

    found = captured(phrase, AT_120)

    assert found.swing == pytest.approx(0.63, abs=0.01)
    assert onsets(found.exercise)[:4] == [0, Fraction(2, 3), 1, Fraction(5, 3)]
    assert any("swung eighths" in remark for remark in found.remarks)


def test_straight_eighths_are_not_swing() -> None:
    phrase = [note(500 * beat + late, f"1/{beat % 4 + 5}") for beat in range(12) for late in (8, 262)]

    assert captured(phrase, AT_120).swing is None


def test_a_note_that_stopped_long_before_the_next_is_written_short() -> None:
    phrase = [note(0, "1/5", lasts_ms=240), note(1000, "1/8", lasts_ms=900), note(2000, "1/5", lasts_ms=480)]

    found = captured(phrase, AT_120).exercise

    assert [each.duration_quarters for each in found.notes] == [Fraction(1, 2), 2, 1]


def test_strings_that_the_device_does_not_tell_are_chosen_and_said_to_be() -> None:
    phrase = [note(500 * at, f"0/{pitch}") for at, pitch in enumerate((60, 62, 64, 65, 67))]

    found = captured(phrase, AT_120)

    assert [each.pitch for each in found.exercise.notes] == [60, 62, 64, 65, 67]
    assert "The device does not tell strings; they were chosen by least hand movement." in found.remarks


def test_notes_off_the_neck_are_listed() -> None:
    phrase = [note(0, "1/5"), note(500, "1/30"), note(1000, "1/5")]

    found = captured(phrase, AT_120)

    assert len(found.exercise.notes) == 2
    assert "1 note off the neck in this tuning left out." in found.remarks


def test_grid_error_key_and_position_are_said_in_words() -> None:
    exercise = load_exercise("two-gates")

    remarks = captured(phrase_of(exercise, jitter_ms=10), as_asked(exercise)).remarks

    assert [remark.partition(":")[0] for remark in remarks[:4]] == ["Grid", "Error", "Key", "Positions"]
    assert "ms from the grid" in remarks[1]


@pytest.mark.parametrize("phrase", [[], [note(0, "1/30")]])
def test_nothing_heard_is_nothing_written(phrase: list[PhraseNote]) -> None:
    with pytest.raises(CaptureError, match="no note was heard"):
        captured(phrase, AT_120)


def sixteenths_at(tempo: int) -> list[PhraseNote]:
    """A scale that runs on, in even sixteenths without accents."""
    return [note(15_000 * at / tempo, f"{6 - at // 8}/{3 + at % 8}") for at in range(48)]


def test_the_other_beats_that_it_could_be_are_said_with_their_numbers() -> None:
    found = captured(sixteenths_at(66), Asked(STANDARD))

    others = [remark for remark in found.remarks if remark.startswith("It could also be")]
    tempos = {round(60_000 / reading.beat) for reading in found.grid.readings}
    assert {66, 132} <= tempos
    assert len(others) == len(found.grid.readings) - 1
    assert all(f"`--reading {number}` writes that" in said for number, said in enumerate(others, start=2))


@pytest.mark.parametrize("tempo", [66, 132])
def test_the_player_can_have_any_of_the_beats_that_were_said(tempo: int) -> None:
    phrase = sixteenths_at(66)
    readings = captured(phrase, Asked(STANDARD)).grid.readings
    number = 1 + next(at for at, reading in enumerate(readings) if round(60_000 / reading.beat) == tempo)

    found = captured(phrase, Asked(STANDARD, reading=number))

    assert found.exercise.tempo == Tempo(Fraction(tempo))
    assert onsets(found.exercise) == [Fraction(at * tempo, 4 * 66) for at in range(48)]


def test_a_beat_that_was_not_said_is_refused_in_a_sentence() -> None:
    with pytest.raises(CaptureError, match="expected a reading from 1 to 1, not 2"):
        captured(sixteenths_at(66), Asked(STANDARD, tempo=Tempo(Fraction(66)), starts_at_ns=0, reading=2))


def test_accents_tell_sixteenths_from_eighths() -> None:
    phrase = [replace(each, velocity=90 + 25 * (at % 4 == 0)) for at, each in enumerate(sixteenths_at(66))]

    found = captured(phrase, Asked(STANDARD))

    assert found.exercise.tempo == Tempo(Fraction(66))
    assert set(found.grid.figures) == {4}
