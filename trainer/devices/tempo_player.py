"""A simulated player with a working tempo of its own, for demonstrations and tests of the adaptive run.

At each tempo a pass is clean by chance, along a logistic curve of ln tempo that is 0.8 at the working tempo; a pass
that is not clean misses one note. The onsets scatter evenly, by little.
"""

from dataclasses import replace
from math import exp, log
from random import Random

from trainer.devices.faults import Fault, FaultKind, Faults
from trainer.devices.skill import EXACT, Skill
from trainer.score.exercise import Exercise

WIDTH = 0.06
"""In natural logarithms of tempo: nine of ten passes clean 5 % below the working tempo, half of them 8 % above."""
HANDS: Skill = replace(EXACT, name="even", timing_sd_ns=6_000_000)


def clean_chance(qpm: float, working_qpm: float) -> float:
    """How likely a clean pass is.

    >>> round(clean_chance(100, 100), 3)
    0.8
    """
    return 1 / (1 + exp(min(50.0, (log(qpm) - log(working_qpm)) / WIDTH - log(4))))


def faults_at(exercise: Exercise, qpm: float, working_qpm: float, random: Random) -> Faults:
    """What goes wrong in the next pass."""
    if random.random() < clean_chance(qpm, working_qpm):
        return Faults()
    return Faults((Fault(FaultKind.MISS, random.randrange(len(exercise.notes))),))
