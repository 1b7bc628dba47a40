"""What is measured of the coach: how often it is right about players whose truth is known."""

import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from itertools import repeat
from math import exp, log
from statistics import fmean

from tests.benchmarks.coach import drawn
from tests.benchmarks.figures import Figure, Goal, Way
from tests.benchmarks.tempo import CHUNK, STEADY, chunk
from tests.coaching.players import Player
from trainer.coaching.transitions import weigh


def coach(way: Way) -> Iterator[Figure]:
    """A planted weakness after five passes, and players without one."""
    trials = 400 if way is Way.WHOLE else 100
    for what, player, kind in (
        ("a transition 25 ms late, spread 10 ms", Player(10.0), "late"),
        ("a transition twice as unsteady", Player(), "unsteady"),
    ):
        found = [weigh(passes).ranked[0].to_index == planted for passes, planted in drawn(trials, player, late=kind)]
        where = f"coach, 5 passes, {trials} players: {what} ranks first"
        yield Figure(where, 100 * fmean(found), "%", Goal(least=95))
    named = [bool(weigh(passes).weak) for passes, _ in drawn(trials, Player())]
    yield Figure(f"coach, 5 passes, {trials} even players: a weakness is named", 100 * fmean(named), "%", Goal(most=5))


def tempo(way: Way) -> Iterator[Figure]:
    """The working tempo of steady players over 20 passes."""
    trials = 2_000 if way is Way.WHOLE else 400
    kind = STEADY[0]
    seeds = [f"77 {kind.name} {part}" for part in range(trials // CHUNK)]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = [one for part in pool.map(chunk, repeat(kind), seeds, repeat(20)) for one in part]
    bias = fmean(exp(log(one.estimate.qpm / one.truth_qpm)) - 1 for one in found)
    held = fmean(one.estimate.low_qpm <= one.truth_qpm <= one.estimate.high_qpm for one in found)
    where = f"working tempo, {trials} simulated players, 20 passes"
    yield Figure(f"{where}: bias", 100 * bias, "%", Goal(-2, 2))
    yield Figure(f"{where}: the 80 % interval holds the truth", 100 * held, "%", Goal(75, 85))
