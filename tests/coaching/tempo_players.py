"""Simulated players whose working tempo is known: one chance of a clean pass at each tempo.

The truth is the tempo at which a pass is clean with probability 0.8, lapses included, in the middle of the run.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, expm1, log, log1p, sqrt
from random import Random
from statistics import NormalDist

from trainer.coaching.asking import Pass
from trainer.coaching.working_tempo import Estimate, WorkingTempo

CLEAN = 0.8
_NORMAL = NormalDist()


def logistic(steps: float, clean: float) -> float:
    """The share clean at `steps` widths above the tempo at which it is `clean`; the model's own curve."""
    return 1 / (1 + exp(min(40.0, steps - log(clean / (1 - clean)))))


def normal(steps: float, clean: float) -> float:
    """The cumulative normal of the same slope at its middle: thinner tails."""
    return _NORMAL.cdf(_NORMAL.inv_cdf(clean) - steps / 1.6)


def early(steps: float, clean: float) -> float:
    """Weibull's curve: slow to leave 1, quick to reach 0."""
    return exp(log(clean) * exp(min(7.0, steps / 1.5)))


def late(steps: float, clean: float) -> float:
    """The same turned round: quick to leave 1, slow to reach 0."""
    return -expm1(log1p(-clean) * exp(min(7.0, -steps / 1.5)))


def heavy(steps: float, clean: float) -> float:
    """Student's t with two degrees of freedom: now and then clean far above, and spoiled far below."""

    def below(t: float) -> float:
        return 0.5 + t / (2 * sqrt(2 + t * t))

    at_threshold = (2 * clean - 1) / sqrt(2 * clean * (1 - clean))
    return below(at_threshold - steps / 1.4)


Curve = Callable[[float, float], float]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of player; width and lapses are drawn anew for each of them."""

    name: str
    widths: tuple[float, float] = (0.02, 0.15)
    """Least and most; in natural logarithms of tempo, drawn in logarithms."""
    lapses: tuple[float, float] = (0.0, 0.03)
    curve: Curve = logistic
    moves: float = 0.0
    """How far the threshold moves, evenly, from the first pass to the last; natural logarithm."""
    warms_up: float = 0.0
    """How far the threshold lies below at the first pass, half of that three passes later, and so on."""
    wobbles: float = 0.0
    """How far the threshold jumps from pass to pass: standard deviation, natural logarithm."""


def chance(kind: Kind, log_qpm: float, threshold: float, width: float, lapse: float) -> float:
    """Of a clean pass."""
    return (1 - lapse) * kind.curve((log_qpm - threshold) / width, CLEAN / (1 - lapse))


@dataclass(frozen=True, slots=True)
class Trial:
    """One run with one player."""

    truth_qpm: float
    estimate: Estimate


def trial(kind: Kind, random: Random, *, passes: int = 20) -> Trial:
    """A player between 40 and 260 quarters a minute, asked from a start anywhere there."""
    truth, start = (exp(random.uniform(log(40), log(260))) for _ in range(2))
    width = exp(random.uniform(log(kind.widths[0]), log(kind.widths[1])))
    lapse = random.uniform(*kind.lapses)
    procedure = WorkingTempo(start, most_passes=passes)
    for number in range(passes):
        moved = kind.moves * ((number + 0.5) / passes - 0.5) - kind.warms_up * 0.5 ** (number / 3)
        threshold = log(truth) + moved + random.gauss(0, kind.wobbles)
        procedure = procedure.told(
            clean=random.random() < chance(kind, log(procedure.tempo()), threshold, width, lapse)
        )
    estimate = procedure.estimate()
    assert estimate is not None
    return Trial(truth, estimate)


def played(procedure: WorkingTempo, outcomes: str) -> WorkingTempo:
    """The procedure after passes that were clean (`c`) or not."""
    for outcome in outcomes:
        procedure = procedure.told(clean=outcome == "c")
    return procedure


def passes_at(*pairs: tuple[float, bool]) -> tuple[Pass, ...]:
    """Passes in brief."""
    return tuple(Pass(qpm, clean) for qpm, clean in pairs)
