from pathlib import Path

import pytest
from click.testing import CliRunner

from trainer.cli import main
from trainer.devices.remembered import Memory
from trainer.pedals import Pedals
from trainer.playing.messages import StampedMessage
from trainer.screens.screen import Command


def control(value: int, controller: int = 64, channel: int = 1) -> StampedMessage:
    return StampedMessage(0, bytes((0xAF + channel, controller, value)))


@pytest.fixture
def memory(tmp_path: Path) -> Memory:
    memory = Memory(tmp_path / "remembered.json")
    memory.keep_pedals({"channel 1, controller 64": "pause", "channel 2, controller 64": "restart"})
    return memory


def test_a_pedal_asks_once_when_it_goes_down_and_again_after_it_came_up(memory: Memory) -> None:
    pedals = Pedals(memory)

    first = pedals.feed([control(64), control(127)])
    held = pedals.feed([control(100)])
    again = pedals.feed([control(63), control(64)])

    assert (first, held, again) == ((Command.PAUSE,), (), (Command.PAUSE,))


def test_pedals_are_told_apart_by_channel_and_others_ask_for_nothing(memory: Memory) -> None:
    note = StampedMessage(0, bytes((0x90, 64, 100)))
    all_off = control(127, controller=123)

    assert Pedals(memory).feed([control(127, channel=2)]) == (Command.RESTART,)
    assert Pedals(memory).feed([control(127, controller=11), note, all_off]) == ()
    assert Pedals(None).feed([control(127)]) == ()


def test_pedals_come_back_at_the_next_start(memory: Memory) -> None:
    assert Memory(memory.path).pedals == memory.pedals


def test_the_command_lists_and_forgets_and_names_the_nearest_word(
    memory: Memory, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(memory.path.parent))
    runner = CliRunner()

    listed = runner.invoke(main, ["pedals"]).output
    wrong = runner.invoke(main, ["pedals", "learn", "pauze"])
    forgotten = runner.invoke(main, ["pedals", "forget"]).output

    assert "channel 1, controller 64: pause" in listed
    assert wrong.exit_code == 2
    assert "pause" in wrong.stderr
    assert forgotten == "No pedal was learned: boxwalk pedals learn pause\n"
