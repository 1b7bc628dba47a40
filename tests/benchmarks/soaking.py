"""What is measured over hours, on an accelerated clock: takes one after the other on the program's own screens.

A frame is a tenth of a second, for a verdict does not depend on the frame rate. Memory is what the system says of the
process, and its growth a line fitted to all but the first tenth.
"""

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from tests.benchmarks.figures import Figure, Goal, Way, resident_mb
from tests.screens.sitting import Sitting
from trainer.run import RunPlan
from trainer.score.library import load_exercise

HOURS = 8.0
FRAME_NS = 100_000_000
PASSES = 8
HOUR_NS = 3_600_000_000_000


def day(_way: Way) -> Iterator[Figure]:
    """Memory after the start, and how it grows."""
    line = load_exercise("quarry-steps")
    plan = RunPlan(line, line.tempo, passes=PASSES)
    hours_at, held = [], []
    with tempfile.TemporaryDirectory() as name, Sitting(Path(name), plan, frame_ns=FRAME_NS) as sitting:
        sitting.frame()
        begun_mb, begun_ns = resident_mb(), sitting.now_ns
        while sitting.now_ns - begun_ns < HOURS * HOUR_NS:
            sitting.take()
            hours_at.append((sitting.now_ns - begun_ns) / HOUR_NS)
            held.append(resident_mb())
    where = f"{HOURS:g} hours of takes on an accelerated clock"
    yield Figure(f"{where}, memory after the start", begun_mb, "MB", Goal(most=150))
    yield Figure(f"{where}, memory at the end, after {len(held)} takes", held[-1], "MB")
    settled = len(held) // 10
    growth = float(np.polyfit(hours_at[settled:], held[settled:], 1)[0])
    yield Figure(f"{where}, growth of memory", growth, "MB an hour", Goal(most=2))
