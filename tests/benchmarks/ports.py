"""What is measured over real JACK ports: a player process on one side, the program's window on the other.

The server is JACK's own without hardware, as in `tests/rig`; the screen is Xvfb, or SDL's driver `dummy` where there is
none, which is said. All of it is by the clock, for that is what is asked: other programs on the machine show in it.
"""

import json
import os
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from random import Random
from statistics import median
from typing import Any

import pytest

from tests.benchmarks.drawing import FRAME_MS, Frames, figures_of
from tests.benchmarks.figures import Figure, Goal, NotMeasurableError, Way
from tests.benchmarks.judging import flood, long_line
from tests.benchmarks.measures import percentile
from tests.builders import played
from tests.rig.jack import JackServer, run_python
from tests.rig.player import Player
from tests.rig.virtual_screen import virtual_screen
from trainer.devices.skill import SKILLS
from trainer.playing.messages import StampedMessage
from trainer.playing.stamps import StampAnchor
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.note_list import note_list_text
from trainer.score.tempo import Tempo

MS = 1_000_000
PERIOD_MS = 128 / 48
"""Of the server that `tests/rig` starts: 128 frames at 48 kHz."""
SIZE = (1920, 1080)
MOST_LOST_IN_A_ROW = 200
TWO_HOURS_NS = 7_200_000_000_000


@dataclass(slots=True)
class Live:
    """What came of a take over a port."""

    screen: str
    latencies: list[int]
    computing: list[int]
    late: list[int]
    """Stamp of each message less when it was sent, ns."""
    frames: Frames
    matched: int
    written: int
    lost: int
    """Messages that were sent and did not arrive."""
    held_mb: list[float] = field(default_factory=list)
    """Memory of the process, once a minute."""


@contextmanager
def jack_server(folder: Path) -> Iterator[JackServer]:
    """A server without hardware, which this process and those that it starts use; `NotMeasurableError` without JACK."""
    if shutil.which("jackd") is None:
        raise NotMeasurableError("jackd is not installed")
    server = JackServer(f"boxwalk-bench-{os.getpid()}", folder / "jackd.log")
    before = dict(os.environ)
    try:
        os.environ.update(server.environment)
        with server:
            yield server
    except pytest.fail.Exception as error:
        raise NotMeasurableError(str(error).splitlines()[0]) from error
    finally:
        os.environ.clear()
        os.environ.update(before)


def ports(way: Way) -> Iterator[Figure]:
    """A line over a port with the screen on."""
    seconds = 600 if way is Way.WHOLE else 25
    yield from live_figures(live(seconds), f"over a port, {seconds} s at 1920x1080")


def port_bends(_way: Way) -> Iterator[Figure]:
    """A minute of 1,500 bends a second beside a line over a port, with the screen on."""
    seconds = 60
    found = live(seconds, flood(seconds))
    where = f"1,500 bends a second for {seconds} s over a port"
    yield Figure(f"{where}, messages lost", found.lost, "", Goal(most=0))
    yield from figures_of(found.frames, where)


