import io
import tempfile
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import mido
import pytest
from hypothesis import HealthCheck, given, settings

from tests.score.recipes import TABLES
from tests.sheets.returning import sounded, through_a_file
from tests.sheets.test_text_tablature import line
from trainer.score.compose import compose
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.library import exercise_names, load_exercise
from trainer.score.meter import Meter
from trainer.score.midi_reading import read_midi_exercise
from trainer.score.recipe import Recipe
from trainer.sheets import midi_writing
from trainer.sheets.errors import SheetError
from trainer.sheets.midi_writing import midi_file, ticks_per_quarter
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique
from trainer.theory.tuning import TUNINGS, Tuning


def returned(exercise: Exercise) -> Exercise:
    with tempfile.TemporaryDirectory() as folder:
        return through_a_file(midi_file(exercise), f"{exercise.name}.mid", read_midi_exercise, Path(folder))


def is_known_by_channels(exercise: Exercise) -> bool:
    """Whether a reader that knows only channels sees the right tuning: the strings used are those of a guitar."""
    standard = TUNINGS["eight-string"].open_pitches
    strings = exercise.tuning.open_pitches[: exercise.courses[-1]]
    return strings == standard[: len(strings)]


# A MIDI file says nothing that a reader could take another tuning from.
@pytest.mark.parametrize("name", [name for name in exercise_names() if is_known_by_channels(load_exercise(name))])
def test_a_shipped_exercise_comes_back_the_same(name: str) -> None:
    exercise = load_exercise(name)

    back = returned(exercise)

    assert sounded(back) == sounded(exercise)
    assert back.meter == exercise.meter
    assert back.title == exercise.title
    assert float(back.tempo.quarters_per_minute) == pytest.approx(float(exercise.tempo.quarters_per_minute), rel=1e-6)
    assert {note.technique for note in back.notes} == {Technique.PICK}


@given(TABLES)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
def test_every_recipe_that_compiles_comes_back_the_same(table: dict[str, object]) -> None:
    try:
        exercise = compose(Recipe.model_validate(table), "line")
    except Unplayable:
        return

    assert_returns(exercise)


def assert_returns(exercise: Exercise) -> None:
    assert sounded(returned(exercise)) == sounded(exercise)
    assert returned(exercise).tuning.open_pitches == exercise.tuning.open_pitches


def late(note: ScoreNote) -> ScoreNote:
    return replace(note, onset_quarters=note.onset_quarters + Fraction(1, 8))


def sharp(note: ScoreNote) -> ScoreNote:
    return replace(note, pitch=note.pitch + 1)


def short(note: ScoreNote) -> ScoreNote:
    return replace(note, duration_quarters=note.duration_quarters / 2)


def elsewhere(note: ScoreNote) -> ScoreNote:
    return replace(note, location=Location(note.course % 6 + 1, note.fret))


@pytest.mark.parametrize("slip", [late, sharp, short, elsewhere])
def test_a_writer_that_slips_at_one_note_is_found_out(
    monkeypatch: pytest.MonkeyPatch, slip: Callable[[ScoreNote], ScoreNote]
) -> None:
    def broken(exercise: Exercise, ticks: int) -> mido.MidiTrack:
        *others, last = exercise.notes
        return write(replace(exercise, notes=(*others, slip(last))), ticks)

    write = midi_writing._strings
    exercise = line("1/5", "2/5", "1/8", "2/8")
    assert_returns(exercise)

    monkeypatch.setattr(midi_writing, "_strings", broken)

    with pytest.raises(AssertionError):
        assert_returns(exercise)


def messages(exercise: Exercise, kind: str) -> list[tuple[int, mido.Message]]:
    file = mido.MidiFile(file=io.BytesIO(midi_file(exercise)))
    found = []
    for track in file.tracks:
        tick = 0
        for message in track:
            tick += message.time
            if message.type == kind:
                found.append((tick, message))
    return found


def test_each_string_has_its_channel_and_accents_are_louder() -> None:
    picked = line("1/5", "6/3")
    exercise = replace(picked, notes=(replace(picked.notes[0], accent=True), picked.notes[1]))

    begun = [(tick, message.channel, message.note, message.velocity) for tick, message in messages(exercise, "note_on")]

    assert begun == [(0, 0, 69, 112), (630, 5, 43, 80)]


def test_positions_are_markers() -> None:
    picked = line("1/5", "1/7", "1/9")
    positions = [replace(note, position=at) for note, at in zip(picked.notes, (2, 2, 3), strict=True)]

    marks = [(tick, message.text) for tick, message in messages(replace(picked, notes=tuple(positions)), "marker")]

    assert marks == [(0, "position 2"), (1260, "position 3")]


def test_tempo_and_bars_stand_at_the_start() -> None:
    exercise = line("1/5", meter=Meter(7, 8))

    ((tick, signature),) = messages(exercise, "time_signature")
    ((_, tempo),) = messages(exercise, "set_tempo")

    assert (tick, signature.numerator, signature.denominator) == (0, 7, 8)
    assert tempo.tempo == 666_667  # 90 a minute, to the nearest microsecond


@pytest.mark.parametrize(
    ("step", "ticks"),
    [
        (Fraction(1, 4), 2520),
        (Fraction(1, 10), 2520),
        (Fraction(1, 7), 2520),
        (Fraction(1, 16), 5040),
        (Fraction(1, 480), 10080),
        (Fraction(1, 32), 10080),
        (Fraction(1, 1920), 1920),
        (Fraction(1, 32767), 32767),
    ],
)
def test_every_time_is_a_whole_number_of_ticks(step: Fraction, ticks: int) -> None:
    exercise = line("1/5", "1/7", step=step)

    assert ticks_per_quarter(exercise) == ticks
    assert sounded(returned(exercise)) == sounded(exercise)


def test_times_that_no_number_of_ticks_fits_are_refused() -> None:
    with pytest.raises(SheetError, match="need 32768 ticks a quarter; a MIDI file has at most 32767"):
        midi_file(line("1/5", step=Fraction(1, 32768)))


def test_a_string_without_a_channel_is_refused() -> None:
    harp = Tuning("harp", tuple(range(70, 58, -1)))
    note = replace(line("1/5").notes[0], location=Location(10, 0), pitch=61)

    with pytest.raises(SheetError, match="string 10 has no channel of its own"):
        midi_file(replace(line("1/5"), tuning=harp, notes=(note,)))


def test_a_note_repeated_at_once_ends_before_it_begins_again() -> None:
    exercise = line("1/5", "1/5", "1/5")

    assert sounded(returned(exercise)) == sounded(exercise)


def test_a_title_outside_latin_letters_is_still_written() -> None:
    assert returned(replace(line("1/5"), title="Ступени")).title == "???????"
