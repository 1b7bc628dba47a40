"""How long the hands have played since their last break: counted while takes run, in whichever room.

A machine without a clock: whoever runs a frame of a take feeds it the time. What lies between two frames counts as
played only when it is short; not playing for `BREAK_NS` is a break, after which the count begins anew. Five minutes in
every twenty-five are common advice to players. Nothing is gained by playing on: the count only says for how long.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from trainer.coaching.plan import PLAYED_AT_MOST
from trainer.theory.naming import counted

MINUTE_NS = 60_000_000_000
BREAK_NS = 5 * MINUTE_NS
DUE_NS = PLAYED_AT_MOST * MINUTE_NS
"""Five minutes of rest after so much playing make five in every twenty-five."""
GAP_NS = 1_000_000_000
"""Frames further apart than this have a pause between them."""


@dataclass(frozen=True, slots=True)
class SinceBreak:
    """How it stands."""

    played_ns: int
    rested_ns: int
    """Since a take last ran."""

    @property
    def is_due(self) -> bool:
        """Whether it is time for a break."""
        return self.played_ns >= DUE_NS

    def words(self) -> str:
        """For the corner of a screen; empty in the first minute after a break.

        >>> SinceBreak(7 * MINUTE_NS, 0).words(), SinceBreak(21 * MINUTE_NS, 90_000_000_000).words()
        ('7 min since a break', 'break: 1:30 of 5:00')
        """
        if self.played_ns < MINUTE_NS:
            return ""
        if not self.is_due:
            return f"{self.played_ns // MINUTE_NS} min since a break"
        if self.rested_ns < 10 * GAP_NS:
            return f"{counted(self.played_ns // MINUTE_NS, 'minute')} of playing: rest your hands for five"
        return f"break: {rested_words(self.rested_ns)}"


def rested_words(rested_ns: int) -> str:
    """How much of a break is over.

    >>> rested_words(65_000_000_000), rested_words(400_000_000_000)
    ('1:05 of 5:00', '5:00 of 5:00')
    """
    seconds = min(rested_ns, BREAK_NS) // 1_000_000_000
    return f"{seconds // 60}:{seconds % 60:02d} of {BREAK_NS // MINUTE_NS}:00"


def since_break(takes: Iterable[tuple[int, int]], now_ns: int) -> SinceBreak:
    """How it stands after takes that were kept: their begins and ends, oldest first, on the clock of `now_ns`.

    >>> since_break([(0, 4 * MINUTE_NS), (6 * MINUTE_NS, 9 * MINUTE_NS)], 10 * MINUTE_NS).words()
    '7 min since a break'
    """
    played_ns, ended_ns = 0, None
    for begins_ns, ends_ns in takes:
        if ended_ns is not None and begins_ns - ended_ns >= BREAK_NS:
            played_ns = 0
        played_ns += max(0, ends_ns - begins_ns)
        ended_ns = ends_ns
    rested_ns = BREAK_NS if ended_ns is None else max(0, now_ns - ended_ns)
    return SinceBreak(0 if rested_ns >= BREAK_NS else played_ns, rested_ns)


class BreakCounter:
    """Fed with every frame of every take; frames come in order of time."""

    def __init__(self, before: SinceBreak | None = None, now_ns: int = 0) -> None:
        """`before`: how it stood at `now_ns`, from an earlier run of the program, which is no break by itself."""
        self._played_ns = 0 if before is None else before.played_ns
        self._fed_ns: int | None = None if before is None else now_ns - before.rested_ns

    def feed(self, now_ns: int) -> None:
        """A take runs now."""
        if self._fed_ns is not None:
            passed_ns = now_ns - self._fed_ns
            if passed_ns >= BREAK_NS:
                self._played_ns = 0
            elif 0 < passed_ns <= GAP_NS:
                self._played_ns += passed_ns
        self._fed_ns = now_ns

    def state(self, now_ns: int) -> SinceBreak:
        """How it stands now."""
        rested_ns = 0 if self._fed_ns is None else max(0, now_ns - self._fed_ns)
        return SinceBreak(0 if rested_ns >= BREAK_NS else self._played_ns, rested_ns)
