"""What every way of asking for tempi has in common.

A procedure is a frozen value: it names the tempo of the next pass, and is told whether that pass was clean, which makes
the next value. None knows a clock, a device or chance; what is shuffled is shuffled from a seed in its settings.

Tempi are quarters a minute, floats: they are asked and estimated, not written.
"""

from dataclasses import dataclass
from typing import Protocol, Self

SLOWEST_QPM, FASTEST_QPM = 20.0, 400.0
"""What can be asked; the limits included. The clicks of practice go as far."""


@dataclass(frozen=True, slots=True)
class Pass:
    """One pass that was asked for and played."""

    qpm: float
    is_clean: bool


class Procedure(Protocol):
    """One way of asking for tempi."""

    @property
    def passes(self) -> tuple[Pass, ...]:
        """What was played, oldest first."""
        ...

    @property
    def is_hidden(self) -> bool:
        """Whether the player is not to know the next tempo before playing."""
        ...

    @property
    def is_over(self) -> bool:
        """Whether nothing more is asked."""
        ...

    def tempo(self) -> float:
        """The tempo of the next pass; `ValueError` when nothing more is asked."""
        ...

    def told(self, *, clean: bool) -> Self:
        """The procedure after the next pass."""
        ...

    def words(self) -> str:
        """What it has found so far, as a sentence."""
        ...


def within_limits(qpm: float) -> float:
    """The nearest tempo that can be asked, to a tenth.

    >>> within_limits(83.26), within_limits(1000.0)
    (83.3, 400.0)
    """
    return round(min(FASTEST_QPM, max(SLOWEST_QPM, qpm)), 1)


def checked_start(qpm: float) -> float:
    """A tempo to begin with; `ValueError` when it cannot be asked."""
    if not SLOWEST_QPM <= qpm <= FASTEST_QPM:
        raise ValueError(f"start {qpm:g}: expected {SLOWEST_QPM:g} to {FASTEST_QPM:g} quarters a minute")
    return qpm
