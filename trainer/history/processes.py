"""Work on takes spread over the cores, to be stopped at any time."""

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from itertools import islice
from typing import TypeVar

WORTH_IT = 8
"""Takes for which one more process is begun: it takes as long to begin as to judge about that many."""
AHEAD = 4
"""Takes that wait for each process, so that none waits for the disk."""
Given = TypeVar("Given")
Result = TypeVar("Result")


def processes_for(takes: int) -> int:
    """How many processes so many takes are worth, at most one for each core."""
    return min(os.cpu_count() or 1, 1 + takes // WORTH_IT)


def each(act: Callable[[Given], Result], given: Iterable[Given], processes: int) -> Iterator[Result]:
    """What `act`, a function of a module, makes of each; in no order, or, with one process, in this one and in order.

    Whoever stops asking (an interruption passes through) leaves what had not begun undone.
    """
    if processes == 1:
        yield from map(act, given)
        return
    # Processes begun anew, not forked: a connection must not be carried into another process.
    context = multiprocessing.get_context("spawn")
    given = iter(given)
    with ProcessPoolExecutor(processes, mp_context=context, initializer=_leave_interrupts_to_parent) as pool:
        waiting: set[Future[Result]] = set()
        try:
            while True:
                waiting |= {pool.submit(act, one) for one in islice(given, AHEAD * processes - len(waiting))}
                if not waiting:
                    return
                done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
                yield from (future.result() for future in done)
        finally:
            for future in waiting:
                future.cancel()


def in_order(numbered: Iterable[tuple[int, Result]]) -> Iterator[Result]:
    """Results that are numbered from 0 and come in any order, by their numbers, each as soon as it is its turn."""
    waiting: dict[int, Result] = {}
    following = 0
    for number, result in numbered:
        waiting[number] = result
        while following in waiting:
            yield waiting.pop(following)
            following += 1


def _leave_interrupts_to_parent() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
