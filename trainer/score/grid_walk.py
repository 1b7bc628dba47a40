"""The cheapest walks through places of beats past a row of onsets; `grid` opens with the model and its references.

Conventions: times are floats in any one unit; a place is a whole number of ticks, 840 a beat, which 1 to 8 all divide.
"""

import math
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from trainer.score.beat import KnownBeat, UnknownBeat

MOST_A_BEAT = 8
TICKS = 840
"""Parts of a beat: the least common multiple of 1 to 8."""

_FIGURE_SHARE = {1: 0.2, 2: 0.26, 3: 0.15, 4: 0.25, 5: 0.03, 6: 0.06, 7: 0.02, 8: 0.03}
"""How common each number of notes a beat is in print; our own estimate."""
_CHANGE = 1.5
_OCTAVE_SHARE = 0.25
"""How common twice or half as many notes a beat are after a beat, whatever its figure is."""
_ALTERNATES = 0.4
_EMPTY_PLACE = 1.7
_EMPTY_AGAIN = 0.3
_EMPTY_BEAT = 1.5
_GATE_SDS = 5.0
_OF_A_PHASE = 4

_OFFSETS = sorted({TICKS * k // d for d in range(1, MOST_A_BEAT + 1) for k in range(d)})
_DIVISION = {offset: TICKS // math.gcd(offset, TICKS) for offset in _OFFSETS}


@dataclass(slots=True)
class Walk:
    """A walk so far: its last place, what it knows of the beat, and what it has cost."""

    cost: float
    place: int
    moment: float
    length: float
    var_moment: float
    covariance: float
    var_length: float
    figure: int
    """The smallest division of the beat that it is in, so far."""
    pattern: tuple[int, ...]
    """The onsets in that beat, in ticks."""
    before: tuple[tuple[int, ...], tuple[int, ...]] = ((), ())
    """The patterns of the two beats before that were not empty."""
    back: "Walk | None" = field(default=None, repr=False)
    phase: int = 0
    """Where in its beat the first place lies."""

    @property
    def row(self) -> list[int]:
        """The places, from the first onset on."""
        places = []
        at: Walk | None = self
        while at is not None:
            places.append(at.place)
            at = at.back
        return places[::-1]

    @property
    def figures(self) -> tuple[int, ...]:
        """The smallest division of each beat from the first on; 0 for an empty one."""
        divisions: dict[int, int] = {}
        for place in self.row:
            beat = place // TICKS
            divisions[beat] = math.lcm(divisions.get(beat, 1), _DIVISION[place % TICKS])
        return tuple(divisions.get(beat, 0) for beat in range(min(*divisions, 0), max(divisions) + 1))


def walked(
    times: Sequence[float], beat: KnownBeat | UnknownBeat, sd: float, length: float, width: int
) -> tuple[Walk, ...]:
    """Walks through all times with a beat that begins near `length`, the cheapest of each phase, cheapest first.

    `sd` is the standard deviation of one onset, `width` the number of walks that are kept from onset to onset.
    """
    walks = list(_beginnings(times[0], beat, sd, length))
    of_a_phase = _OF_A_PHASE if isinstance(beat, UnknownBeat) else 0
    for time in times[1:]:
        nexts: dict[tuple[int, tuple[int, ...], tuple[tuple[int, ...], ...]], Walk] = {}
        for walk in walks:
            for step in _steps(walk, time, sd, beat.wander):
                key = (step.place, step.pattern, step.before)
                if key not in nexts or step.cost < nexts[key].cost:
                    nexts[key] = step
        # Nothing near: the gate is opened, so that every row of times has a walk.
        found = nexts.values() or [_leap(walk, time) for walk in walks]
        walks = list(_cheapest(found, width, of_a_phase))
    cheapest: dict[int, Walk] = {}
    for walk in sorted(map(_ended, walks), key=lambda each: each.cost):
        cheapest.setdefault(walk.phase, walk)
    return tuple(cheapest.values())


def _cheapest(walks: Iterable[Walk], width: int, of_a_phase: int) -> Iterator[Walk]:
    """The cheapest walks, `width` of them, and of each phase so many, as more than time may decide between phases."""
    of_phase: Counter[int] = Counter()
    for number, walk in enumerate(sorted(walks, key=lambda each: each.cost)):
        of_phase[walk.phase] += 1
        if number < width or of_phase[walk.phase] <= of_a_phase:
            yield walk


def _beginnings(time: float, beat: KnownBeat | UnknownBeat, sd: float, length: float) -> Iterator[Walk]:
    if isinstance(beat, UnknownBeat):
        taste = 0.5 * (math.log(length / beat.usual) / beat.spread) ** 2
        var_length = (0.03 * length) ** 2
        for offset in (0, *(TICKS * k // 4 for k in (1, 2, 3)), TICKS // 3, 2 * TICKS // 3):
            figure = _DIVISION[offset]
            cost = taste + _EMPTY_PLACE * offset * figure // TICKS + math.log(sd)
            yield Walk(cost, offset, time, length, sd * sd, 0.0, var_length, figure, (offset,), phase=offset)
        return
    var_zero = beat.zero_sd**2
    origin = Walk(0.0, 0, beat.zero, length, var_zero, 0.0, 0.0, 1, ())
    first = math.floor((time - beat.zero) / length * TICKS)
    for place in _places_near(first, _reach(origin, first / TICKS, sd, beat.wander)):
        step = _measured(origin, place, time, sd, beat.wander)
        if step is not None:
            offset = place % TICKS
            step.figure, step.pattern, step.back, step.phase = _DIVISION[offset], (offset,), None, offset
            yield step
    if first < -TICKS // 2 or first > 64 * TICKS:
        return
    # Whoever comes in far off the click is put on the nearest quarter of a beat.
    place = round(first / (TICKS // 4)) * (TICKS // 4)
    offset = place % TICKS
    yield Walk(60.0, place, time, length, var_zero, 0.0, 0.0, _DIVISION[offset], (offset,), phase=offset)


def _reach(walk: Walk, beats: float, sd: float, wander: float) -> int:
    """How many ticks around the expected place are looked at."""
    return math.ceil(_GATE_SDS * math.sqrt(_variance(walk, beats, sd, wander)) / walk.length * TICKS) + 1


def _variance(walk: Walk, beats: float, sd: float, wander: float) -> float:
    noise = abs(beats) * (wander * walk.length) ** 2
    return walk.var_moment + 2 * beats * walk.covariance + beats * beats * walk.var_length + noise + sd * sd


def _places_near(centre: int, reach: int) -> Iterator[int]:
    for beat in range((centre - reach) // TICKS, (centre + reach) // TICKS + 1):
        start = beat * TICKS
        first = bisect_left(_OFFSETS, centre - reach - start)
        last = bisect_right(_OFFSETS, centre + reach - start)
        for offset in _OFFSETS[first:last]:
            yield start + offset


def _steps(walk: Walk, time: float, sd: float, wander: float) -> Iterator[Walk]:
    """The walks that go on from `walk` to an onset at `time`."""
    beats = (time - walk.moment) / walk.length
    centre = walk.place + round(beats * TICKS)
    for place in _places_near(centre, _reach(walk, beats, sd, wander)):
        if place <= walk.place:
            continue
        step = _measured(walk, place, time, sd, wander)
        if step is not None and _entered(step, walk, place):
            yield step


def _measured(walk: Walk, place: int, time: float, sd: float, wander: float) -> Walk | None:
    """`walk` with its beat corrected by an onset at `time` on `place`; None when that is too far off."""
    beats = (place - walk.place) / TICKS
    expected = walk.moment + beats * walk.length
    noise = abs(beats) * (wander * walk.length) ** 2
    var_moment = walk.var_moment + 2 * beats * walk.covariance + beats * beats * walk.var_length + noise
    covariance = walk.covariance + beats * walk.var_length
    var_length = walk.var_length + noise
    total = var_moment + sd * sd
    off = time - expected
    if off * off > _GATE_SDS**2 * total:
        return None
    gain, gain_length = var_moment / total, covariance / total
    length = walk.length + gain_length * off
    if length <= 0:
        return None
    return Walk(
        cost=walk.cost + 0.5 * off * off / total + 0.5 * math.log(total),
        place=place,
        moment=expected + gain * off,
        length=length,
        var_moment=(1 - gain) * var_moment,
        covariance=(1 - gain) * covariance,
        var_length=var_length - gain_length * covariance,
        figure=walk.figure,
        pattern=walk.pattern,
        before=walk.before,
        back=walk,
        phase=walk.phase,
    )


def _entered(step: Walk, walk: Walk, place: int) -> bool:
    """Settle what the way from `walk` to `place` costs in figures; False where no figure holds both."""
    beats, offset = place // TICKS - walk.place // TICKS, place % TICKS
    division = _DIVISION[offset]
    if beats == 0:
        figure = math.lcm(walk.figure, division)
        if figure > MOST_A_BEAT:
            return False
        step.figure, step.pattern = figure, (*walk.pattern, offset)
        return True
    step.cost += _closing(walk, walk.figure) + (beats - 1) * _EMPTY_BEAT
    step.figure, step.pattern, step.before = division, (offset,), (walk.pattern, walk.before[0])
    return True


def _closing(walk: Walk, places: int) -> float:
    """What the figure of the beat that `walk` is in costs, with `places` places that could have been filled."""
    last, before_last = walk.before
    is_again = walk.pattern in walk.before
    cost = (_EMPTY_AGAIN if is_again else _EMPTY_PLACE) * (places - len(walk.pattern))
    if walk.figure == _figure(last):
        return cost
    if walk.figure == _figure(before_last):
        return cost + _ALTERNATES
    if not last:
        return cost - math.log(_FIGURE_SHARE[walk.figure])
    is_octave = walk.figure in (2 * _figure(last), _figure(last) / 2)
    return cost + _CHANGE - math.log(_OCTAVE_SHARE if is_octave else _FIGURE_SHARE[walk.figure])


@cache
def _figure(pattern: tuple[int, ...]) -> int:
    return math.lcm(*(_DIVISION[offset] for offset in pattern)) if pattern else 0


def _leap(walk: Walk, time: float) -> Walk:
    """`walk` put on the nearest quarter of a beat, at a price that any fitting walk beats."""
    quarter = TICKS // 4
    place = (walk.place // quarter + max(1, round((time - walk.moment) / walk.length * 4))) * quarter
    step = replace(walk, cost=walk.cost + 20.0, place=place, moment=time, covariance=0.0, back=walk)
    if not _entered(step, walk, place):
        step.figure, step.pattern = MOST_A_BEAT, (*walk.pattern, place % TICKS)
    return step


def _ended(walk: Walk) -> Walk:
    """`walk` with its last beat paid for as far as it goes."""
    reached = walk.place % TICKS * walk.figure // TICKS + 1
    walk.cost += _closing(walk, max(reached, len(walk.pattern)))
    return walk