def soak(_way: Way, minutes: float) -> Iterator[Figure]:
    """A long take in real time, with the screen on: nothing late, no drift, no growth."""
    found = live(60 * minutes)
    where = f"a take of {minutes:g} minutes over a port"
    yield from live_figures(found, where)
    tenth = max(1, len(found.late) // 10)
    first, last = (median(found.late[part]) / MS for part in (slice(tenth), slice(-tenth, None)))
    yield Figure(f"{where}, drift of the stamps from the first tenth to the last", last - first, "ms", Goal(-0.3, 0.3))
    settled = found.held_mb[1:]
    if len(settled) < 2:
        yield Figure(f"{where}, growth of memory", None, why="it is looked at once a minute")
        return
    yield Figure(f"{where}, memory", max(found.held_mb), "MB", Goal(most=150))
    an_hour = 60 / (len(settled) - 1)
    yield Figure(f"{where}, growth of memory", an_hour * (settled[-1] - settled[0]), "MB an hour", Goal(most=2))


def stamp_drift(_way: Way) -> Iterator[Figure]:
    """Two hours of messages whose driver counts time by another clock, on an accelerated one, with delays by chance."""
    rng = Random(1)
    for ppm in (-100, 0, 100):
        anchor, errors = StampAnchor(), []
        sent_ns = 0
        while sent_ns < TWO_HOURS_NS:
            gap_ns = rng.randrange(20 * MS, 400 * MS)
            sent_ns += gap_ns
            arrival_ns = sent_ns + round(rng.expovariate(1 / (4 * MS)))
            errors.append((anchor.stamp(arrival_ns, gap_ns * (1 + ppm / 1e6) / 1e9) - sent_ns) / MS)
        last = errors[-len(errors) // 12 :]
        where = f"stamps after two hours, the driver's clock off by {ppm} millionths"
        yield Figure(
            f"{where}, error p99 in the last ten minutes", percentile(map(abs, last), 99), "ms", Goal(most=2.3)
        )


def live_figures(found: Live, where: str) -> Iterator[Figure]:
    """The rows of a take."""
    where = f"{where} ({found.screen})"
    latencies = [ns / MS for ns in found.latencies]
    yield Figure(f"{where}, driver stamp to verdict, p50", percentile(latencies, 50), "ms")
    yield Figure(f"{where}, driver stamp to verdict, p99", percentile(latencies, 99), "ms", Goal(most=FRAME_MS))
    computing = [ns / MS for ns in found.computing]
    yield Figure(f"{where}, of it our own computing, p99", percentile(computing, 99), "ms", Goal(most=1.5))
    errors = [ns / MS for ns in found.late]
    goal = Goal(most=PERIOD_MS + 0.3)
    yield Figure(f"{where}, error of a message's stamp, p50", percentile(errors, 50), "ms")
    yield Figure(f"{where}, error of a message's stamp, p99", percentile(map(abs, errors), 99), "ms", goal)
    yield Figure(f"{where}, messages lost of {len(found.late)}", found.lost, "", Goal(most=0))
    yield Figure(f"{where}, notes matched of {found.written}", found.matched, "")
    yield from figures_of(found.frames, where)


def live(seconds: float, beside: Sequence[StampedMessage] = ()) -> Live:
    """Play a line for so long into a port, beside other messages, with the window open on it."""
    passes = 1 if seconds < 120 else round(seconds / 60)
    exercise = long_line(round(9 * seconds / passes))
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        server = stack.enter_context(jack_server(folder))
        screen = {"SDL_VIDEODRIVER": "dummy"}
        if shutil.which("Xvfb") is not None:
            screen = stack.enter_context(virtual_screen("x".join(map(str, SIZE))))
        return _played(server, screen, exercise, passes, beside, folder)


def late_by(stamps: Sequence[tuple[int, str]], sent: Sequence[tuple[int, str]]) -> list[int]:
    """Stamp less sending of each message that arrived, ns; both in order, with bytes, and some sent ones may be lost.

    >>> late_by([(12, "a"), (35, "c")], [(10, "a"), (20, "b"), (30, "c")])
    [2, 5]
    """
    late, following = [], 0
    for stamp_ns, data in stamps:
        nearby = range(following, min(len(sent), following + MOST_LOST_IN_A_ROW))
        at = next((at for at in nearby if sent[at][1] == data), None)
        if at is not None:
            late.append(stamp_ns - sent[at][0])
            following = at + 1
    return late


def _played(
    server: JackServer,
    screen: dict[str, str],
    exercise: Exercise,
    passes: int,
    beside: Sequence[StampedMessage],
    folder: Path,
) -> Live:
    exercise = replace(exercise, tempo=Tempo(round(exercise.tempo.quarters_per_minute)))
    count_in_ns = RunPlan(exercise, exercise.tempo).count_in_ns
    notes = played(exercise.repeated(passes), starts_at_ns=count_in_ns, skill=SKILLS["practised"])
    messages = sorted([*notes, *beside], key=lambda message: message.stamp_ns)
    line = folder / "way.toml"
    line.write_text(note_list_text(replace(exercise, name="way")), encoding="utf-8")
    player = Player(server, messages, "Pickup")
    environment = server.environment | screen | {"BOXWALK_DATA": str(folder), "SDL_FRAMEBUFFER_ACCELERATION": "0"}
    process = run_python(["-m", "tests.benchmarks.live_process"], environment)
    assert process.stdin is not None
    assert process.stdout is not None
    order = {
        "exercise": str(line),
        "tempo": str(Fraction(exercise.tempo.quarters_per_minute)),
        "passes": passes,
        "port": player.port,
        "size": SIZE,
        "folder": str(folder / "takes"),
        "lives_s": 120 + messages[-1].stamp_ns // 10**9,
    }
    process.stdin.write(json.dumps(order) + "\n")
    process.stdin.flush()
    held: list[float] = []
    answer: dict[str, Any] = {}
    for text in process.stdout:
        told = json.loads(text)
        if "zero_ns" in told:
            player.start(told["zero_ns"])
        elif "resident_mb" in told:
            held.append(told["resident_mb"])
        else:
            answer = told
    process.communicate()
    sent_ns = player.sent_ns()
    player.stop()
    if not answer:
        raise NotMeasurableError(f"the window ended with {process.returncode}")
    late = late_by(answer["stamps"], list(zip(sent_ns, (m.data.hex() for m in messages), strict=True)))
    frames = Frames()
    frames.work.extend(answer["work"])
    frames.processor.extend(answer["processor"])
    frames.gaps.extend(answer["gaps"])
    return Live(
        screen="Xvfb" if "DISPLAY" in screen else "no screen",
        latencies=answer["latencies"],
        computing=answer["computing"],
        late=late,
        frames=frames,
        matched=answer["matched"],
        written=answer["written"],
        lost=len(sent_ns) - len(late),
        held_mb=held,
    )
