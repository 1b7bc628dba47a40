"""The window, a real port and a second process at once: what a guitarist has in front of them."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.builders import line, played
from trainer.devices.recording import list_takes
from trainer.following.verdict import Pace
from trainer.judging import Asked, judge_take
from trainer.playing.take import read_take

from .conftest import PlayThrough
from .jack import ROOT
from .player import PortChange
from .test_window import Window, display, screen_size, window  # noqa: F401 - fixtures

pytestmark = pytest.mark.rig

EXERCISE = line("two-gates", tempo=200)


@pytest.mark.parametrize("screen_size", ["1280x720"], indirect=True)
def test_a_line_played_into_a_port_is_followed_and_kept_through_changes_of_the_display(
    window: Callable[..., Window],  # noqa: F811 - the fixture
    play_through: PlayThrough,
    tmp_path: Path,
) -> None:
    messages = played(EXERCISE, "miss 5, string 17", starts_at_ns=0)
    end_ns = messages[-1].stamp_ns
    player = play_through([*messages, PortChange(end_ns + 1_000_000_000, None)])
    boxwalk = window("practise", "two-gates", "--pace", "free", "--passes", "2", "--input", player.port, "--silent")

    player.start()
    for size in ((1024, 640), (640, 360), (1280, 720)):
        boxwalk.resize(*size)
    boxwalk.press("F11", "F11", "ctrl+equal", "ctrl+minus")
    boxwalk.picture("resized")
    player.sent_ns()
    boxwalk.press(wait_s=1)
    boxwalk.picture("unplugged")
    boxwalk.press("Escape", "ctrl+q", wait_s=1)

    assert boxwalk.process.wait(10) == 0
    (listed,) = list_takes(tmp_path / "takes")
    take = read_take(listed.path)
    assert take.header is not None
    assert (take.header.pace, take.header.input) == (Pace.FREE, player.port)
    notes = judge_take(EXERCISE, take, Asked())["notes"][: len(EXERCISE.notes)]
    assert {n["index"]: n["verdict"] for n in notes if n["verdict"] != "matched"} == {5: "missed", 17: "wrong-string"}


def test_no_midi_system_at_all_is_said_and_the_simulated_player_offered(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("JACK_NO_START_SERVER", "1")
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "boxwalk-nowhere")

    command = [sys.executable, "-m", "trainer", "practise", "two-gates", "--input", "Pickup", "--headless"]
    result = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)

    assert result.returncode == 2
    assert "Is the pickup plugged in?" in result.stderr
    assert "--input simulated" in result.stderr
