"""The main job over real ports: a player process on one side, the command on the other."""

import json
import re
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from tests.builders import line, played
from trainer.cli.takes import take_path_of
from trainer.playing.messages import StampedMessage
from trainer.run import RunPlan

from .conftest import PlayThrough
from .jack import ROOT, JackServer
from .player import Player, PortChange
from .practising import practised

pytestmark = pytest.mark.rig

EXERCISE = line("two-gates", tempo=160)
COUNT_IN_NS = RunPlan(EXERCISE, EXERCISE.tempo).count_in_ns
Practise = Callable[[Player], tuple[dict, str]]


@pytest.fixture
def practise(
    jack_server: JackServer,  # noqa: ARG001 - the command finds it by its environment
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> Practise:
    """Run the command on a player's port, let the player begin with the count-in, give the judgement and the words."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))

    return lambda player: practised(player, EXERCISE.name, COUNT_IN_NS)


def slips(result: dict) -> dict[int, str]:
    return {note["index"]: note["verdict"] for note in result["notes"] if note["verdict"] != "matched"}


def test_planted_faults_come_out_exactly_through_two_processes_and_a_real_port(
    practise: Practise, play_through: PlayThrough
) -> None:
    faults = "miss 5, late 9 40, early 14 35, fret 12, string 17, extra 23"
    player = play_through(played(EXERCISE, faults, starts_at_ns=COUNT_IN_NS))

    result, _ = practise(player)

    late = {n["index"] for n in result["notes"] if n["deviation_ms"] is not None and abs(n["deviation_ms"]) > 20}
    assert slips(result) == {5: "missed", 12: "wrong-pitch", 17: "wrong-string"}
    assert late == {9, 14}
    assert result["assessment"]["extra"] == 1


def test_the_take_of_a_live_run_is_judged_as_the_live_run_was(practise: Practise, play_through: PlayThrough) -> None:
    player = play_through(played(EXERCISE, "miss 5, late 9 40", starts_at_ns=COUNT_IN_NS))

    live, words = practise(player)

    take = re.search(r"kept as (.+)", words)
    assert take is not None
    command = [sys.executable, "-m", "trainer", "judge", "two-gates", str(take_path_of(take[1])), "--json", "-"]
    again = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert json.loads(again.stdout) == live


def test_a_port_taken_away_in_the_middle_of_a_bent_note_costs_only_what_was_played_meanwhile(
    practise: Practise, play_through: PlayThrough
) -> None:
    messages = played(EXERCISE, starts_at_ns=COUNT_IN_NS)
    note_ns = EXERCISE.tempo.ns(EXERCISE.notes[1].onset_quarters)
    away_ns, back_ns = COUNT_IN_NS + 8 * note_ns - note_ns // 2, COUNT_IN_NS + 20 * note_ns
    bends = [StampedMessage(away_ns - 40_000_000, bytes((0xE0 | channel, 0, 0x7F))) for channel in range(6)]
    player = play_through(with_gap([*messages, *bends], away_ns, back_ns))

    result, words = practise(player)

    missed = [index for index, verdict in slips(result).items() if verdict == "missed"]
    assert set(slips(result).values()) == {"missed"}
    assert set(range(8, 20)) <= set(missed)
    assert set(range(8)).isdisjoint(missed)
    assert set(range(28, 32)).isdisjoint(missed)  # nor is any of them wrong, as by a bend that stands
    assert "has gone" in words
    assert "is back" in words


def test_a_device_that_floods_sends_nonsense_and_sticks_notes_does_not_keep_the_line_from_being_followed(
    practise: Practise, play_through: PlayThrough
) -> None:
    line_messages = [m for m in played(EXERCISE, starts_at_ns=COUNT_IN_NS) if m.data[0] & 0xF0 != 0x80]
    flood = [
        StampedMessage(number * 100_000, bytes((0xE0 | number % 6, number % 128, 0x40))) for number in range(10_000)
    ]
    centred = [StampedMessage(1_000_000_000, bytes((0xE0 | channel, 0, 0x40))) for channel in range(6)]
    nonsense = [b"\xf4", b"\xf5", b"\xfd", b"\x40\x40", b"\x90", b"\xe0\x7f", b"\xf7", b"\x9f\x40\x64"]
    strewn = [StampedMessage(COUNT_IN_NS + number * 70_000_000, data) for number, data in enumerate(nonsense * 5)]
    player = play_through(sorted([*line_messages, *flood, *centred, *strewn], key=lambda message: message.stamp_ns))

    result, _ = practise(player)

    assert slips(result) == {}


def with_gap(messages: Sequence[StampedMessage], away_ns: int, back_ns: int) -> list[StampedMessage | PortChange]:
    changes = [PortChange(away_ns, None), PortChange(back_ns, "Pickup")]
    return sorted([*messages, *changes], key=lambda step: step.stamp_ns)
