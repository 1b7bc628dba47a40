"""Passes laid over one another, and turned against one another to see what chance alone brings.

What a pass tells is a row of places, one for each transition. As played, the rows lie so that equal places meet;
turned, each row begins somewhere else, and what meets is of different transitions. Turning keeps each row whole: its
tails, its lapses and what one note does to the next are all still there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean

from trainer.coaching.evidence import Factors, Sums, factors, failing, least_squares_for, usual_rate
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
    """What all passes tell, as columns of numbers that are quickly turned and added up; one row a pass."""

    def __init__(self, table: Sequence[Sequence[Told]], *, is_timed: bool) -> None:
        self._shares = SHAPES_WITH_CLICK if is_timed else SHAPES_AT_OWN_PACE
        self._rows = [_columns(row) for row in table]
        self._failed = sum(sum(row[5]) for row in self._rows)
        self._tried = sum(sum(row[6]) for row in self._rows)
        self._unevenness = self._unevenness_as_played()

    def factors(self) -> list[Factors]:
        """What the passes say of each place, as played."""
        return [self._factors(sums) for sums in self._sums(None)]

    def reaches(self, weak: float, turns: Sequence[int]) -> bool:
        """Whether, with pass `p` turned by `turns[p]` places, anything speaks as strongly for a weakness."""
        least = least_squares_for(weak)
        return any(
            self._factors(sums).weak >= weak
            for sums in self._sums(turns)
            if sums[5] or sums[2] >= least or sums[4] >= least
        )

    def _factors(self, sums: tuple[float, ...]) -> Factors:
        count, note, note_squares, rest, rest_squares, _, _ = sums
        return factors(
            (Sums(count, note, note_squares), Sums(count, rest, rest_squares)),
            self._shares,
            self._failing(sums),
            self._unevenness,
        )

    def _failing(self, sums: tuple[float, ...]) -> float:
        failed, tried = sums[5], sums[6]
        return failing(round(failed), round(tried), usual_rate(self._failed - failed, self._tried - tried))

    def _sums(self, turns: Sequence[int] | None) -> list[tuple[float, ...]]:
        starts = turns or [0] * len(self._rows)
        sums = (
            map(
                sum,
                zip(
                    *(row[kind][at:] + row[kind][:at] for row, at in zip(self._rows, starts, strict=True)), strict=True
                ),
            )
            for kind in range(len(self._rows[0]))
        )
        return list(zip(*sums, strict=True))

    def _unevenness_as_played(self) -> float:
        """The spread of the transitions' true means beyond what chance gives them, in spreads of one onset."""
        rows = [(count, note) for count, note, *_ in self._sums(None) if count]
        if len(rows) < LEAST_PLACES:
            return 0.0
        spread = spread_of([total / count for count, total in rows])
        by_chance = fmean(1 / count for count, _ in rows)
        return sqrt(max(0.0, spread * spread - CHANCE_MARGIN * by_chance))


def _columns(row: Sequence[Told]) -> tuple[list[float], ...]:
    """Count, note, its square, rest, its square, failed, tried."""
    notes, rests = [told.note or 0.0 for told in row], [told.rest or 0.0 for told in row]
    return (
        [float(told.note is not None) for told in row],
        notes,
        [note * note for note in notes],
        rests,
        [rest * rest for rest in rests],
        [float(told.failed is True) for told in row],
        [float(told.failed is not None) for told in row],
    )
