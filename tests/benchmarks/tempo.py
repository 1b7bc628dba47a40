"""`python -m tests.benchmarks.tempo [--trials N] [--seed S]`: the working tempo against players whose truth is known.

Players lie anywhere from 40 to 260 quarters a minute, and so do the tempi of the first pass. Columns: bias (mean of
estimate / truth - 1), rms of ln(estimate / truth), share of the 80 % intervals that hold the truth and of truths below
and above them, median width of the interval (of the estimate), and how often a drift was said.

Kinds that move have no one truth; theirs is the tempo of the middle of the run.
The interval's two constants were fitted on other seeds (see `trainer.coaching.working_tempo`).
"""

import argparse
import sys
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from itertools import repeat
from math import exp, log
from random import Random
from statistics import fmean, median

from tests.coaching.tempo_players import Kind, Trial, early, heavy, late, normal, trial
from trainer.coaching.working_tempo import Drift

STEADY = (
    Kind("any width 0.02-0.15, lapses 0-3 %"),
    *(Kind(f"width {width}", (width, width)) for width in (0.01, 0.02, 0.035, 0.06, 0.1, 0.15)),
    Kind("no lapses", lapses=(0.0, 0.0)),
    Kind("lapses 3 %", lapses=(0.03, 0.03)),
)
OFF_MODEL = (
    Kind("lapses 8 %", lapses=(0.08, 0.08)),
    Kind("cumulative normal", curve=normal),
    Kind("Weibull", curve=early),
    Kind("Weibull turned round", curve=late),
    Kind("heavy tails", curve=heavy),
    Kind("jumps by 5 % from pass to pass", wobbles=0.05),
    Kind("warms up from 10 % below", warms_up=0.1),
)
MOVING = tuple(
    Kind(f"{exp(moves) - 1:+.0%} over the run, width {width}", (width, width), moves=moves)
    for width in (0.03, 0.08)
    for moves in (log(0.75), log(0.6), log(1.33), log(1.67))
)
CHUNK = 100


def row(name: str, trials: list[Trial]) -> str:
    """One line of figures."""
    held = below = above = 0
    errors: list[float] = []
    for one in trials:
        truth = one.truth_qpm
        errors.append(log(one.estimate.qpm / truth))
        held += one.estimate.low_qpm <= truth <= one.estimate.high_qpm
        below += truth < one.estimate.low_qpm
        above += truth > one.estimate.high_qpm
    count = len(trials)
    bias = fmean(exp(error) - 1 for error in errors)
    rms = fmean(error * error for error in errors) ** 0.5
    width = median((one.estimate.high_qpm - one.estimate.low_qpm) / one.estimate.qpm for one in trials)
    said = [sum(one.estimate.drift is drift for one in trials) / count for drift in Drift]
    return (
        f"{name:40} {bias:+7.1%} {rms:6.1%} {held / count:7.1%} {below / count:6.1%} {above / count:6.1%} "
        f"{width:6.1%} {said[0]:8.1%} {said[1]:7.1%}"
    )


def _put(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def chunk(kind: Kind, seed: str, passes: int) -> list[Trial]:
    """Some trials of one kind."""
    random = Random(seed)
    return [trial(kind, random, passes=passes) for _ in range(CHUNK)]


def kinds(passes: int) -> Iterable[Kind]:
    """What is measured."""
    return (STEADY + OFF_MODEL + MOVING) if passes == 20 else STEADY[:1]


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=77)
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args()
    _put(f"{options.trials} trials a kind, seed {options.seed}")
    heads = ("bias", "rms", "held", "below", "above", "width", "falling", "rising")
    _put(f"{'kind':40} " + " ".join(f"{head:>7}" for head in heads))
    with ProcessPoolExecutor(options.workers) as pool:
        for passes in (20, 8, 12, 16):
            for kind in kinds(passes):
                named = kind if passes == 20 else replace(kind, name=f"{kind.name}, {passes} passes")
                seeds = [f"{options.seed} {named.name} {part}" for part in range(-(-options.trials // CHUNK))]
                found = pool.map(partial(chunk, passes=passes), repeat(kind), seeds)
                _put(row(named.name, [one for part in found for one in part]))


if __name__ == "__main__":
    main()
