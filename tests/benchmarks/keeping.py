"""What is measured of ten years of takes: opening the history, its views, and judging all of it again."""

import os
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

from tests.benchmarks.figures import Figure, Goal, Way
from tests.benchmarks.history import fill
from trainer.history.figures import Asked, breaks, days, lines, takes, verdict_counts
from trainer.history.opening import history_path, transaction
from trainer.history.passes import passes_of
from trainer.history.rejudging import rejudge, takes_to_judge
from trainer.history.store import History

MANY, SOME = 20_000, 2_000


def history(way: Way) -> Iterator[Figure]:
    """Opened and looked at from every side."""
    count = MANY if way is Way.WHOLE else SOME
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "takes"
        path = history_path(folder)
        with History.open(path, folder) as kept:
            fill(kept, count, Random(1))
        opening_s = _least(lambda: History.open(path, folder).close())
        with History.open(path, folder) as kept:
            line = lines(kept)[0].name
            views: dict[str, Callable[[], object]] = {
                "by day": lambda: days(kept),
                "by line": lambda: lines(kept),
                "by line, one word": lambda: lines(kept, Asked(words=(line,))),
                "the last 100 takes": lambda: takes(kept),
                "breaks": lambda: breaks(kept),
                "verdicts counted": lambda: verdict_counts(kept),
                "lines ever played": kept.played_names,
                "1000 passes of a line, note by note": lambda: passes_of(kept, line, last=1000),
            }
            costs = {name: _least(view) for name, view in views.items()}
    slowest = max(costs, key=lambda name: costs[name])
    where = f"history of {count} takes, processor time"
    yield Figure(f"{where}: opened", opening_s, "s", Goal(most=0.3))
    yield Figure(f"{where}: slowest view ({slowest})", costs[slowest], "s", Goal(most=0.5))


def _least(act: Callable[[], object], times: int = 3) -> float:
    """The least processor seconds of some calls: the first one meets a cold cache of this process."""
    costs = []
    for _ in range(times):
        began = time.process_time()
        act()
        costs.append(time.process_time() - began)
    return min(costs)


def rejudged(way: Way) -> Iterator[Figure]:
    """All takes judged by another ear than before: what a take costs with few and with many, on one core and on all."""
    cores = os.cpu_count() or 1
    few, many = (2_000, MANY) if way is Way.WHOLE else (40, 120)
    few_costs, many_costs = (_rejudging(count, cores) for count in (few, many))
    yield Figure("judging again, a take of 200 notes, processor time", 1e3 * many_costs[1] / many, "ms")
    yield Figure(f"judging {many} takes again on {cores} cores, by the clock", many_costs[0], "s")
    growth = (many_costs[1] / many) / (few_costs[1] / few)
    what = f"judging again, a take among {many} against one among {few}, processor time"
    yield Figure(what, growth, "times", Goal(most=1.2))


def _rejudging(count: int, processes: int) -> tuple[float, float]:
    """Seconds by the clock, and of the processors, to judge so many takes again."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "takes"
        with History.open(history_path(folder), folder) as kept:
            fill(kept, count, Random(1))
            with transaction(kept.connection):
                kept.connection.execute("UPDATE ears SET fingerprint = 'another ear'")
            waiting = takes_to_judge(kept)
            began, busy = time.perf_counter(), sum(os.times()[:4])
            result = rejudge(kept, waiting, processes=processes)
            costs = time.perf_counter() - began, sum(os.times()[:4]) - busy
    if result.takes != count:
        raise RuntimeError(f"{result.takes} takes judged, {count} expected: {result.unread[:1]}")
    return costs
