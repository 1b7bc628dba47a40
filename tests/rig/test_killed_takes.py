import random
import subprocess
import sys
import threading
from pathlib import Path

import mido
import pytest

from trainer.playing.take import read_take

from .writer_process import HEADER, message

pytestmark = pytest.mark.rig

ROOT = Path(__file__).parents[2]
SECOND_NS = 1_000_000_000


def kept_until_killed(path: Path, step_ns: int, lives_s: float) -> int:
    """Let a process keep a take, kill it without warning, and give how many messages it said that it had kept."""
    command = [sys.executable, "-m", "tests.rig.writer_process", str(path), str(step_ns)]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE)
    assert process.stdout is not None
    said = process.stdout.readline()
    killer = threading.Timer(lives_s, process.kill)
    killer.start()
    said += process.stdout.read()
    process.wait()
    process.stdout.close()
    return int(said[: said.rfind(b"\n")].split()[-1])  # a last line without its end may be half a number


@pytest.mark.parametrize(
    ("step_ns", "kills"), [(3_000_000, 5), (600_000_000, 20)], ids=["a-dense-take", "a-writing-for-each-message"]
)
def test_a_take_whose_program_is_killed_opens_and_lacks_at_most_the_last_second(
    tmp_path: Path, step_ns: int, kills: int
) -> None:
    # The process runs through its own time as fast as it can, so that kills have a chance to fall into a writing; every
    # single byte of a writing is tried in tests/devices/test_recording.py.
    chance = random.Random(step_ns)
    for attempt in range(kills):
        path = tmp_path / f"{attempt}.mid"

        kept = kept_until_killed(path, step_ns, chance.uniform(0, 0.1))

        take = read_take(path)
        in_mido = [event for event in mido.MidiFile(path).tracks[0] if not event.is_meta]
        assert (take.header, take.is_cut_off) == (HEADER, False)
        assert take.messages == tuple(message(index, step_ns) for index in range(len(take.messages)))
        assert len(in_mido) == len(take.messages)
        lacking_ns = message(kept - 1, step_ns).stamp_ns - (take.messages[-1].stamp_ns if take.messages else 0)
        assert lacking_ns <= SECOND_NS
