"""How likely a clean pass is at each tempo, and what some passes say of that: the model behind the working tempo.

The chance of a clean pass falls with the logarithm of the tempo along a logistic curve,

    P(clean | x) = (1 - lapse) / (1 + exp((x - threshold) / width - c)),    x = ln tempo,

with c such that P is 0.8 at the threshold, lapses included: that is the tempo of four clean passes in five. Threshold,
width (how gradually it gets worse) and lapse rate are all unknown; what is known of them is a grid of weights, uniform
in the logarithms of tempo and width at first, and after each pass multiplied by how likely that pass was (Bayes).

`Drift` adds one more unknown: the threshold moves evenly, by so much of a logarithm from the first pass to the last.
Passes are numbered over the run, so `shift` of the middle pass is 0.

References, from memory: Watson and Pelli 1983 (QUEST: a Bayesian threshold procedure), Kontsevich and Tyler 1999
(threshold and slope together, one-step look-ahead), King-Smith and others 1994 (ask where the expected variance of the
threshold is smallest), Prins 2013 (what is of no interest is averaged over), Wichmann and Hill 2001 (lapses).
"""

from collections.abc import Sequence
from functools import lru_cache
from math import log

import numpy as np
from numpy.typing import NDArray

from trainer.coaching.asking import Pass

Floats = NDArray[np.float64]

CLEAN_SHARE = 0.8
"""Four passes of five."""
LEAST_QPM, MOST_QPM = 15.0, 560.0
"""Thresholds that are thought of: beyond what can be asked, so that its ends do not cut an estimate."""
GRID_STEP = 0.02
"""Between thresholds, in natural logarithms: 2 %."""
WIDTHS: Floats = np.geomspace(0.01, 0.4, 9)
"""From falling from 95 to 20 % within 4 % of tempo, to not falling so far within a doubling."""
LAPSES: Floats = np.array([0.005, 0.03])
"""Passes spoiled whatever the tempo; 0 to 5 % is what people show (Wichmann and Hill 2001, from memory)."""
DRIFTS: Floats = np.array([-0.6, -0.4, -0.25, -0.12, 0.0, 0.12, 0.25, 0.4, 0.6])
"""In natural logarithms from the first pass to the last: up to 45 % down or 80 % up."""
_MIDDLE = log(LEAST_QPM * MOST_QPM) / 2  # logarithms are taken from here, so that no power of e overflows

THRESHOLDS: Floats = np.arange(log(LEAST_QPM), log(MOST_QPM) + GRID_STEP, GRID_STEP)
SHAPE = (len(THRESHOLDS), len(WIDTHS), len(LAPSES))
_EDGES: Floats = np.concatenate([THRESHOLDS - GRID_STEP / 2, THRESHOLDS[-1:] + GRID_STEP / 2])


_ASYMPTOTES: Floats = 1.0 - LAPSES[None, None, :]
_AT_THRESHOLD: Floats = CLEAN_SHARE / _ASYMPTOTES
_POWERS: Floats = np.exp((_MIDDLE - THRESHOLDS[:, None, None]) / WIDTHS[None, :, None]) * (
    (1.0 - _AT_THRESHOLD) / _AT_THRESHOLD
)
"""The part of the formula's exponential that does not depend on the tempo."""


def chances(log_qpm: Floats) -> Floats:
    """P(clean) at each tempo in turn, for every threshold, width and lapse rate of the grid."""
    of_tempi = np.exp((log_qpm[:, None] - _MIDDLE) / WIDTHS)
    return np.asarray(_ASYMPTOTES / (1.0 + of_tempi[:, None, :, None] * _POWERS))


def likelihood(passes: Sequence[Pass], drift: float = 0.0) -> Floats:
    """How likely the passes are at each point of the grid; `drift` from the first pass to the last."""
    if not drift:
        return _steady(tuple(passes))
    count = len(passes)
    shifts = drift * ((np.arange(count) + 0.5) / count - 0.5)
    found = chances(np.log([one.qpm for one in passes]) - shifts)
    clean = np.array([one.is_clean for one in passes], dtype=bool).reshape(-1, 1, 1, 1)
    return np.asarray(np.where(clean, found, 1.0 - found).prod(axis=0))


@lru_cache(maxsize=64)
def _steady(passes: tuple[Pass, ...]) -> Floats:
    """The same without a drift; what was known before the last pass is remembered."""
    if not passes:
        return np.ones(SHAPE)
    found = chances(np.log([passes[-1].qpm]))[0]
    return np.asarray(_steady(passes[:-1]) * (found if passes[-1].is_clean else 1.0 - found))


def weights(likelihoods: Floats) -> Floats:
    """The grid's weights after the passes, adding up to 1."""
    return np.asarray(likelihoods / likelihoods.sum())


def quantiles(of_thresholds: Floats, shares: Floats) -> Floats:
    """The log tempi below which these shares of the thresholds' weight lie."""
    below = np.concatenate([[0.0], np.cumsum(of_thresholds)])
    return np.asarray(np.interp(shares, below / below[-1], _EDGES))


def expected_variances(grid: Floats, log_qpm: Floats) -> Floats:
    """How uncertain the threshold will be on average after one more pass at each of these tempi."""
    clean = (chances(log_qpm) * grid).sum(axis=(2, 3))
    of_thresholds = grid.sum(axis=(1, 2))
    total = np.zeros(len(log_qpm))
    for outcome in (clean, of_thresholds - clean):
        likelihood = np.maximum(outcome.sum(axis=1), 1e-12)
        first, second = outcome @ THRESHOLDS, outcome @ (THRESHOLDS * THRESHOLDS)
        total += second - first * first / likelihood
    return total
