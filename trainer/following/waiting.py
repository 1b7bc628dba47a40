"""What the silence before a note says: whether the player went on, waited, stopped, or may have gone elsewhere.

Conventions: logarithms of likelihoods as in `trainer.following.likelihood`; 0 stands for no pause at all.
"""

from math import log
from typing import NamedTuple

from trainer.following import likelihood as fit
from trainer.following.clock import is_pause, spread_ns
from trainer.following.line import Line
from trainer.following.paths import Path
from trainer.playing.messages import NoteOnset

MINUS_INFINITY = float("-inf")
NOODLING_STOP_NS = 300_000_000
"""Who noodles does so in no tempo; only so long without a note is a stop."""


class Sound(NamedTuple):
    """A heard note with what can be said about it without the written line."""

    note: NoteOnset
    at_ns: int
    """Onset from the origin of the search."""
    is_ghost: bool
    """Its place among its neighbours says that the pickup made it up."""
    is_quiet: bool
    since_ns: int
    """How long after the heard note before it; 0 for the first."""


def paused_fit(line: Line, path: Path, sound: Sound) -> float:
    """What it costs that nothing at all was heard for so long before a note off the line; 0 without a pause."""
    gap = line.gaps_ns[min(path.front + 1, line.size - 1)] * path.clock.stretch
    late = sound.since_ns - gap
    return fit.pause_fit(late, gap) if is_pause(late, gap) else 0.0


def stopped_fit(line: Line, path: Path, sound: Sound) -> float:
    """How long a stop of one who noodles fits, whose stops are no surprise; 0 if they have not stopped."""
    if sound.since_ns < NOODLING_STOP_NS:
        return 0.0
    paused = paused_fit(line, path, sound)
    return paused - fit.PAUSE if paused < 0 else 0.0


def has_waited(line: Line, path: Path, sound: Sound, index: int) -> bool:
    """Whether the player has stopped before written note `index`, even if the notes before it were left out."""
    clock = path.clock
    if clock.is_loose or clock.ref_ns is None:
        return clock.is_loose
    late = sound.at_ns - clock.ref_ns - (line.due_ns[index] - clock.ref_due_ns) * clock.stretch
    return is_pause(late, line.gaps_ns[index] * clock.stretch)


def leave_fits(line: Line, path: Path, sound: Sound) -> tuple[float, float]:
    """How well going elsewhere fits here, in time and after a pause; minus infinity where it does not."""
    if path.off_line:
        stopped = stopped_fit(line, path, sound)
        return MINUS_INFINITY, stopped + fit.BACK_AFTER_PAUSE if stopped < 0 else fit.BACK_ON_LINE
    clock = path.clock
    if clock.is_loose:
        return MINUS_INFINITY, fit.JUMP_AFTER_PAUSE
    if clock.ref_ns is None or path.step is None:
        return MINUS_INFINITY, fit.JUMP_AFTER_PAUSE + fit.PAUSE
    gap = line.gaps_ns[min(path.front + 1, line.size - 1)] * clock.stretch
    late = sound.at_ns - clock.ref_ns - gap
    sigma = spread_ns(clock, line, gap, gap)
    in_time = fit.JUMP_IN_TIME + fit.time_fit(late, gap, sigma, log(gap / sigma))
    if is_pause(late, gap):
        return in_time, fit.JUMP_AFTER_PAUSE + fit.pause_fit(late, gap)
    return in_time, MINUS_INFINITY
