"""JACK servers that are killed and started again while somebody plays; a server of its own for each test.

The program runs in a process of its own: a client library that has lost its server would trouble the other tests.
"""

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

import pytest

from tests.builders import line, played
from trainer.cli.takes import take_path_of
from trainer.playing.messages import StampedMessage
from trainer.playing.take import read_take
from trainer.run import RunPlan

from .jack import ROOT, JackServer
from .player import Player

pytestmark = pytest.mark.rig

MS = 1_000_000
EXERCISE = line("two-gates", tempo=120)
PASSES = 8
"""More than are played: how long the server takes to start depends on the machine."""
LINE = EXERCISE.repeated(PASSES)
COUNT_IN_NS = RunPlan(EXERCISE, EXERCISE.tempo).count_in_ns
BEFORE = 3
"""Notes that are played before the server is killed."""
HEARD_AGAIN_WITHIN_S = 4.0
PLAYED_ON_NS = 4_000 * MS
FOLLOWED_AGAIN_NS = 1_500 * MS
"""A player who is silent for so long may as well have stopped and gone on: it takes some notes to see that."""


def read_until(stream: IO[str], pattern: str) -> str:
    """What is said up to the line in which `pattern` is found."""
    words = ""
    while not re.search(pattern, words):
        word = stream.readline()
        assert word, f"the program ended early: {words}"
        words += word
    return words


@contextmanager
def player_on(server: JackServer, steps: list[StampedMessage]) -> Iterator[Player]:
    player = Player(server, steps, "Pickup")
    yield player
    player.stop()


def test_a_take_goes_on_when_the_midi_server_was_killed_and_started_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    messages = played(LINE, starts_at_ns=COUNT_IN_NS)
    due_ns = [COUNT_IN_NS + LINE.tempo.ns(note.onset_quarters) for note in LINE.notes]
    before = [message for message in messages if message.stamp_ns < due_ns[BEFORE] - 30 * MS]
    command = [sys.executable, "-m", "trainer", "practise", EXERCISE.name, "--tempo", "120", "--passes", str(PASSES)]
    command += ["--headless", "--json", "-", "--silent", "--input", "rig:Pickup"]
    with JackServer(f"boxwalk-killed-{os.getpid()}", tmp_path / "jackd.log") as server:
        with player_on(server, before) as player:
            process = subprocess.Popen(
                command,
                cwd=ROOT,
                env=os.environ | server.environment,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
            )
            assert process.stderr is not None
            words = read_until(process.stderr, r"Quarter 0 falls at (\d+) ns")
            zero_ns = int(re.findall(r"falls at (\d+) ns", words)[0]) - COUNT_IN_NS
            player.start(zero_ns)
            player.sent_ns()
            server.kill()
        words += read_until(process.stderr, "does not answer any more")
        server.start()
        back_ns = time.perf_counter_ns() - zero_ns
        until_ns = back_ns + PLAYED_ON_NS
        after = [message for message in messages if back_ns < message.stamp_ns < until_ns]
        with player_on(server, after) as player:
            player.start(zero_ns)
            words += read_until(process.stderr, "is back")
            heard_again_ns = time.perf_counter_ns() - zero_ns
            player.sent_ns()
            process.send_signal(signal.SIGINT)
            output, rest = process.communicate(timeout=60)

    assert process.returncode == 0, words + rest
    assert "The MIDI system does not answer any more. Start it again: rig:Pickup is taken up by itself." in words
    assert heard_again_ns - back_ns < HEARD_AGAIN_WITHIN_S * 1e9
    take = re.search(r"kept as (.+)", words + rest)
    assert take is not None
    kept = read_take(take_path_of(take[1]))
    assert [message.data for message in kept.messages[: len(before)]] == [message.data for message in before]
    verdicts = [note["verdict"] for note in json.loads(output)["notes"]]
    heard = [
        index for index, due in enumerate(due_ns) if heard_again_ns + FOLLOWED_AGAIN_NS < due < until_ns - 500 * MS
    ]
    assert len(heard) >= 2
    assert {verdicts[index] for index in [*range(BEFORE), *heard]} == {"matched"}
