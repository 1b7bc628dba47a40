"""A live take without a window: the same run as on the screen, polled in a plain loop."""

import time
from collections.abc import Callable

from trainer.run import Run, RunPlan
from trainer.station import Station

POLL_S = 0.002  # well under a MIDI message's travel; the stamps do not depend on it


def play_headless(station: Station, plan: RunPlan, say: Callable[[str], None]) -> Run:
    """Play one run to its end and leave the station.

    `say` is given sentences for the person at the terminal whenever the input or the keeping of the take changes.
    """
    try:
        run, _ = play_to_end(station, plan, say)
    finally:
        station.close()
    if station.history is not None and station.history.trouble is not None:
        say(station.history.trouble)
    return run


def play_to_end(station: Station, plan: RunPlan, say: Callable[[str], None]) -> tuple[Run, bool]:
    """Play one run to its end, or until it is interrupted (Ctrl C), which keeps the take as well; whether it was."""
    run = station.start_run(plan)
    say(f"Quarter 0 falls at {run.starts_at_ns} ns of the steady clock, {plan.count_in_ns / 1e9:.3f} s from now.")
    said = ""
    is_interrupted = False
    try:
        while not run.is_finished:
            now_ns = time.perf_counter_ns()
            run.update(station.poll(now_ns), now_ns)
            news = run.trouble or station.status
            if news != said:
                said = news
                say(news)
            time.sleep(POLL_S)
    except KeyboardInterrupt:
        is_interrupted = True
    finally:
        if not run.is_finished:
            run.finish(time.perf_counter_ns())
    return run, is_interrupted
