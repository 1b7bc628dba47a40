import re
import sqlite3
import tomllib
from collections.abc import Callable
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from typing import NoReturn

import pytest
from click.testing import CliRunner

from tests.history.builders import record
from trainer.cli import main
from trainer.cli.doctor import LEAST_FREE_BYTES, LIBRARIES, Finding, Surroundings, findings, without_places
from trainer.devices.display import Display, DisplayError
from trainer.devices.midi_drivers import MidiInputError
from trainer.devices.remembered import KeptSound, Memory, SetUp
from trainer.devices.sound import SilentSound
from trainer.history.gathering import gather, missing_files
from trainer.history.store import History
from trainer.playing.profile import PickupProfile

ROOT = Path(__file__).parents[2]


class Card(SilentSound):
    """A card that works."""

    is_audible = True
    latency_ns = 9_000_000
    status = "Sound on the bench's card, 9 ms"  # type: ignore[assignment]  # always the same


class FarCard(Card):
    latency_ns = 180_000_000


def refusing(error: Exception) -> Callable[..., NoReturn]:
    def refuse(*_: object) -> NoReturn:
        raise error

    return refuse


def sound_machine(folder: Path, **changes: object) -> Surroundings:
    """A machine that has everything: a pickup that was set up, a card, a screen, a folder with room."""
    memory = Memory(folder / "remembered.json")
    memory.keep_device("Pickup", SetUp(PickupProfile(latency_ns=12_300_000, latency_cycles=1.5), "2026-03-14"))
    plain: dict[str, object] = {
        "python": (3, 12, 4),
        "version": lambda _: "1.0",
        "midi_apis": lambda: [2],
        "midi_inputs": lambda: ("Pickup",),
        "memory": lambda: memory,
        "sound_outputs": lambda: ("the bench's card",),
        "sound": lambda: Card(""),
        "display": lambda: Display("x11", ((1920, 1080),)),
        "data_folder": lambda: folder,
        "free_bytes": lambda _: LEAST_FREE_BYTES,
        "encoding": "utf-8",
    }
    return Surroundings(**plain | changes)  # type: ignore[arg-type]  # fields by their names


def to_mend(around: Surroundings) -> list[Finding]:
    return [finding for finding in findings(around) if finding.to_do]


def test_a_machine_that_has_everything_needs_nothing(tmp_path: Path) -> None:
    found = list(findings(sound_machine(tmp_path)))

    assert [finding for finding in found if finding.to_do] == []
    assert [each.words for each in found if each.what == "latency"] == ["Pickup: 12.3 ms and 1.5 cycles of the string."]
    assert str(found[0]).startswith("good  program")


def test_an_output_that_was_chosen_and_has_gone_is_said(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "remembered.json")
    memory.keep_sound(KeptSound("Cave card"))

    around = sound_machine(tmp_path, memory=lambda: memory, midi_inputs=lambda: ("Pickup",))
    found = [finding for finding in to_mend(around) if finding.what == "sound"]

    assert [finding.words for finding in found] == ["Cave card was chosen and is not there."]


@pytest.mark.parametrize(
    ("changes", "what", "says", "to_do"),
    [
        ({"python": (3, 13, 0)}, "Python", "3.13.0", "3.11 or 3.12"),
        ({"version": refusing(PackageNotFoundError())}, "libraries", "is not installed", "pip install click"),
        (
            {"midi_apis": refusing(MidiInputError("It cannot be loaded."))},
            "MIDI",
            "loaded",
            "--input simulated",
        ),
        ({"midi_apis": list}, "MIDI", "knows no MIDI system", "python-rtmidi"),
        ({"midi_inputs": tuple}, "MIDI", "No input was found", "plug the pickup in"),
        ({"midi_inputs": lambda: ("Other",)}, "latency", "never set up", 'set-up --input "Other"'),
        ({"sound_outputs": refusing(OSError("PortAudio library not found"))}, "sound", "PortAudio", "libportaudio2"),
        ({"sound": lambda: SilentSound("no card")}, "sound", "No sound: no card", "connect a card"),
        ({"sound": lambda: FarCard("")}, "sound", "late", "faster output"),
        ({"display": refusing(DisplayError("there is no display."))}, "display", "no display", "--headless"),
        ({"display": lambda: Display("x11", ((1024, 600),))}, "display", "1024x600", "--window 1024x576"),
        ({"free_bytes": lambda _: LEAST_FREE_BYTES - 1}, "space", "0.2 GB", "delete"),
        ({"encoding": "ascii"}, "text", "ascii", "PYTHONUTF8=1"),
        ({"display": refusing(ZeroDivisionError("no such thing"))}, "display", "no such thing", "developer"),
    ],
)
def test_what_is_lacking_is_said_with_what_to_do(
    tmp_path: Path, changes: dict[str, object], what: str, says: str, to_do: str
) -> None:
    found = to_mend(sound_machine(tmp_path, **changes))

    assert [finding.what for finding in found] == [what]
    assert says in found[0].words
    assert to_do in found[0].to_do


