"""What fuzzing has found, each as it came down to its smallest case."""

import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from tests.fuzzing.targets_kept import histories, memories
from tests.history.builders import NOON
from trainer.devices.remembered import LastChoices, Memory
from trainer.history.errors import DamagedHistoryError
from trainer.history.exporting import export
from trainer.history.store import History
from trainer.homework.measuring import Unused, measured
from trainer.playing.midi_file import MidiFileError, parse_midi_file
from trainer.playing.stamps import StampAnchor
from trainer.progress.gathering import facts_of, known_of
from trainer.score.errors import ExerciseError
from trainer.score.file_reading import read_file
from trainer.score.one_line import exercise_from_line
from trainer.score.text_tab_reading import text_tab_from
from trainer.theory.naming import nearest

SLOWEST_TEMPO = b"\x00\xff\x51\x03\xff\xff\xff"
LONGEST_WAIT = b"\xff\xff\xff\x7f"


def history_with(folder: Path, change: str, *values: object) -> History:
    path = folder / "history.db"
    path.write_bytes(histories()[0])
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(change, values)
    return History.open(path, folder / "takes")


def test_a_delta_without_end_counts_as_none() -> None:
    anchor = StampAnchor()
    arrivals = [(50, 0.0), (60, float("inf")), (70, 10e-9)]

    assert [anchor.stamp(arrival_ns, delta_s) for arrival_ns, delta_s in arrivals] == [50, 50, 60]


@pytest.mark.parametrize("blob", [b"", b"no deflated text"])
def test_a_line_that_cannot_be_unpacked_is_damage(tmp_path: Path, blob: bytes) -> None:
    with history_with(tmp_path, "UPDATE exercises SET serial = ?", blob) as history:
        with pytest.raises(DamagedHistoryError):
            facts_of(history, "", NOON.date(), NOON.date())
        with pytest.raises(DamagedHistoryError):
            export(history, tmp_path / "out")


def test_a_take_that_cannot_be_unpacked_is_damage(tmp_path: Path) -> None:
    with (
        history_with(tmp_path, "UPDATE streams SET file = ?", b"?") as history,
        pytest.raises(DamagedHistoryError, match="is damaged"),
    ):
        history.file_of(1)


def test_a_line_under_a_name_that_is_no_hash_is_not_written_by_it(tmp_path: Path) -> None:
    with (
        history_with(tmp_path, "UPDATE exercises SET hash = '../../outside'") as history,
        pytest.raises(DamagedHistoryError, match="no hash"),
    ):
        export(history, tmp_path / "a" / "out")

    assert not (tmp_path / "outside.json").exists()


@pytest.mark.parametrize("file", ["x" * 3000 + ".mid", "\u202etake.mid", "/", "..", "a/..", "", "C:\\\\", "..\\\\.."])
def test_a_take_under_a_name_that_is_no_files_is_exported_under_its_number(tmp_path: Path, file: str) -> None:
    with history_with(tmp_path, "UPDATE takes SET file = ?", file) as history:
        export(history, tmp_path / "out")

    assert [path.name for path in (tmp_path / "out" / "takes").iterdir()] == ["take-1.mid"]


@pytest.mark.parametrize("tempo", [0, -7, 10**6])
def test_a_take_at_a_tempo_that_cannot_be_is_damage(tmp_path: Path, tempo: int) -> None:
    with (
        history_with(tmp_path, "UPDATE takes SET tempo_numerator = ?", tempo) as history,
        pytest.raises(DamagedHistoryError, match="tempo"),
    ):
        known_of(history, "", NOON.date())


def test_a_file_that_lasts_for_years_was_not_played() -> None:
    # Its stamps did not fit into the history's 64 bits.
    body = SLOWEST_TEMPO + (LONGEST_WAIT + b"\x90\x40\x40") * 3 + b"\x00\xff\x2f\x00"
    data = b"MThd\0\0\0\6\0\0\0\1\0\1MTrk" + len(body).to_bytes(4) + body

    with pytest.raises(MidiFileError, match="expected at most a week"):
        parse_midi_file(data)


def test_homework_of_such_a_file_does_not_count() -> None:
    body = SLOWEST_TEMPO + LONGEST_WAIT + b"\x90\x40\x40\x00\xff\x2f\x00"

    assert isinstance(measured({}, b"MThd\0\0\0\6\0\0\0\1\0\1MTrk" + len(body).to_bytes(4) + body), Unused)


@pytest.mark.parametrize("number", ["9" * 5000, "²", "٣", "9" * 500])
def test_a_clause_of_strange_digits_is_refused(number: str) -> None:
    with pytest.raises(ExerciseError):
        exercise_from_line(f"E minor pentatonic, positions 1 2, {number}, meter {number[:300]}/4")


@pytest.mark.parametrize("word", ["string" * 5_000_000, "3" * 3000])
def test_a_line_of_endless_words_is_refused_at_once(word: str) -> None:
    began_s = time.process_time()

    with pytest.raises(ExerciseError):
        exercise_from_line(f"A minor, one pick a {word}")

    assert time.process_time() - began_s < 1


def test_a_word_that_is_far_longer_than_any_choice_is_no_slip() -> None:
    assert nearest("legato" * 10_000, ["legato", "picked"]) is None
    assert nearest("legatoo", ["legato", "picked"]) == "legato"


@pytest.mark.parametrize(
    ("plain", "odd"),
    [('"bend_range_semitones": 12.0', '"bend_range_semitones": "1e999"'), ('"Pickup": {', '"\\ud800": {')],
    ids=["a number without end", "half a letter"],
)
def test_what_cannot_be_written_again_is_not_remembered(tmp_path: Path, plain: str, odd: str) -> None:
    path = tmp_path / "remembered.json"
    assert plain in memories()[0]
    path.write_text(memories()[0].replace(plain, odd))

    memory = Memory(path)
    memory.keep_choices(LastChoices("Other"))

    assert memory.trouble is not None
    assert "is kept as" in memory.trouble
    assert Memory(path).choices == LastChoices("Other")


def test_a_string_called_by_a_digit_of_another_script_is_no_string() -> None:
    with pytest.raises(ExerciseError):
        text_tab_from("e|--5-7-|\ne١--5-7-|\n" + "".join(f"{name}|------|\n" for name in "GDAE"), "line", "line.tab")


@pytest.mark.parametrize("text", ["\n" * 90_000 + "key", "last_fret = " + "9" * 5000, "notes = " + "9" * 5000])
def test_empty_lines_and_digits_without_end_are_refused_at_once(tmp_path: Path, text: str) -> None:
    path = tmp_path / "line.toml"
    path.write_text(text)
    began_s = time.process_time()

    with pytest.raises(ExerciseError, match=r"line\.toml"):
        read_file(path)

    assert time.process_time() - began_s < 1
