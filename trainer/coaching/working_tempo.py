"""The working tempo: how fast a line is clean today, found in at most twenty passes.

The figure is the tempo at which four passes of five are clean, with an interval that holds it four times in five. It is
of one line, one day and one player; it is no limit.

Choice
------
A Bayesian threshold procedure (`psychometric` has the model and its sources), because twenty passes are few: a weighted
up-down (Kaernbach 1991; `staircase`) converges to the same point, but from a start far off it spends its passes on the
way, and it gives no interval. The next tempo is the one after which the threshold is expected to be least uncertain,
among some quantiles of where it may lie.

Deviations from the published procedures:

- A pass is asked at most half as fast again as the one before. The mathematics would like bigger leaps at first; hands
  do not.
- The interval is not quite the middle 80 % of the weights. Over players of one steepness that would hold the truth too
  often where clean turns into not clean within a few per cent, and not often enough where that is gradual, since twenty
  passes tell little of the steepness and the weights average over all of it. The share left out on each side is
  therefore moved with the steepness found (`_left_out`); the two constants were fitted to simulated players on seeds
  that the benchmark does not use.
- Levitt (1971) and Garcia-Perez (1998) assume an ability that stands still. Fatigue and warming up do not, so the
  passes are also laid against a threshold that moves evenly. When that is clearly likelier (`DRIFT_FACTOR`), it is
  said, and the figure is then of the middle of the run, steady and moving thresholds weighed together.
- It always takes all its passes: stopping when the interval looks narrow picks the lucky runs, whose intervals are too
  narrow.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import exp, log
from typing import Self

import numpy as np

from trainer.coaching.asking import Pass, checked_start, within_limits
from trainer.coaching.psychometric import (
    DRIFTS,
    WIDTHS,
    Floats,
    expected_variances,
    likelihood,
    quantiles,
    weights,
)

MOST_PASSES = 20
LEAST_PASSES = 8
"""With fewer there is no figure: even the coarsest way to a threshold far off takes as many."""
FASTEST_RISE = 1.5
"""From one pass to the next."""
DRIFT_FACTOR = 5.0
"""So much likelier a moving threshold must make the passes. With it 3 to 6 in 100 steady players are said to drift."""
_ASKED_AT: Floats = np.array([0.02, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.98])
"""Quantiles of where the threshold may lie, from which the next tempo is chosen."""


class Drift(StrEnum):
    """Which way the ability moved during the run."""

    FALLING = "falling"
    RISING = "rising"


@dataclass(frozen=True, slots=True)
class Estimate:
    """A working tempo."""

    qpm: float
    low_qpm: float
    high_qpm: float
    """The ends of the 80 % interval."""
    passes: int
    drift: Drift | None = None

    def words(self) -> str:
        """The figure as sentences."""
        figure = f"Working tempo today: ♩ = {self.qpm:.0f}, clean in four passes of five; "
        figure += f"four times in five the true figure lies between {self.low_qpm:.0f} and {self.high_qpm:.0f}."
        match self.drift:
            case Drift.FALLING:
                return f"{figure} It was falling during the run: the figure is of its middle. Rest your hands."
            case Drift.RISING:
                return f"{figure} It was rising during the run: the figure is of its middle."
            case None:
                return figure


@dataclass(frozen=True, slots=True)
class WorkingTempo:
    """The procedure after some passes."""

    start_qpm: float
    most_passes: int = MOST_PASSES
    passes: tuple[Pass, ...] = ()
    is_hidden: bool = field(default=False, init=False)

    def __post_init__(self) -> None:
        checked_start(self.start_qpm)
        if not LEAST_PASSES <= self.most_passes <= 40:
            raise ValueError(f"{self.most_passes} passes: expected {LEAST_PASSES} to 40")

    @property
    def is_over(self) -> bool:
        """Whether all passes are played."""
        return len(self.passes) >= self.most_passes

    @property
    def passes_wanting(self) -> int:
        """How many more passes a figure needs."""
        return max(0, LEAST_PASSES - len(self.passes))

    def tempo(self) -> float:
        """The tempo of the next pass."""
        if self.is_over:
            raise ValueError("nothing more is asked: all passes are played")
        if not self.passes:
            return within_limits(self.start_qpm)
        grid = weights(likelihood(self.passes))
        candidates = quantiles(grid.sum(axis=(1, 2)), _ASKED_AT)
        wanted = exp(candidates[int(np.argmin(expected_variances(grid, candidates)))])
        return within_limits(min(wanted, FASTEST_RISE * self.passes[-1].qpm))

    def told(self, *, clean: bool) -> Self:
        """The procedure after the next pass."""
        return replace(self, passes=(*self.passes, Pass(self.tempo(), clean)))

    def estimate(self) -> Estimate | None:
        """The working tempo by the passes so far; None when they are too few."""
        if self.passes_wanting:
            return None
        drift, likelihoods = _weighed(self.passes)
        grid = weights(likelihoods)
        of_thresholds = grid.sum(axis=(1, 2))
        width = exp(float((grid.sum(axis=(0, 2)) * np.log(WIDTHS)).sum()))
        out = _left_out(width)
        low, middle, high = np.exp(quantiles(of_thresholds, np.array([out, 0.5, 1.0 - out])))
        return Estimate(float(middle), float(low), float(high), len(self.passes), drift)

    def words(self) -> str:
        """The figure, or how many passes it still needs."""
        estimate = self.estimate()
        if estimate is not None:
            return estimate.words()
        more = "1 more pass" if self.passes_wanting == 1 else f"{self.passes_wanting} more passes"
        return f"Not enough yet: a working tempo needs {more}."


def estimate_by(passes: Sequence[Pass]) -> Estimate | None:
    """The working tempo by passes whose tempi the player chose; None when they do not tell.

    They do not when they are too few, when all of them or none were clean, or when the figure would lie outside the
    tempi that were played: nobody was heard there. The procedure, for which alone the interval was tested, did not
    choose these tempi.
    """
    if len(passes) < LEAST_PASSES or len({one.is_clean for one in passes}) < 2:
        return None
    tempi = [one.qpm for one in passes]
    found = WorkingTempo(within_limits(tempi[0]), passes=tuple(passes)).estimate()
    return found if found is not None and min(tempi) <= found.qpm <= max(tempi) else None


def _left_out(width: float) -> float:
    """The share of the weights left out on each side of the interval; see the module."""
    return min(0.2, max(0.06, 0.11 - 0.04 * log(width / 0.05)))


def _weighed(passes: tuple[Pass, ...]) -> tuple[Drift | None, Floats]:
    """Which way the ability moved, if any, and how likely each threshold in the middle of the run makes the passes."""
    steady = likelihood(passes)
    for drift, sign in ((Drift.FALLING, -1), (Drift.RISING, 1)):
        moving = np.mean([likelihood(passes, float(by)) for by in DRIFTS if by * sign > 0], axis=0)
        if moving.mean() >= DRIFT_FACTOR * steady.mean():
            return drift, steady + moving
    return None, steady
