from dataclasses import asdict, replace
from fractions import Fraction
from pathlib import Path

import mido
import pytest
from click.testing import CliRunner, Result

from tests.builders import SECOND_NS, line, played
from tests.cli.test_judge import saved
from trainer.cli import main
from trainer.devices.recording import TakeWriter
from trainer.following.tolerance import Tolerance
from trainer.playing.take import TakeHeader
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.score.serial import exercise_to_dict


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path / "data"))
    return tmp_path / "data" / "exercises"


def boxwalk(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def places(exercise: Exercise) -> list[tuple[Fraction, int, int]]:
    return [(note.onset_quarters, note.course, note.fret) for note in exercise.notes]


def test_a_midi_file_with_its_click_is_written_down_as_it_was_meant(tmp_path: Path, own_folder: Path) -> None:
    take = saved(tmp_path / "take.mid", played(line()))

    result = boxwalk("capture", "--from", take, "--tempo", 120, "--starts-at", 2, "--save", "caught")

    assert result.exit_code == 0
    assert places(load_exercise(str(own_folder / "caught.toml"))) == places(line())


def test_grid_error_key_and_positions_are_shown(tmp_path: Path) -> None:
    take = saved(tmp_path / "take.mid", played(line()))

    words = boxwalk("capture", "--from", take).stdout

    for beginning in ("* Tempo: ", "* Grid: ", "* Error: onsets lie ", "* Key: E minor pentatonic", "* Positions: "):
        assert beginning in words


def test_a_take_of_ours_says_its_own_tempo_tuning_and_start(tmp_path: Path, own_folder: Path) -> None:
    exercise = line("cart-track")
    header = TakeHeader(
        program="boxwalk",
        date="",
        exercise_name=exercise.name,
        exercise=exercise_to_dict(exercise),
        pace="click",
        quarters_per_minute=exercise.tempo.quarters_per_minute,
        starts_at_ns=2 * SECOND_NS,
        tolerance=asdict(Tolerance()),
    )
    writer = TakeWriter(tmp_path / "take.mid", header)
    for message in played(exercise):
        writer.keep(message)
    writer.close()

    result = boxwalk("capture", "--from", tmp_path / "take.mid", "--save", "caught")

    assert result.exit_code == 0, result.output
    found = load_exercise(str(own_folder / "caught.toml"))
    assert (found.tuning, found.tempo, found.meter) == (exercise.tuning, exercise.tempo, exercise.meter)
    assert places(found) == places(exercise)


def test_a_keyboard_on_one_channel_gets_strings(tmp_path: Path) -> None:
    track = mido.MidiTrack()
    for pitch in (60, 62, 64, 65):
        track += [mido.Message("note_on", note=pitch, time=0), mido.Message("note_off", note=pitch, time=480)]
    mido.MidiFile(tracks=[track]).save(tmp_path / "keys.mid")

    result = boxwalk("capture", "--from", tmp_path / "keys.mid")

    assert "* The device does not tell strings; they were chosen by least hand movement." in result.stdout


@pytest.mark.parametrize(
    ("options", "reason"),
    [
        (["--pace", "click"], "a click needs its --tempo"),
        (["--starts-at", "2"], "--starts-at goes with --from"),
        (["--tempo", "1000"], "expected 10 to 400 quarters a minute"),
        (["--tuning", "dropd"], "nearest: 'drop-d'"),
        (["--meter", "4/5"], "a meter such as 4/4"),
        (["--save", "../escape"], "is not a name"),
        (["--from", "gone.mid"], "there is no take 'gone.mid'"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(options: list[str], reason: str) -> None:
    result = boxwalk("capture", *options)

    assert result.exit_code == 2
    assert reason in result.stderr


def test_a_file_without_notes_is_no_phrase(tmp_path: Path) -> None:
    mido.MidiFile(tracks=[mido.MidiTrack()]).save(tmp_path / "empty.mid")

    assert "nothing was written down: no note was heard" in boxwalk("capture", "--from", tmp_path / "empty.mid").stderr


def test_without_a_port_it_says_what_else_can_be_done(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trainer.station.input_names", tuple)

    result = boxwalk("capture")

    assert result.exit_code == 2
    assert "no MIDI port was found to play into; --from FILE" in result.stderr


def test_a_beat_that_is_not_among_the_readings_is_refused(tmp_path: Path) -> None:
    take = saved(tmp_path / "take.mid", played(line()))

    result = boxwalk("capture", "--from", take, "--reading", 99)

    assert result.exit_code == 2
    assert "nothing was written down: expected a reading from 1 to" in result.stderr


def test_a_kept_phrase_cannot_be_replayed_as_nothing_was_to_be_played(tmp_path: Path) -> None:
    phrase = replace(line(), notes=())
    header = TakeHeader(
        program="boxwalk",
        date="",
        exercise_name=phrase.name,
        exercise=exercise_to_dict(phrase),
        pace="free",
        quarters_per_minute=phrase.tempo.quarters_per_minute,
    )
    writer = TakeWriter(tmp_path / "phrase.mid", header)
    for message in played(line()):
        writer.keep(message)
    writer.close()

    result = boxwalk("replay", tmp_path / "phrase.mid")

    assert result.exit_code == 2
    assert "is a phrase that no line was given for; `boxwalk capture --from" in result.stderr
