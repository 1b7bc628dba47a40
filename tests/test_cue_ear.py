from pathlib import Path

import pytest
from click.testing import CliRunner

from trainer.cli import main
from trainer.cue_ear import CueEar
from trainer.devices.remembered import KeptCues, Memory
from trainer.following.cues import Cue
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.screens.cued import command_of
from trainer.screens.screen import Command
from trainer.theory.tuning import tuning_named

from .screens.contests import contest_at
from .screens.desk import Desk, Page

STANDARD = tuning_named("standard")
AGAIN = ((6, 52), (6, 40), (6, 52), (5, 45))


def played(*notes: tuple[int, int], gap_ms: int = 300) -> list[StampedMessage]:
    """Notes of (channel, pitch), each ended by the next."""
    messages: list[StampedMessage] = []
    for place, (channel, pitch) in enumerate(notes):
        start_ns = place * gap_ms * 1_000_000
        messages.append(StampedMessage(start_ns, bytes((0x8F + channel, pitch, 90))))
        messages.append(StampedMessage(start_ns + 250_000_000, bytes((0x8F + channel, pitch, 0))))
    return messages


def ear(memory: Memory | None = None) -> CueEar:
    profile = PickupProfile()
    return CueEar(lambda: profile, lambda: STANDARD, memory)


def test_a_cue_is_heard_once_in_what_arrives_frame_by_frame() -> None:
    listening, heard = ear(), []
    messages = played(*AGAIN, (1, 64))
    for frame in range(120):
        now_ns = frame * 16_666_667
        heard += listening.feed([one for one in messages if now_ns - 16_666_667 < one.stamp_ns <= now_ns], now_ns)

    assert heard == [Cue.AGAIN]


def test_a_learned_phrase_takes_the_place_of_the_usual_one_and_none_is_heard_when_switched_off(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "remembered.json")
    memory.keep_cues(KeptCues(learned={"again": ((76, 1), (75, 1), (76, 1))}))
    own = played((1, 76), (1, 75), (1, 76))

    assert ear(memory).feed(own, 2_000_000_000) == (Cue.AGAIN,)
    assert ear(memory).feed(played(*AGAIN), 2_000_000_000) == ()
    memory.keep_cues(KeptCues(are_heard=False))
    assert ear(memory).feed(own, 2_000_000_000) == ()


def test_cues_come_back_as_they_were_learned(tmp_path: Path) -> None:
    cues = KeptCues(learned={"stop": ((76, 1), (75, None), (76, 1))})
    Memory(tmp_path / "remembered.json").keep_cues(cues)

    assert Memory(tmp_path / "remembered.json").cues == cues


def test_each_screen_says_what_a_cue_asks_for_and_others_hear_none() -> None:
    assert command_of(Cue.AGAIN, contest_at(Desk())) is Command.PAUSE
    assert command_of(Cue.AGAIN, Page("list")) is None


def test_the_command_lists_the_phrases_and_switches_them_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    runner = CliRunner()

    listed = runner.invoke(main, ["cues"]).output
    off = runner.invoke(main, ["cues", "heard", "no"]).output
    wrong = runner.invoke(main, ["cues", "learn", "agian"])

    assert "again   6:12 6:0 6:12 5:0" in listed
    assert off == "No cue is listened for: boxwalk cues heard yes\n"
    assert wrong.exit_code == 2
    assert "again" in wrong.stderr
