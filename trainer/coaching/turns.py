"""Passes laid over one another, and turned against one another to see what chance alone brings.

What a pass tells is a row of places, one for each transition. As played, the rows lie so that equal places meet;
turned, each row begins somewhere else, and what meets is of different transitions. Turning keeps each row whole: its
tails, its lapses and what one note does to the next are all still there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trainer.coaching.evidence import Factors, Sums, factors, failing, least_squares_for, usual_among, usual_rate
from trainer.coaching.lateness import spread_of

LEAST_PLACES = 4
"""So many are needed before it can be said how uneven a player usually is."""
CHANCE_MARGIN = 1.6
"""Means of some thirty transitions differ by so much more than chance expects in one of ten even players or fewer."""
SHAPES_WITH_CLICK, SHAPES_AT_OWN_PACE = (0.85, 0.15), (0.5, 0.5)
"""How likely a late note, and a late rest of the line, is held to be: the click calls back who was late. Our choice."""


@dataclass(frozen=True, slots=True)
class Told:
    """What one pass tells of one transition, lateness in spreads of one onset; None: nothing."""

    note: float | None = None
    rest: float | None = None
    failed: bool | None = None


class Aligned:
    """What all passes tell, as columns of numbers that are quickly turned and added up; one row a pass.

    `kinds` says of each place how its note is written to begin: whether it fails is held against its like, and turned
    among them, for a player who picks every slide has one weakness and not one at each slide.
    """

    def __init__(self, table: Sequence[Sequence[Told]], kinds: Sequence[str], *, is_timed: bool) -> None:
        self._shares = SHAPES_WITH_CLICK if is_timed else SHAPES_AT_OWN_PACE
        self._kinds = kinds
        # Passes by what is added by places. Turned 249 times for each transition that is found, plain lists took 0.7 s
        # for twenty passes over 144 notes.
        self._rows = np.array([_columns(row) for row in table], dtype=float)
        self._failures = np.array([_failures(row) for row in table], dtype=int)
        self._alike = [np.array(places) for places in _alike(kinds)]
        failed, tried = self._failures_at(None)
        self._failed, self._tried = sum(failed), sum(tried)
        self._of_kind = {
            kind: (
                sum(count for count, each in zip(failed, kinds, strict=True) if each == kind),
                sum(count for count, each in zip(tried, kinds, strict=True) if each == kind),
            )
            for kind in set(kinds)
        }
        self._unevenness = self._unevenness_as_played()

    def factors(self) -> list[Factors]:
        """What the passes say of each place, as played."""
        failed, tried = self._failures_at(None)
        return [
            self._factors(sums, self._failing(place, failed[place], tried[place]))
            for place, sums in enumerate(self._sums(None))
        ]

    def reaches(self, weak: float, turns: Sequence[int]) -> bool:
        """Whether, with pass `p` turned by `turns[p]` places, anything speaks as strongly for a weakness."""
        least = least_squares_for(weak)
        failed, tried = self._failures_at(turns)
        return any(
            self._factors(sums, self._failing(place, failed[place], tried[place])).weak >= weak
            for place, sums in enumerate(self._sums(turns))
            if failed[place] or sums[2] >= least or sums[4] >= least
        )

    def _factors(self, sums: tuple[float, ...], of_failing: float) -> Factors:
        count, note, note_squares, rest, rest_squares = sums
        shapes = (Sums(count, note, note_squares), Sums(count, rest, rest_squares))
        return factors(shapes, self._shares, of_failing, self._unevenness)

    def _failing(self, place: int, failed: int, tried: int) -> float:
        of_kind_failed, of_kind_tried = self._of_kind[self._kinds[place]]
        usual = usual_rate(self._failed - failed, self._tried - tried)
        return failing(failed, tried, usual_among(of_kind_failed - failed, of_kind_tried - tried, usual))

    def _sums(self, turns: Sequence[int] | None) -> list[tuple[float, ...]]:
        """Count, note, its square, rest and its square, each added over the passes."""
        sums = _turned(self._rows, turns).sum(axis=0)
        return list(zip(*sums.tolist(), strict=True))

    def _failures_at(self, turns: Sequence[int] | None) -> tuple[list[int], list[int]]:
        """How often each place failed and was tried, every pass turned among places that are alike."""
        counts = np.zeros(self._failures.shape[1:], dtype=int)
        for places in self._alike:
            counts[:, places] = _turned(self._failures[:, :, places], turns).sum(axis=0)
        failed, tried = counts.tolist()
        return failed, tried

    def _unevenness_as_played(self) -> float:
        """The spread of the transitions' true means beyond what chance gives them, in spreads of one onset."""
        rows = [(count, note) for count, note, *_ in self._sums(None) if count]
        if len(rows) < LEAST_PLACES:
            return 0.0
        spread = spread_of([total / count for count, total in rows])
        by_chance = fmean(1 / count for count, _ in rows)
        return sqrt(max(0.0, spread * spread - CHANCE_MARGIN * by_chance))


def _turned(rows: NDArray[Any], turns: Sequence[int] | None) -> NDArray[Any]:
    """Rows (passes, what is added, places), each pass turned by its number of places."""
    if turns is None:
        return rows
    count = rows.shape[2]
    places = (np.arange(count) + np.array(turns)[:, None]) % count
    return np.take_along_axis(rows, places[:, None, :], axis=2)


def _failures(row: Sequence[Told]) -> tuple[list[bool], list[bool]]:
    """Failed and tried."""
    return [told.failed is True for told in row], [told.failed is not None for told in row]


def _columns(row: Sequence[Told]) -> tuple[list[float], ...]:
    """Count, note, its square, rest, its square."""
    notes, rests = [told.note or 0.0 for told in row], [told.rest or 0.0 for told in row]
    counts = [float(told.note is not None) for told in row]
    return counts, notes, [note * note for note in notes], rests, [rest * rest for rest in rests]


def _alike(kinds: Sequence[str]) -> list[list[int]]:
    """The places of each kind; kinds with too few places to be turned among themselves are laid together."""
    of_kind: dict[str, list[int]] = {}
    for place, kind in enumerate(kinds):
        of_kind.setdefault(kind, []).append(place)
    many = [places for places in of_kind.values() if len(places) >= LEAST_PLACES]
    few = sorted(place for places in of_kind.values() if len(places) < LEAST_PLACES for place in places)
    if few and many and len(few) < LEAST_PLACES:
        few = sorted([*few, *many.pop(many.index(max(many, key=len)))])
    return [*many, few] if few else many
