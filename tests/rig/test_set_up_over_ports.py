"""A device set up over a real port, in the terminal and in the window, and a line judged by what was learned."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.builders import line, played
from tests.playing.builders import MS, STANDARD
from trainer.devices import wire
from trainer.devices.converter_style import ConverterStyle
from trainer.devices.remembered import Memory
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.run import RunPlan

from .conftest import PlayThrough
from .jack import ROOT, JackServer
from .practising import practised
from .test_window import Window, display, drawn_share, screen_size, window

__all__ = ["display", "screen_size", "window"]  # fixtures of the window's tests

pytestmark = pytest.mark.rig

TRICKY = ConverterStyle(channel_of_course=(16, 15, 14, 13, 12, 11), bend_range_semitones=24, announces_range=False)
LEARNED = PickupProfile(
    name="set-up",
    title="As learned in the set-up",
    channel_of_course=TRICKY.channel_of_course,
    bend_range_semitones=24.0,
)
APART_NS, RINGS_NS = 500 * MS, 300 * MS


def answers(begin_ns: int = 0) -> list[StampedMessage]:
    """The open strings, lowest first, twice each; then the open A string hammered on at fret 12 and held."""
    messages = []
    for number, course in enumerate(course for course in reversed(STANDARD.courses) for _ in range(2)):
        channel, key = TRICKY.channel_of_course[course - 1], STANDARD.open_pitches[course - 1]
        at_ns = begin_ns + number * APART_NS
        messages += [
            StampedMessage(at_ns, wire.note_on(channel, key, 70 + 3 * number)),
            StampedMessage(at_ns + RINGS_NS, wire.note_off(channel, key)),
        ]
    at_ns, channel, key = begin_ns + 13 * APART_NS, TRICKY.channel_of_course[4], STANDARD.open_pitches[4]
    messages += [
        StampedMessage(at_ns, wire.note_on(channel, key, 90)),
        StampedMessage(at_ns + RINGS_NS, wire.bend(channel, wire.bend_value(1200, 24))),
        StampedMessage(at_ns + RINGS_NS + 800 * MS, wire.note_off(channel, key)),
        StampedMessage(at_ns + RINGS_NS + 800 * MS, wire.bend(channel, wire.BEND_CENTRE)),
    ]
    return messages


def test_what_the_terminal_learned_over_a_port_is_used_when_that_port_is_chosen(
    jack_server: JackServer,  # noqa: ARG001 - it runs while the test does
    play_through: PlayThrough,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    player = play_through(answers())
    command = [sys.executable, "-u", "-m", "trainer", "set-up", "--input", player.port, "--steps", "strings,bend"]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    words = ""
    while "Pluck string 6" not in words:
        word = process.stdout.readline()
        assert word, f"the command ended early: {words}"
        words += word

    player.start()
    rest, _ = process.communicate(timeout=60)
    player.stop()

    assert process.returncode == 0
    assert Memory().profile_of(player.port) == LEARNED
    assert f"Kept for {player.port}" in rest
    exercise = line("two-gates-slid", tempo=160)
    count_in_ns = RunPlan(exercise, exercise.tempo).count_in_ns
    on_the_device = play_through(played(exercise, style=TRICKY, starts_at_ns=count_in_ns))
    result, _ = practised(on_the_device, "two-gates-slid", count_in_ns)
    assert {note["verdict"] for note in result["notes"]} == {"matched"}


def test_the_window_learns_a_device_and_keeps_it(
    jack_server: JackServer,  # noqa: ARG001 - it runs while the test does
    play_through: PlayThrough,
    window: Callable[..., Window],
    tmp_path: Path,
) -> None:
    player = play_through(answers())
    # Sound would be played through the rig's JACK server, whose synchronous mode stumbles over it and stays late.
    boxwalk = window("--silent")

    boxwalk.press("F2", wait_s=1)
    pictures = [boxwalk.picture("set-up-begun")]
    player.start()
    player.sent_ns()
    boxwalk.press(wait_s=1)
    pictures.append(boxwalk.picture("set-up-latency"))
    boxwalk.press("Return", wait_s=0.5)  # no click can be heard: it says so
    pictures.append(boxwalk.picture("set-up-no-sound"))
    boxwalk.press("Return", wait_s=0.5)
    pictures.append(boxwalk.picture("set-up-learned"))
    boxwalk.press("Return", wait_s=1)
    pictures.append(boxwalk.picture("set-up-kept"))
    boxwalk.press("Escape", wait_s=0)

    assert boxwalk.process.wait(10) == 0
    assert all(drawn_share(picture) > 0.005 for picture in pictures)
    assert Memory(tmp_path / "remembered.json").profile_of(player.port) == LEARNED
