"""Fingering by least hand movement.

A hand lies with its index finger over a fret; each finger has its own fret from there on, and may lean away from it:
the index finger back, the others on, or closer together. Of all fingerings of a line the one is taken that costs least,
found by dynamic programming from note to note: the shortest path through the grips of each note. That fingering is such
a path is S. Sayegh's idea (Fingering for String Instruments with the Optimum Path Paradigm, Computer Music Journal
13/3, 1989; from memory); the costs are ours, from common practice, and each has its reason beside it. Their unit is one
lean of the little finger.

Conventions: fingers 1 = index ... 4 = little; open strings need no finger and leave the hand where it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache
from itertools import product

from trainer.score.hand import HANDS, HandLimits, fret_distance_mm
from trainer.theory.fretboard import Location

FINGERS = (1, 2, 3, 4)

# Without any lean: where all else is equal, the index finger and then the next is taken.
_LEANS = {
    # The index finger reaches back with the least strain, so that whole steps lie under 1 2 4 rather than 1 3 4.
    1: {0: 0.0, -1: 0.9},
    # The two in the middle hardly spread; closer together costs little.
    2: {0: 0.01, 1: 1.5, -1: 0.8},
    3: {0: 0.02, 1: 1.3, -1: 0.8},
    # The little finger reaches on, two frets only where nothing else will do.
    4: {0: 0.03, 1: 1.0, 2: 2.5, -1: 0.8},
}
_FROM_THE_NUT = 0.02
"""For each fret away from the nut, in a line that uses open strings: the hand lies there unless it is called away."""
_SHIFT = 2.0
"""For moving the hand at all: more than two leans, so that a position is kept while it can be."""
_SHIFT_A_FRET = 0.25
"""Far shifts are harder to land than near ones."""
_SLID_A_FRET = 0.1
"""A slide takes the hand along: the movement is the note itself."""
_ROLL = 0.4
"""One finger lies over two strings and rolls from one to the other."""
_HOP = 2.0
"""One finger jumps to another fret while the hand stays: it cannot hold the note before."""
_HOP_WITH_HAND = 0.5
"""One finger goes along with the hand to another fret."""
_IMPOSSIBLE = 50.0
"""Fingers that cross, reach too far, or hold two frets: taken only where the line leaves nothing else."""
_OFF_THE_NECK = float("inf")


class Link(Enum):
    """How a note follows the one before it, as far as the fretting hand is concerned."""

    FREE = "free"
    SLURRED = "slurred"
    """Hammered on or pulled off: the hand must be there already."""
    SLID = "slid"
    """The finger stays on its string and takes the hand along."""


@dataclass(frozen=True, slots=True)
class Fretting:
    """What the fretting hand does at one onset."""

    locations: tuple[Location, ...]
    link: Link = Link.FREE


@dataclass(frozen=True, slots=True)
class Grip:
    """How the hand lies at one onset."""

    index_fret: int
    """The fret that the index finger belongs to."""
    fingers: dict[Location, int]
    """The finger on each fretted place."""


def grips_of(frettings: Sequence[Fretting], limits: HandLimits = HANDS["adult"]) -> tuple[Grip | None, ...]:
    """The grip at each onset, so that the hand moves and leans least; None where only open strings sound."""
    fretted = [
        (place, tuple(location for location in fretting.locations if location.fret > 0), fretting.link)
        for place, fretting in enumerate(frettings)
    ]
    fretted = [(place, locations, link) for place, locations, link in fretted if locations]
    grips: list[Grip | None] = [None] * len(frettings)
    from_the_nut = _FROM_THE_NUT if any(not place.fret for row in frettings for place in row.locations) else 0.0
    path = _cheapest(fretted, limits, from_the_nut)
    for (place, locations, _), (index_offset, fingers) in zip(fretted, path, strict=True):
        grips[place] = Grip(_base(locations) + index_offset, dict(zip(locations, fingers, strict=True)))
    return tuple(grips)


_Shape = tuple[tuple[int, int], ...]
"""Courses, and frets above the lowest one."""
_Hold = tuple[int, tuple[int, ...]]
"""The index finger's fret above the lowest one that is held, and the finger on each place of the shape."""


def _cheapest(
    fretted: Sequence[tuple[int, tuple[Location, ...], Link]], limits: HandLimits, from_the_nut: float
) -> list[_Hold]:
    totals: list[float] = []
    came_from: list[list[int]] = []
    before: tuple[int, _Shape] | None = None
    for _, locations, link in fretted:
        base, shape = _base(locations), _shape(locations)
        own = [
            cost + from_the_nut * (base + hold[0] - 1) if base + hold[0] >= 1 else _OFF_THE_NECK
            for hold, cost in _holds(shape)
        ]
        if before is None:
            totals = own
            came_from.append([])
        else:
            reach = _reach_frets(min(base, before[0]), limits)
            table = _transitions(before[1], shape, base - before[0], link, reach)
            sums = [[total + cost for total, cost in zip(totals, row, strict=True)] for row in table]
            best = [row.index(min(row)) for row in sums]
            totals = [cost + row[origin] for cost, row, origin in zip(own, sums, best, strict=True)]
            came_from.append(best)
        before = (base, shape)
    path: list[_Hold] = []
    at = totals.index(min(totals)) if totals else 0
    for (_, locations, _), origins in zip(reversed(fretted), reversed(came_from), strict=True):
        path.append(_holds(_shape(locations))[at][0])
        at = origins[at] if origins else 0
    return path[::-1]


