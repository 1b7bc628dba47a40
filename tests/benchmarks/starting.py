"""What is measured of whole commands, each a process of its own: the first frame, judging, memory, collecting.

By the clock, because that is what somebody waits for; beside it the processor time, which other programs disturb less.
The window is SDL's driver `dummy` where there is no virtual screen.
"""

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median

from tests.benchmarks.figures import Figure, Goal, NotMeasurableError, Way
from tests.benchmarks.judging import long_line
from tests.benchmarks.preview import LINES, first_sound_s
from tests.history.builders import record
from tests.homework.builders import LINE, OTHER, assignment_of, returned_of, take_of
from trainer.devices.skill import SKILLS
from trainer.homework.returned import returned_bytes
from trainer.run import RunPlan
from trainer.score.note_list import note_list_text

ROOT = Path(__file__).parents[2]
STARTED_S = "BOXWALK_STARTED_S"
JUDGED_NOTES = 200

_FIRST_FRAME = f"""
import os, sys, time
import trainer.screens  # which takes pygame up as the program does
import pygame
flip = pygame.display.flip
def first_flip():
    flip()
    lines = open("/proc/self/status").read().splitlines() if os.path.exists("/proc/self/status") else []
    held = [line.split()[1] for line in lines if line.startswith("VmRSS")] or ["0"]
    print(time.time() - float(os.environ["{STARTED_S}"]), time.process_time(), held[0], flush=True)
    os._exit(0)
pygame.display.flip = first_flip
from trainer.cli import main
main()
"""


@dataclass(frozen=True, slots=True)
class Spent:
    """What a command took."""

    seconds: float
    processor_s: float
    output: str


def spent(arguments: Sequence[str], folder: Path) -> Spent:
    """Run the program with its own folder, and say what it took; its children count."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    began = time.perf_counter()
    result = subprocess.run(
        [sys.executable, "-m", "trainer", *arguments],
        cwd=ROOT,
        env=os.environ | {"BOXWALK_DATA": str(folder), "SDL_VIDEODRIVER": "dummy"},
        capture_output=True,
        text=True,
        check=True,
    )
    seconds = time.perf_counter() - began
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    processor_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Spent(seconds, processor_s, result.stdout)


def first_frame(way: Way) -> Iterator[Figure]:
    """From the command to the first frame, on the list and on a line; and what the process holds then."""
    runs = 11 if way is Way.WHOLE else 5
    for where, arguments in (
        ("the list of exercises", ["--silent"]),
        ("practising a line", ["practise", "two-gates", "--input", "simulated", "--silent"]),
    ):
        with tempfile.TemporaryDirectory() as folder:
            found = [_first_frame(arguments, Path(folder)) for _ in range(runs + 2)][2:]
        clock, processor, held = (sorted(values) for values in zip(*found, strict=True))
        yield Figure(f"command to first frame, {where}, median of {runs}", median(clock), "s", Goal(most=0.8))
        yield Figure(f"command to first frame, {where}, processor time", median(processor), "s")
        if held[-1]:
            yield Figure(f"memory at the first frame, {where}", held[-1] / 1000, "MB", Goal(most=150))


def _first_frame(arguments: list[str], folder: Path) -> tuple[float, float, float]:
    """Seconds, processor seconds, and kB held; Python keeps what it compiles, as in any installation."""
    environment = {"BOXWALK_DATA": str(folder), "SDL_VIDEODRIVER": "dummy", "PYTHONDONTWRITEBYTECODE": ""}
    environment[STARTED_S] = str(time.time())
    command = [sys.executable, "-c", _FIRST_FRAME, *arguments]
    result = subprocess.run(command, cwd=ROOT, env=os.environ | environment, capture_output=True, text=True, check=True)
    seconds, processor_s, held = result.stdout.split()[-3:]
    return float(seconds), float(processor_s), float(held)


def judge(way: Way) -> Iterator[Figure]:
    """A take of 200 notes, judged alone and in a batch."""
    exercise = replace(long_line(JUDGED_NOTES), name="long-way")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        plan = RunPlan(exercise, exercise.tempo)
        take = str(record(folder, plan, skill=SKILLS["learning"]).take_path)
        line = folder / "long-way.toml"
        line.write_text(note_list_text(exercise), encoding="utf-8")
        alone = [spent(["judge", str(line), take, "--json", "-"], folder) for _ in range(9 if way is Way.WHOLE else 5)]
        what = f"boxwalk judge, a take of {JUDGED_NOTES} notes"
        yield Figure(what, median(one.seconds for one in alone), "s", Goal(most=0.5))
        yield Figure(f"{what}, processor time", median(one.processor_s for one in alone), "s")
        few, many = 16, 56
        costs = [_of_batch(folder, str(line), take, count) for count in (few, many)]
        (few_s, few_processor_s), (many_s, many_processor_s) = costs
        what = f"one more take of {JUDGED_NOTES} notes in a batch"
        yield Figure(f"{what}, by the clock", 1e3 * (many_s - few_s) / (many - few), "ms", Goal(most=30))
        yield Figure(f"{what}, processor time", 1e3 * (many_processor_s - few_processor_s) / (many - few), "ms")


def _of_batch(folder: Path, line: str, take: str, count: int) -> tuple[float, float]:
    """Seconds, and processor seconds, of a batch of so many takes: the least of three."""
    manifest = folder / f"{count}.jsonl"
    manifest.write_text(f"{json.dumps({'exercise': line, 'take': take})}\n" * count, encoding="utf-8")
    runs = [spent(["judge", "--batch", str(manifest)], folder) for _ in range(3)]
    return min(one.seconds for one in runs), min(one.processor_s for one in runs)


def preview(way: Way) -> Iterator[Figure]:
    """From `boxwalk new` to the first sound."""
    with tempfile.TemporaryDirectory() as folder:
        times = [first_sound_s(line, folder) for line in LINES for _ in range(7 if way is Way.WHOLE else 2)]
    if not all(is_audible for _, is_audible in times):
        raise NotMeasurableError("no sound could be opened")
    worst = max(seconds for seconds, _ in times)
    yield Figure(f"boxwalk new LINE --hear to the first sound, worst of {len(times)}", worst, "s", Goal(most=1))


def collect(way: Way) -> Iterator[Figure]:
    """Twenty returned files dropped in at once, and again."""
    pupils, takes = (20, 10) if way is Way.WHOLE else (6, 4)
    assignment = assignment_of(LINE, OTHER)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paths = []
        for pupil in range(pupils):
            played = [take_of(line, days=day) for day in range(takes // 2) for line in (LINE, OTHER)]
            returned = returned_of(*played, pupil=f"Pupil {pupil}", tag=f"{pupil:08x}", assignment=assignment)
            paths.append(folder / f"{pupil}.walkdone")
            paths[-1].write_bytes(returned_bytes(returned))
        first, again = (spent(["homework", "collect", *map(str, paths)], folder) for _ in range(2))
    what = f"homework, {pupils} files of {takes} takes collected, processor time"
    yield Figure(what, first.processor_s, "s")
    yield Figure(f"{what}, again", again.processor_s, "s")
