"""Places for notes that are given by their pitch only.

The rule: the hand covers `HAND_FRETS` frets and moves as little as it can; open strings cost nothing near the nut.
Common practice, no source.
"""

from collections.abc import Collection
from dataclasses import dataclass

from trainer.theory.fretboard import Location
from trainer.theory.tuning import Tuning

HAND_FRETS = 4
"""Frets that the hand covers without moving: one a finger."""

_LAST_OPEN_POSITION = 4


@dataclass(slots=True)
class Hand:
    """A fretting hand that walks along a line and finds the nearest place of each pitch."""

    tuning: Tuning
    last_fret: int
    first_fret: int | None = None
    """The fret under the index finger; None before the first note."""

    def rest_at(self, location: Location) -> None:
        """Move just as far as is needed to reach a place that is given."""
        if not location.fret:
            return
        if self.first_fret is None:
            self.first_fret = location.fret
        lowest_reaching = max(1, location.fret - HAND_FRETS + 1)
        self.first_fret = min(max(self.first_fret, lowest_reaching), location.fret)

    def nearest(self, pitch: int, taken: Collection[int] = (), preferred: Collection[int] = ()) -> Location | None:
        """The place of `pitch` on a course that is not `taken`, or None; on a course of `preferred` if it is there."""
        places = [place for place in self.tuning.locations_of(pitch, self.last_fret) if place.course not in taken]
        if not places:
            return None
        return min(places, key=lambda place: (place.course not in preferred, self._travel_frets(place), place.fret))

    def _travel_frets(self, place: Location) -> int:
        first = self.first_fret
        if first is None:
            return place.fret
        if not place.fret:
            return 0 if first <= _LAST_OPEN_POSITION else HAND_FRETS
        return max(first - place.fret, place.fret - (first + HAND_FRETS - 1), 0)
