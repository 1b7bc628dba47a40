"""An installation without sound, without MIDI, without a screen: a sentence each, and the rest goes on."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trainer.cli import main

ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path


def without(library: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, library, None)


def boxwalk(*arguments: str) -> Result:
    return CliRunner().invoke(main, arguments, env={"COLUMNS": "200"})


def test_without_midi_the_ports_say_what_is_missing_and_a_simulated_player_plays(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    without("rtmidi", monkeypatch)

    ports = boxwalk("ports")
    played = boxwalk(
        *("practise", "B minor pentatonic, strings 1-2, positions 1, down, sixteenths, tempo 300"),
        *("--headless", "--silent", "--passes", "1", "--count-in", "0"),
    )

    assert "MIDI input cannot be loaded" in ports.stdout
    assert (ports.exit_code, played.exit_code) == (0, 0)
    assert len(list((tmp_path / "takes").glob("*.mid"))) == 1


def test_without_midi_a_pickup_that_is_asked_for_is_refused_with_the_way_on(monkeypatch: pytest.MonkeyPatch) -> None:
    without("rtmidi", monkeypatch)

    result = boxwalk("practise", "two-gates", "--headless", "--silent", "--input", "Pickup")

    assert result.exit_code == 2
    assert "`--input simulated` plays without a pickup" in result.stderr


def test_without_sound_a_line_that_shall_be_heard_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    without("sounddevice", monkeypatch)
    monkeypatch.setenv("SDL_AUDIODRIVER", "none of these")

    result = boxwalk("new", "B minor pentatonic, strings 1-2, positions 1, fours down", "--hear")

    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert "No sound: no card could be opened" in result.stdout + result.stderr


@pytest.mark.parametrize("arguments", [[], ["practise", "two-gates", "--input", "simulated"]], ids=["list", "practise"])
def test_without_a_screen_the_window_says_so(arguments: list[str]) -> None:
    hidden = ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER")
    bare = {name: value for name, value in os.environ.items() if name not in hidden}

    done = subprocess.run(
        [sys.executable, "-m", "trainer", *arguments, "--silent"],
        cwd=ROOT,
        env=bare,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )

    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("Error: No window can be opened: there is no display")
    assert done.stderr.count("\n") == 1
