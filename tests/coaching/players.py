"""Players whose truth is known: passes drawn by chance, without hands or pickup between."""

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from trainer.coaching.played import Outcome, PlayedPass

NOTES = 32
INTERVAL_MS = 125.0
"""Sixteenths at 120 quarters a minute."""

Chance = Callable[[random.Random], float]
"""One draw of spread 1."""


def normal(rng: random.Random) -> float:
    """The player of the model."""
    return rng.gauss(0, 1)


def heavy(rng: random.Random) -> float:
    """One onset of ten is three times as far off."""
    return rng.gauss(0, 3 if rng.random() < 0.1 else 1)


def lapsing(rng: random.Random) -> float:
    """Two onsets of a hundred are late by six to fifteen spreads."""
    return rng.gauss(0, 1) + (rng.uniform(6, 15) if rng.random() < 0.02 else 0)


@dataclass(frozen=True, slots=True)
class Player:
    """Plays a line of even notes."""

    spread_ms: float = 10.0
    chance: Chance = normal
    carries: float = 0.0
    """Share of a deviation that is still there at the next note: 0 = back with the click, 1 = never back."""
    late_ms: Mapping[int, float] = field(default_factory=dict)
    """Note -> how late it comes, carried on as chance is."""
    stays_late_ms: Mapping[int, float] = field(default_factory=dict)
    """Note -> how late it and all after it come."""
    times_unsteady: Mapping[int, float] = field(default_factory=dict)
    miss_rates: Mapping[int, float] = field(default_factory=dict)
    miss_rate: float = 0.0
    learns: float = 0.0
    """Share of the spread that is gone at the last pass."""
    rush_ms: float = 0.0
    """How much earlier each note comes than the one before it."""
    pace: float = 1.0
    notes: int = NOTES

    def passes(self, count: int, seed: int) -> list[PlayedPass]:
        """So many passes."""
        rng = random.Random(seed)
        return [self._play(rng, 1 - self.learns * number / max(1, count - 1)) for number in range(count)]

    def _play(self, rng: random.Random, share: float) -> PlayedPass:
        due = [index * INTERVAL_MS for index in range(self.notes)]
        bias, carried, behind = rng.gauss(0, 10), 0.0, 0.0
        played: list[float | None] = []
        outcomes: list[Outcome] = []
        for index, at_ms in enumerate(due):
            drawn = self.chance(rng) * self.spread_ms * share * self.times_unsteady.get(index, 1.0)
            carried = self.carries * carried + drawn + self.late_ms.get(index, 0.0)
            behind += self.stays_late_ms.get(index, 0.0) - self.rush_ms
            is_missed = rng.random() < self.miss_rates.get(index, self.miss_rate)
            played.append(None if is_missed else at_ms * self.pace + bias + carried + behind)
            outcomes.append(Outcome.MISSED if is_missed else Outcome.CLEAN)
        return PlayedPass(tuple(due), tuple(played), tuple(outcomes))


EVEN = {
    "even": Player(),
    "even, heavy tails": Player(chance=heavy),
    "even, lapses": Player(chance=lapsing),
    "even, made good by half each note": Player(carries=0.5),
    "even, wandering pace": Player(carries=1.0),
    "even, learning": Player(learns=0.7),
    "even, rushing 2 ms a note": Player(rush_ms=2.0),
    "even, 3 % missed": Player(miss_rate=0.03),
    "even, 10 % missed": Player(miss_rate=0.1),
}
"""Players without a weakness."""
