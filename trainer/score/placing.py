"""Places for notes that are given by their pitch only.

A note among others that have places gets the nearest one (`Hand`); a line that has none is placed as a whole
(`place_line`). The rule: the hand covers `HAND_FRETS` frets and moves as little as it can; open strings cost nothing
near the nut. Common practice, no source.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType

from trainer.theory.fretboard import Location
from trainer.theory.pitch import pitch_name
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


_MOVE = 1.5
_MOVE_A_FRET = 0.5
_OPEN_AWAY = 1.0
"""An open string while the hand is far from the nut: it rings with another sound, and must be damped."""
_STRETCH_A_FRET = 1.5
_HIGH_A_FRET = 0.02
"""Of two places that cost the same the lower one is taken."""
_MOST_SHAPES = 60


_APART = 20.0
"""Two notes of a slur or slide on two strings: taken only where no string has both."""

_Shape = tuple[Location, ...]
_Costs = dict[int, float]
"""Of each place of the hand."""


def place_line(
    chords: Sequence[Sequence[int]],
    tuning: Tuning,
    last_fret: int,
    joins: Mapping[int, Sequence[tuple[int, int]]] = MappingProxyType({}),
) -> tuple[tuple[Location, ...], ...]:
    """Places for a line of pitches, note by note or chord by chord, so that the hand moves least over the whole line.

    The shortest path through every place of every note and every place of the hand (dynamic programming; the idea is
    S. Sayegh's, "Fingering for String Instruments with the Optimum Path Paradigm", Computer Music Journal 13/3, 1989;
    the costs are ours). `joins`: by the index of a chord, which notes (index in the chord before, index in this one)
    a technique joins, so that they lie on one string. `ValueError` names the first chord that the neck has no room for.
    """
    before: dict[_Shape, _Costs] = {}
    back: list[dict[tuple[_Shape, int], tuple[_Shape, int]]] = []
    for at, pitches in enumerate(chords):
        is_joined = bool(joins.get(at) or joins.get(at + 1))
        ways = _held(tuple(pitches), tuning, last_fret, every_shape=is_joined)
        if not ways:
            raise ValueError(f"no free place for {' '.join(pitch_name(pitch) for pitch in pitches)}")
        costs: dict[_Shape, _Costs] = {}
        origins: dict[tuple[_Shape, int], tuple[_Shape, int]] = {}
        came: dict[tuple[int, ...], dict[int, tuple[float, int, _Shape]]] = {}
        for shape, held in ways.items():
            if not before:
                costs[shape] = dict(held)
                continue
            joined = tuple(shape[own].course for _, own in joins.get(at, ()))
            if joined not in came:
                came[joined] = _came(_cheapest(before, [other for other, _ in joins.get(at, ())], joined))
            reached = came[joined]
            costs[shape] = {hand: reached[hand][0] + cost for hand, cost in held.items()}
            origins |= {(shape, hand): (reached[hand][2], reached[hand][1]) for hand in held}
        back.append(origins)
        before = costs
    if not before:
        return ()
    state = min(
        ((shape, hand) for shape in before for hand in before[shape]), key=lambda each: before[each[0]][each[1]]
    )
    line: list[_Shape] = []
    for origins in reversed(back):
        line.append(state[0])
        state = origins.get(state, state)
    return tuple(reversed(line))


def _cheapest(
    before: Mapping[_Shape, _Costs], others: Sequence[int], courses: Sequence[int]
) -> dict[int, tuple[float, int, _Shape]]:
    """For each place of the hand the cheapest shape before, where its notes `others` best lie on `courses`."""
    best: dict[int, tuple[float, int, _Shape]] = {}
    for shape, costs in before.items():
        apart = sum(shape[other].course != course for other, course in zip(others, courses, strict=True))
        for hand, cost in costs.items():
            way = (cost + _APART * apart, hand, shape)
            if hand not in best or way < best[hand]:
                best[hand] = way
    return dict(sorted(best.items()))


@lru_cache(maxsize=4096)
def _held(
    pitches: tuple[int, ...], tuning: Tuning, last_fret: int, *, every_shape: bool
) -> dict[_Shape, dict[int, float]]:
    """What each way to play pitches at once costs, by the place of the hand; of each place all ways or the cheapest.

    Empty where there is no way.
    """
    shapes = _shapes(pitches, tuning, last_fret)
    hands = range(1, max(last_fret - HAND_FRETS + 2, 2))
    held: dict[_Shape, dict[int, float]] = {}
    for hand in hands if shapes else ():
        costs = sorted((_held_cost(shape, hand), shape) for shape in shapes)
        for cost, shape in costs if every_shape else costs[:1]:
            held.setdefault(shape, {})[hand] = cost
    return held


def _shapes(pitches: Sequence[int], tuning: Tuning, last_fret: int) -> list[tuple[Location, ...]]:
    """The ways to play pitches at once, each on a string of its own."""
    shapes: list[tuple[Location, ...]] = [()]
    for pitch in pitches:
        places = tuning.locations_of(pitch, last_fret)
        longer = [
            (*shape, place)
            for shape in shapes
            for place in places
            if all(place.course != other.course for other in shape)
        ]
        shapes = sorted(longer, key=_width)[:_MOST_SHAPES]
    return shapes


def _width(shape: Sequence[Location]) -> int:
    frets = [place.fret for place in shape if place.fret]
    return max(frets) - min(frets) if frets else 0


def _held_cost(shape: Sequence[Location], hand: int) -> float:
    cost = 0.0
    for place in shape:
        if place.fret:
            outside = max(hand - place.fret, place.fret - (hand + HAND_FRETS - 1), 0)
            cost += _STRETCH_A_FRET * outside * outside + _HIGH_A_FRET * place.fret
        elif hand > _LAST_OPEN_POSITION:
            cost += _OPEN_AWAY
    return cost


def _came(before: Mapping[int, tuple[float, int, _Shape]]) -> dict[int, tuple[float, int, _Shape]]:
    """For each place of the hand the least cost of having come there, and from where."""
    nearest = dict(before)
    # Along the neck and back: a way of several frets is as dear as its steps.
    for hands in (list(before), list(before)[::-1]):
        for last, hand in pairwise(hands):
            cost, source, shape = nearest[last]
            nearest[hand] = min(nearest[hand], (cost + _MOVE_A_FRET, source, shape))
    moved = {hand: (cost + _MOVE, source, shape) for hand, (cost, source, shape) in nearest.items()}
    return {hand: min(stayed, moved[hand]) for hand, stayed in before.items()}
