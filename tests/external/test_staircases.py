"""Up-and-down procedures against the convergence points in the literature.

Levitt 1971 (J. Acoust. Soc. Am. 49, 467): after k clean passes up, after one spoiled down, by equal steps: 50, 70.7,
79.4, 84.1 %. Kaernbach 1991 (Percept. Psychophys. 49, 227): one up, one down by steps weighted p / (1 - p): p.
Garcia-Perez 1998 (Vision Res. 38, 1861): with steps that are large beside the curve, up / down = 0.2845, 0.5488,
0.7393, 0.8415 for k = 1 to 4 converges at 77.85, 80.35, 83.15, 85.84 %: where (down / (up + down)) ^ (1 / k) lies.
"""

from dataclasses import replace
from math import exp, log
from random import Random

import pytest

from trainer.coaching.staircase import Staircase, Steps, transformed, weighted

THRESHOLD_QPM, WIDTH = 120.0, 0.15
LEVITT = ((1, 0.5), (2, 0.7071), (3, 0.7937), (4, 0.8409))
GARCIA_PEREZ = ((1, 0.2845, 0.7785), (2, 0.5488, 0.8035), (3, 0.7393, 0.8315), (4, 0.8415, 0.8584))


def chance(qpm: float) -> float:
    return 1 / (1 + exp((log(qpm) - log(THRESHOLD_QPM)) / WIDTH))


def share_where_it_hovers(steps: Steps, *, passes: int = 4000) -> float:
    """The chance of a clean pass at the mean ln tempo that a long walk stays about, its way there left out."""
    random = Random(f"{steps}")
    walk = Staircase(THRESHOLD_QPM, steps, most_passes=passes)
    visited = []
    for _ in range(passes):
        qpm = walk.tempo()
        walk = walk.told(clean=random.random() < chance(qpm))
        visited.append(log(qpm))
        walk = _forgetting(walk)
    counted = visited[passes // 10 :]
    return chance(exp(sum(counted) / len(counted)))


def _forgetting(walk: Staircase) -> Staircase:
    """The same walk without its history, which would be copied at each of thousands of passes."""
    return replace(walk, passes=(), turns=walk.turns[-1:])


@pytest.mark.parametrize(("in_row", "share"), LEVITT)
def test_equal_steps_hover_about_the_points_of_levitt(in_row: int, share: float) -> None:
    steps = transformed(in_row, step=0.01)

    assert steps.clean_share == pytest.approx(share, abs=0.0001)
    assert share_where_it_hovers(steps) == pytest.approx(share, abs=0.02)


@pytest.mark.parametrize(("share", "ratio"), [(0.5, 1), (0.75, 3), (0.8, 4), (0.9, 9)])
def test_weighted_steps_hover_about_the_share_that_kaernbach_gives(share: float, ratio: float) -> None:
    steps = weighted(share, up=0.004)

    assert steps.down / steps.up == pytest.approx(ratio)
    assert share_where_it_hovers(steps) == pytest.approx(share, abs=0.02)


@pytest.mark.parametrize(("in_row", "up_over_down", "share"), GARCIA_PEREZ)
def test_the_ratios_of_garcia_perez_balance_where_he_found_large_steps_to_converge(
    in_row: int, up_over_down: float, share: float
) -> None:
    assert Steps(in_row, up_over_down * 0.1, 0.1).clean_share == pytest.approx(share, abs=0.0001)