def _base(locations: Sequence[Location]) -> int:
    return min(location.fret for location in locations)


def _shape(locations: Sequence[Location]) -> _Shape:
    base = _base(locations)
    return tuple((location.course, location.fret - base) for location in locations)


@cache
def _reach_frets(fret: int, limits: HandLimits) -> int:
    """How many frets above `fret` the hand reaches without moving."""
    reach = 0
    while (
        fret_distance_mm(fret, fret + reach + 1, limits.scale_length_mm) <= limits.reach_mm and reach < len(FINGERS) + 2
    ):
        reach += 1
    return reach


@cache
def _holds(shape: _Shape) -> tuple[tuple[_Hold, float], ...]:
    """Every way to hold a shape, with what it costs."""
    holds: list[tuple[_Hold, float]] = []
    for index_offset in range(-len(FINGERS) - 1, 3):
        choices = [
            [finger for finger in FINGERS if fret - index_offset - finger + 1 in _LEANS[finger]] for _, fret in shape
        ]
        for fingers in product(*choices):
            leans = sum(
                _LEANS[finger][fret - index_offset - finger + 1]
                for (_, fret), finger in zip(shape, fingers, strict=True)
            )
            holds.append(((index_offset, fingers), leans + _conflicts(shape, fingers)))
    if not holds:
        # Wider than any hand: the index and the little finger take what they can.
        widest = max(fret for _, fret in shape)
        fingers = tuple(1 if 2 * fret <= widest else len(FINGERS) for _, fret in shape)
        holds.append(((0, fingers), _IMPOSSIBLE))
    return tuple(holds)


def _conflicts(shape: _Shape, fingers: tuple[int, ...]) -> float:
    """What is impossible within one grip: a finger on two frets, or fingers that cross."""
    held = [(fret, finger) for (_, fret), finger in zip(shape, fingers, strict=True)]
    return sum(
        (_ROLL if fret == other_fret else _IMPOSSIBLE)
        if finger == other
        else (_IMPOSSIBLE if (fret - other_fret) * (finger - other) < 0 else 0.0)
        for place, (fret, finger) in enumerate(held)
        for other_fret, other in held[:place]
    )


@cache
def _transitions(
    before: _Shape, after: _Shape, fret_step: int, link: Link, reach_frets: int
) -> tuple[tuple[float, ...], ...]:
    """For each hold of `after` what it costs to come from each hold of `before`, which lies `fret_step` frets below."""
    olds = [(old[0], _held(before, old, 0)) for old, _ in _holds(before)]
    news = [(new[0] + fret_step, _held(after, new, fret_step)) for new, _ in _holds(after)]
    return tuple(
        tuple(_transition(held, holding, index - old_index, link, reach_frets) for old_index, held in olds)
        for index, holding in news
    )


_Held = tuple[tuple[int, int, int], ...]
"""Course, fret and finger of each place that is held."""


def _held(shape: _Shape, hold: _Hold, fret_step: int) -> _Held:
    return tuple((course, fret + fret_step, finger) for (course, fret), finger in zip(shape, hold[1], strict=True))


def _transition(before: _Held, after: _Held, hand_step: int, link: Link, reach_frets: int) -> float:
    cost = 0.0
    if hand_step:
        cost = _SLID_A_FRET * abs(hand_step) if link is Link.SLID else _SHIFT + _SHIFT_A_FRET * abs(hand_step)
        if link is Link.SLURRED:
            cost += _IMPOSSIBLE
    for course, fret, finger in after:
        for old_course, old_fret, old_finger in before:
            step = fret - old_fret
            if link is Link.SLID and course == old_course:
                cost += 0.0 if finger == old_finger else _IMPOSSIBLE
            elif finger == old_finger:
                cost += _one_finger(step, hand_step, link, is_same_string=course == old_course)
            elif not hand_step and (step * (finger - old_finger) < 0 or abs(step) > reach_frets):
                cost += _IMPOSSIBLE
    return cost


def _one_finger(step: int, hand_step: int, link: Link, *, is_same_string: bool) -> float:
    """What it costs that one finger plays two notes in a row, `step` frets apart."""
    if step == 0:
        return 0.0 if is_same_string else _ROLL
    if link is Link.SLURRED and is_same_string:
        return _IMPOSSIBLE
    return _HOP_WITH_HAND if hand_step else _HOP