def test_a_device_whose_latency_was_not_measured_is_told_how(tmp_path: Path) -> None:
    around = sound_machine(tmp_path)
    around.memory().keep_device("Pickup", SetUp(PickupProfile()))

    assert [str(finding) for finding in to_mend(around)] == [
        'mend  latency       That of Pickup was not measured. To do: boxwalk set-up --input "Pickup"'
    ]


def test_what_cannot_be_read_of_what_is_remembered_is_said(tmp_path: Path) -> None:
    path = tmp_path / "other" / "remembered.json"
    path.parent.mkdir()
    path.write_text("{")

    found = to_mend(sound_machine(tmp_path, memory=lambda: Memory(path), midi_inputs=lambda: ()))

    assert [finding.what for finding in found] == ["MIDI", "remembered"]


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    folder = tmp_path / "file" / "data"

    found = to_mend(sound_machine(tmp_path, data_folder=lambda: folder))

    assert [finding.what for finding in found] == ["folder"]
    assert "BOXWALK_DATA" in found[0].to_do


def test_a_folder_that_is_not_there_yet_is_not_made_by_looking(tmp_path: Path) -> None:
    folder = tmp_path / "later" / "data"

    assert to_mend(sound_machine(tmp_path, data_folder=lambda: folder)) == []
    assert not folder.parent.exists()


def test_an_own_exercise_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    (tmp_path / "exercises").mkdir()
    (tmp_path / "exercises" / "bent.toml").write_text("title = 3")

    found = to_mend(sound_machine(tmp_path))

    assert {finding.what for finding in found} == {"exercises"}
    assert "bent.toml" in found[0].words


def history_with_a_take(folder: Path) -> Path:
    record(folder)
    path = folder / "history.db"
    with History.open(path, folder / "takes") as history:
        gather(history, missing_files(history))
        history.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


def history_lines(around: Surroundings) -> list[Finding]:
    return [finding for finding in findings(around) if finding.what == "history"]


def test_a_whole_history_is_counted(tmp_path: Path) -> None:
    history_with_a_take(tmp_path)

    (found,) = history_lines(sound_machine(tmp_path))

    assert (re.sub(r"\d+", "N", found.words), found.to_do) == ("version N, whole, N takes.", "")
    assert found.words.endswith(" 1 takes.")


def test_a_history_with_missing_rows_is_damaged(tmp_path: Path) -> None:
    path = history_with_a_take(tmp_path)
    with sqlite3.connect(path) as connection:
        connection.execute("DELETE FROM players")
    connection.close()

    (found,) = history_lines(sound_machine(tmp_path))

    assert "is damaged" in found.words
    assert found.to_do.startswith("boxwalk history")


def test_a_history_of_a_newer_program_is_left(tmp_path: Path) -> None:
    path = history_with_a_take(tmp_path)
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA user_version = 99")
    connection.close()

    (found,) = history_lines(sound_machine(tmp_path))

    assert (found.to_do, "newer" in found.words) == ("bring Boxwalk up to date.", True)


def test_a_file_that_is_no_history_is_said(tmp_path: Path) -> None:
    (tmp_path / "history.db").write_bytes(b"no database at all, and longer than its first page's head" * 9)

    (found,) = history_lines(sound_machine(tmp_path))

    assert "is damaged" in found.words


def test_the_report_names_no_private_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", "/home/ana")
    monkeypatch.setenv("USERPROFILE", "/home/ana")
    environment = {"BOXWALK_DATA": "/media/ana/data/"}

    words = without_places("/home/ana/takes, /home/anabel, /media/ana/data/history.db, /media/ana/data", environment)

    assert words == "~/takes, /home/anabel, $BOXWALK_DATA/history.db, $BOXWALK_DATA"


def test_the_command_reports_on_this_very_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path / "data"))

    result = CliRunner().invoke(main, ["doctor"])

    lines = result.stdout.splitlines()
    assert result.exit_code == 0
    assert all(re.match(r"(good|mend)  \w", line) for line in lines)
    assert any("$BOXWALK_DATA" in line for line in lines)
    assert str(tmp_path) not in result.stdout


def test_the_libraries_are_those_that_the_project_depends_on() -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        wanted = tomllib.load(file)["project"]["dependencies"]

    assert set(LIBRARIES) == {re.split(r"[<>=!\[; ]", each)[0] for each in wanted}
