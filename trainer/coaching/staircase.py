"""Up-and-down procedures: after so many clean passes in a row up by a step, after a spoiled one down by a step.

With steps of constant size in ln tempo such a walk hovers about the tempo at which going up and going down balance,

    up x P(clean)^k = down x (1 - P(clean)^k),  so  P(clean) = (down / (up + down)) ^ (1 / k):

k = 1, 2, 3, 4 with equal steps: 50, 70.7, 79.4, 84.1 % clean (Levitt 1971); k = 1 with steps weighted down / up =
p / (1 - p): p (Kaernbach 1991), e.g. 4 for four passes of five. These hold for steps small beside the width of the
player's curve and for many passes. Large fixed steps converge elsewhere, and reliably only in certain ratios
(Garcia-Perez 1998: up / down 0.2845, 0.5488, 0.7393, 0.8415 for k = 1 to 4, giving 77.9, 80.4, 83.2, 85.8 %), and an
ability that moves takes the walk with it; the tempo found is a working tempo of that run, no more.

The figure is the mean of ln tempo over the turns (where the walk changed direction), the first few left out.
"""

from dataclasses import dataclass, field, replace
from math import exp, log
from statistics import fmean
from typing import Self

from trainer.coaching.asking import Pass, checked_start, within_limits

LEFT_OUT_TURNS = 2
"""The first turns still lie on the way from the start; the common habit is to leave two to four out (from memory)."""


@dataclass(frozen=True, slots=True)
class Steps:
    """How a walk goes up and down."""

    in_row: int = 1
    up: float = 0.025
    """In natural logarithms: 0.025 is 2.5 %."""
    down: float = 0.1

    def __post_init__(self) -> None:
        if not 1 <= self.in_row <= 20:
            raise ValueError(f"{self.in_row} clean passes in a row: expected 1 to 20")
        for name, step in (("up", self.up), ("down", self.down)):
            if not 0 < step <= 1:
                raise ValueError(f"step {name} {step:g}: expected over 0, up to 1")

    @property
    def clean_share(self) -> float:
        """The share of clean passes about which the walk hovers."""
        return float((self.down / (self.up + self.down)) ** (1 / self.in_row))


def transformed(in_row: int, step: float = 0.04) -> Steps:
    """Levitt's rule: so many clean passes up, one spoiled down, by equal steps.

    >>> round(transformed(3).clean_share, 3)
    0.794
    """
    return Steps(in_row, step, step)


def weighted(clean_share: float, up: float = 0.025) -> Steps:
    """Kaernbach's rule for a share of clean passes.

    >>> weighted(0.8).down / weighted(0.8).up
    4.0
    """
    if not 0 < clean_share < 1:
        raise ValueError(f"share {clean_share:g}: expected between 0 and 1")
    return Steps(1, up, round(up * clean_share / (1 - clean_share), 9))


@dataclass(frozen=True, slots=True)
class Staircase:
    """The walk after some passes."""

    start_qpm: float
    steps: Steps = field(default_factory=lambda: weighted(0.8))
    most_passes: int = 40
    passes: tuple[Pass, ...] = ()
    run: int = 0
    """Clean passes in a row so far."""
    log_qpm: float | None = None
    turns: tuple[float, ...] = ()
    """ln tempo where the walk changed direction."""
    is_going_up: bool | None = None
    is_hidden: bool = field(default=False, init=False)

    def __post_init__(self) -> None:
        checked_start(self.start_qpm)

    @property
    def is_over(self) -> bool:
        """Whether all passes are played."""
        return len(self.passes) >= self.most_passes

    def tempo(self) -> float:
        """The tempo of the next pass."""
        if self.is_over:
            raise ValueError("nothing more is asked: all passes are played")
        return within_limits(exp(self._here))

    def told(self, *, clean: bool) -> Self:
        """The walk after the next pass."""
        heard = replace(self, passes=(*self.passes, Pass(self.tempo(), clean)), run=self.run + 1 if clean else 0)
        if clean and heard.run < self.steps.in_row:
            return heard
        is_turn = self.is_going_up is not None and self.is_going_up != clean
        return replace(
            heard,
            run=0,
            log_qpm=self._here + (self.steps.up if clean else -self.steps.down),
            turns=(*self.turns, self._here) if is_turn else self.turns,
            is_going_up=clean,
        )

    @property
    def found_qpm(self) -> float | None:
        """Where the walk hovers; None while it has turned too seldom."""
        counted = self.turns[LEFT_OUT_TURNS:]
        return exp(fmean(counted)) if counted else None

    def words(self) -> str:
        """What the walk has found, or that it is still on its way."""
        found, share = self.found_qpm, self.steps.clean_share
        if found is None:
            return "Not enough yet: it must go up and down a few times first."
        return f"It hovers about ♩ = {found:.0f}, where {share:.0%} of the passes would be clean."

    @property
    def _here(self) -> float:
        return log(self.start_qpm) if self.log_qpm is None else self.log_qpm
