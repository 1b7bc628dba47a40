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
from functools import cache
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
_STEEPEST = 40.0  # beyond that the curve is flat, and its exponential would overflow

THRESHOLDS: Floats = np.arange(log(LEAST_QPM), log(MOST_QPM) + GRID_STEP, GRID_STEP)
SHAPE = (len(THRESHOLDS), len(WIDTHS), len(LAPSES))
_EDGES: Floats = np.concatenate([THRESHOLDS - GRID_STEP / 2, THRESHOLDS[-1:] + GRID_STEP / 2])


@cache
def _axes() -> tuple[Floats, Floats, Floats, Floats]:
    """Thresholds, widths, asymptotes and `c` of the module's formula, shaped to be combined."""
    thresholds = THRESHOLDS[:, None, None]
    widths = WIDTHS[None, :, None]
    asymptotes = 1.0 - LAPSES[None, None, :]
    at_threshold = CLEAN_SHARE / asymptotes
    return thresholds, widths, asymptotes, np.log(at_threshold / (1.0 - at_threshold))


def chances(log_qpm: Floats) -> Floats:
    """P(clean) at each tempo in turn, for every threshold, width and lapse rate of the grid."""
    thresholds, widths, asymptotes, offsets = _axes()
    x = log_qpm.reshape(-1, 1, 1, 1)
    exponents = np.clip((x - thresholds) / widths - offsets, -_STEEPEST, _STEEPEST)
    return asymptotes / (1.0 + np.exp(exponents))


def log_likelihood(passes: Sequence[Pass], drift: float = 0.0) -> Floats:
    """How likely the passes are at each point of the grid, as a logarithm; `drift` from the first to the last."""
    count = len(passes)
    shifts = drift * ((np.arange(count) + 0.5) / max(1, count) - 0.5)
    clean = np.array([one.is_clean for one in passes], dtype=bool).reshape(-1, 1, 1, 1)
    found = chances(np.log([one.qpm for one in passes]) - shifts)
    return np.log(np.where(clean, found, 1.0 - found)).sum(axis=0)  # type: ignore[no-any-return]  # numpy's sum is Any


def weights(log_likelihoods: Floats) -> Floats:
    """The grid's weights after the passes, adding up to 1."""
    relative = np.exp(log_likelihoods - log_likelihoods.max())
    return relative / relative.sum()  # type: ignore[no-any-return]  # as above


def evidence(log_likelihoods: Floats) -> float:
    """The logarithm of how likely the passes are on the whole, averaged over the grid."""
    most = float(log_likelihoods.max())
    return most + log(float(np.exp(log_likelihoods - most).mean()))


def quantiles(of_thresholds: Floats, shares: Floats) -> Floats:
    """The log tempi below which these shares of the thresholds' weight lie."""
    below = np.concatenate([[0.0], np.cumsum(of_thresholds)])
    return np.interp(shares, below / below[-1], _EDGES)


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
