"""Which places of which grid explain a row of onsets best.

The model. A line is a walk through places of beats. A beat is divided evenly, into 1 to 8; its figure is the smallest
division that all its onsets lie on. The beat's length is either known or found, and may wander slowly. What is sought
is the walk of the least cost, in nats (an onset that is one standard deviation off costs 1/2):

- an onset costs what its distance from the expected moment costs under a normal law, where the expected moment and its
  uncertainty come from a Kalman filter over (moment of the beat, length of the beat);
- the first figure costs -log of how common it is, another one later that and `_CHANGE` more; a figure that goes on, or
  that comes back after one beat (3 then 4 a beat), costs next to nothing;
- a place of the figure on which nothing begins costs `_EMPTY_PLACE`, a beat without any onset `_EMPTY_BEAT`: so a fine
  grid is paid for by every place that it offers in vain; a pattern that goes on or comes back pays little for it again;
- a beat that has to be found costs more the further its tempo is from the usual.

The search keeps the cheapest walks only (a beam). Where several beats explain the onsets about equally well, as
sixteenths at 66 and eighths at 132 do, the others are in `GridFit.rivals`.

References: A. T. Cemgil, P. Desain, B. Kappen, "Rhythm Quantization for Transcription", Computer Music Journal 24(2),
2000 (a prior by the depth of the subdivision against the error); A. T. Cemgil, B. Kappen, "Monte Carlo Methods for
Tempo Tracking and Rhythm Quantization", JAIR 18, 2003 (a Kalman filter for tempo on each quantisation of a beam);
D. Moelants, "Preferred tempo reconsidered", ICMPC 7, 2002 (why beats near 120 a minute are more likely than others).
The figures of the costs are ours, chosen on seeded performances.

Conventions: times are floats in any one unit, ascending and different; places are exact fractions of a beat, 0 = the
first beat. Internally a place is a whole number of 840ths, which 1 to 8 all divide.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from statistics import median

MOST_A_BEAT = 8
TICKS = 840
"""Parts of a beat: the least common multiple of 1 to 8."""

_FIGURE_SHARE = {1: 0.2, 2: 0.26, 3: 0.15, 4: 0.25, 5: 0.03, 6: 0.06, 7: 0.02, 8: 0.03}
"""How common each number of notes a beat is in print; our own estimate."""
_CHANGE = 1.5
_ALTERNATES = 0.4
_EMPTY_PLACE = 1.7
_EMPTY_AGAIN = 0.3
_EMPTY_BEAT = 1.5
_GATE_SDS = 5.0
_BEAM, _NARROW_BEAM = 40, 14
_TASTE_ONSETS = 40
"""How many onsets a beat is tried on before it is looked at closely."""
_FINALISTS = 4
_JUDGED_ONSETS = 240
"""How many onsets decide between beats and deviations; a longer row goes on with what was decided."""
_SAME_BEAT = 0.045
"""Beats nearer than this share are one guess."""

_OFFSETS = sorted({TICKS * k // d for d in range(1, MOST_A_BEAT + 1) for k in range(d)})
_DIVISION = {offset: TICKS // math.gcd(offset, TICKS) for offset in _OFFSETS}


@dataclass(frozen=True, slots=True)
class KnownBeat:
    """A beat that is given, as by a click."""

    length: float
    zero: float
    """When the first beat is due."""
    zero_sd: float
    """How far the player's beat may lie from it throughout."""
    wander: float = 0.0
    """Standard deviation, as a share of the beat, by which moment and length change from beat to beat."""


@dataclass(frozen=True, slots=True)
class UnknownBeat:
    """A beat that has to be found; the first onset lies on it or shortly after it."""

    usual: float
    """The likeliest length."""
    shortest: float
    longest: float
    spread: float = 0.45
    """Standard deviation of the logarithm of the length."""
    wander: float = 0.005


@dataclass(frozen=True, slots=True)
class Rival:
    """Another reading of the same onsets."""

    beat: float
    a_beat: int
    """The commonest number of notes a beat in it."""
    worse_nats: float


@dataclass(frozen=True, slots=True)
class GridFit:
    """Places for onsets."""

    times: tuple[float, ...]
    """The onsets as they were given."""
    places: tuple[Fraction, ...]
    """Of each onset, in beats."""
    figures: tuple[int, ...]
    """Into how many each beat is divided, from beat 0; 0: nothing begins in it."""
    beat: float
    """The mean length of a beat."""
    zero: float
    """When beat 0 falls, by the line through all onsets."""
    deviations: tuple[float, ...]
    """Each onset minus its place by the beat around it (by the given beat, when one was given)."""
    beats: tuple[float, ...]
    """Length of the beat around each onset."""
    cost: float
    rivals: tuple[Rival, ...] = ()

    @property
    def spread(self) -> float:
        """Root mean square of the deviations."""
        return math.sqrt(sum(each * each for each in self.deviations) / len(self.deviations))


@dataclass(slots=True)
class _Walk:
    """A beginning of a walk: its last place, what it knows of the beat, and what it has cost."""

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
    back: "_Walk | None" = field(default=None, repr=False)


def fit_grid(times: Sequence[float], beat: KnownBeat | UnknownBeat, sds: Sequence[float]) -> GridFit:
    """The places that explain `times` best; `sds` are the standard deviations of a single onset to choose from.

    `ValueError` for no times, or times that do not ascend.
    """
    if not times or any(after <= before for before, after in pairwise(times)):
        raise ValueError("expected at least one time, in ascending order")
    judged = times[:_JUDGED_ONSETS]
    lengths = [beat.length] if isinstance(beat, KnownBeat) else _likely_lengths(times, beat, sorted(sds)[len(sds) // 2])
    ways = [
        min(((_walked(judged, beat, sd, length, _BEAM), length, sd) for sd in sds), key=lambda way: way[0].cost)
        for length in lengths
    ]
    ways.sort(key=lambda way: way[0].cost)
    best, length, sd = ways[0]
    rivals: list[Rival] = []
    for walk, _, _ in ways[1:]:
        known = [best.length, *(rival.beat for rival in rivals)]
        if all(abs(math.log(walk.length / other)) > _SAME_BEAT for other in known):
            rivals.append(Rival(walk.length, _commonest(_figures(walk)), walk.cost - best.cost))
    whole = best if len(judged) == len(times) else _walked(times, beat, sd, length, _BEAM)
    return _fit(times, whole, beat, tuple(rivals))


def _likely_lengths(times: Sequence[float], beat: UnknownBeat, sd: float) -> list[float]:
    """The few beats that explain the first onsets best."""
    tasted = times[:_TASTE_ONSETS]
    costs = {length: _walked(tasted, beat, sd, length, _NARROW_BEAM).cost for length in _lengths(times, beat)}
    return sorted(costs, key=lambda length: costs[length])[:_FINALISTS]


def _lengths(times: Sequence[float], beat: UnknownBeat) -> Iterator[float]:
    """Beats to try: the commonest intervals between onsets, times the numbers of them that may make a beat."""
    found: list[float] = []
    for interval in _common_intervals(times):
        for factor in (*range(1, MOST_A_BEAT + 1), 1.5, 4 / 3, 2 / 3):
            length = interval * factor
            is_new = all(abs(math.log(length / other)) > _SAME_BEAT for other in found)
            if beat.shortest <= length <= beat.longest and is_new:
                found.append(length)
                yield length
    if not found:
        yield beat.usual


def _common_intervals(times: Sequence[float]) -> Iterator[float]:
    """The medians of the three largest groups of intervals of about one length."""
    intervals = sorted(after - before for before, after in pairwise(times))
    groups: list[list[float]] = []
    for interval in intervals:
        if groups and interval <= 1.12 * groups[-1][0]:
            groups[-1].append(interval)
        else:
            groups.append([interval])
    for group in sorted(groups, key=len, reverse=True)[:3]:
        yield median(group)


def _walked(times: Sequence[float], beat: KnownBeat | UnknownBeat, sd: float, length: float, width: int) -> _Walk:
    """The cheapest walk through all times with a beat that begins near `length`."""
    walks = list(_beginnings(times[0], beat, sd, length))
    for time in times[1:]:
        nexts: dict[tuple[int, tuple[int, ...], tuple[tuple[int, ...], ...]], _Walk] = {}
        for walk in walks:
            for step in _steps(walk, time, sd, beat.wander):
                key = (step.place, step.pattern, step.before)
                if key not in nexts or step.cost < nexts[key].cost:
                    nexts[key] = step
        # Nothing near: the gate is opened, so that every row of times has a walk.
        found = nexts.values() or [_leap(walk, time) for walk in walks]
        walks = sorted(found, key=lambda each: each.cost)[:width]
    return min((_ended(walk) for walk in walks), key=lambda each: each.cost)


def _beginnings(time: float, beat: KnownBeat | UnknownBeat, sd: float, length: float) -> Iterator[_Walk]:
    if isinstance(beat, UnknownBeat):
        taste = 0.5 * (math.log(length / beat.usual) / beat.spread) ** 2
        var_length = (0.03 * length) ** 2
        for offset in (0, *(TICKS * k // 4 for k in (1, 2, 3)), TICKS // 3, 2 * TICKS // 3):
            figure = _DIVISION[offset]
            cost = taste + _EMPTY_PLACE * offset * figure // TICKS + math.log(sd)
            yield _Walk(cost, offset, time, length, sd * sd, 0.0, var_length, figure, (offset,))
        return
    var_zero = beat.zero_sd**2
    origin = _Walk(0.0, 0, beat.zero, length, var_zero, 0.0, 0.0, 1, ())
    first = math.floor((time - beat.zero) / length * TICKS)
    for place in _places_near(first, _reach(origin, first / TICKS, sd, beat.wander)):
        step = _measured(origin, place, time, sd, beat.wander)
        if step is not None:
            offset = place % TICKS
            step.figure, step.pattern, step.back = _DIVISION[offset], (offset,), None
            yield step
    if first < -TICKS // 2 or first > 64 * TICKS:
        return
    # Whoever comes in far off the click is put on the nearest quarter of a beat.
    place = round(first / (TICKS // 4)) * (TICKS // 4)
    offset = place % TICKS
    yield _Walk(60.0, place, time, length, var_zero, 0.0, 0.0, _DIVISION[offset], (offset,))


def _reach(walk: _Walk, beats: float, sd: float, wander: float) -> int:
    """How many ticks around the expected place are looked at."""
    return math.ceil(_GATE_SDS * math.sqrt(_variance(walk, beats, sd, wander)) / walk.length * TICKS) + 1


def _variance(walk: _Walk, beats: float, sd: float, wander: float) -> float:
    noise = abs(beats) * (wander * walk.length) ** 2
    return walk.var_moment + 2 * beats * walk.covariance + beats * beats * walk.var_length + noise + sd * sd


def _places_near(centre: int, reach: int) -> Iterator[int]:
    for beat in range((centre - reach) // TICKS, (centre + reach) // TICKS + 1):
        start = beat * TICKS
        first = bisect_left(_OFFSETS, centre - reach - start)
        last = bisect_right(_OFFSETS, centre + reach - start)
        for offset in _OFFSETS[first:last]:
            yield start + offset


def _steps(walk: _Walk, time: float, sd: float, wander: float) -> Iterator[_Walk]:
    """The walks that go on from `walk` to an onset at `time`."""
    beats = (time - walk.moment) / walk.length
    centre = walk.place + round(beats * TICKS)
    for place in _places_near(centre, _reach(walk, beats, sd, wander)):
        if place <= walk.place:
            continue
        step = _measured(walk, place, time, sd, wander)
        if step is not None and _entered(step, walk, place):
            yield step


def _measured(walk: _Walk, place: int, time: float, sd: float, wander: float) -> _Walk | None:
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
    return _Walk(
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
    )


def _entered(step: _Walk, walk: _Walk, place: int) -> bool:
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


def _closing(walk: _Walk, places: int) -> float:
    """What the figure of the beat that `walk` is in costs, with `places` places that could have been filled."""
    last, before_last = walk.before
    is_again = walk.pattern in walk.before
    cost = (_EMPTY_AGAIN if is_again else _EMPTY_PLACE) * (places - len(walk.pattern))
    if walk.figure == _figure(last):
        return cost
    if walk.figure == _figure(before_last):
        return cost + _ALTERNATES
    return cost - math.log(_FIGURE_SHARE[walk.figure]) + (_CHANGE if last else 0.0)


@cache
def _figure(pattern: tuple[int, ...]) -> int:
    return math.lcm(*(_DIVISION[offset] for offset in pattern)) if pattern else 0


def _leap(walk: _Walk, time: float) -> _Walk:
    """`walk` put on the nearest quarter of a beat, at a price that any fitting walk beats."""
    quarter = TICKS // 4
    place = (walk.place // quarter + max(1, round((time - walk.moment) / walk.length * 4))) * quarter
    step = replace(walk, cost=walk.cost + 20.0, place=place, moment=time, covariance=0.0, back=walk)
    if not _entered(step, walk, place):
        step.figure, step.pattern = MOST_A_BEAT, (*walk.pattern, place % TICKS)
    return step


def _ended(walk: _Walk) -> _Walk:
    """`walk` with its last beat paid for as far as it goes."""
    reached = walk.place % TICKS * walk.figure // TICKS + 1
    walk.cost += _closing(walk, max(reached, len(walk.pattern)))
    return walk


def _row(walk: _Walk) -> list[int]:
    places = []
    at: _Walk | None = walk
    while at is not None:
        places.append(at.place)
        at = at.back
    return places[::-1]


def _figures(walk: _Walk) -> tuple[int, ...]:
    """The smallest division of each beat from the first on; 0 for an empty one."""
    divisions: dict[int, int] = {}
    for place in _row(walk):
        beat = place // TICKS
        divisions[beat] = math.lcm(divisions.get(beat, 1), _DIVISION[place % TICKS])
    return tuple(divisions.get(beat, 0) for beat in range(min(*divisions, 0), max(divisions) + 1))


def _commonest(figures: Iterable[int]) -> int:
    counted = [figure for figure in figures if figure]
    return max(sorted(set(counted)), key=counted.count)


def _fit(times: Sequence[float], walk: _Walk, beat: KnownBeat | UnknownBeat, rivals: tuple[Rival, ...]) -> GridFit:
    row = _row(walk)
    is_given = isinstance(beat, KnownBeat) and not beat.wander
    if isinstance(beat, KnownBeat) and is_given:
        zero, length = beat.zero, beat.length
        local = [(zero + length * place / TICKS, length) for place in row]
    else:
        zero, length = _line(times, row)
        local = [_around(times, row, at, length) for at in range(len(row))]
    return GridFit(
        times=tuple(times),
        places=tuple(Fraction(place, TICKS) for place in row),
        figures=_figures(walk),
        beat=length,
        zero=zero,
        deviations=tuple(time - due for time, (due, _) in zip(times, local, strict=True)),
        beats=tuple(each for _, each in local),
        cost=walk.cost,
        rivals=rivals,
    )


_AROUND_BEATS = 4


def _around(times: Sequence[float], row: Sequence[int], at: int, length: float) -> tuple[float, float]:
    """When onset `at` was due by the beat of the few beats around it, and how long that beat was."""
    first = bisect_left(row, row[at] - _AROUND_BEATS * TICKS)
    last = bisect_right(row, row[at] + _AROUND_BEATS * TICKS)
    if last - first < 4:
        zero, own = _line(times, row) if len(row) > 1 else (times[0] - length * row[0] / TICKS, length)
    else:
        zero, own = _line(times[first:last], row[first:last])
    return zero + own * row[at] / TICKS, own


def _line(times: Sequence[float], row: Sequence[int]) -> tuple[float, float]:
    """When beat 0 falls and how long a beat is, by least squares."""
    beats = [place / TICKS for place in row]
    mean_time, mean_beat = sum(times) / len(times), sum(beats) / len(beats)
    square = sum((beat - mean_beat) ** 2 for beat in beats)
    if not square:
        return times[0], 1.0
    length = sum((beat - mean_beat) * (time - mean_time) for beat, time in zip(beats, times, strict=True)) / square
    return mean_time - length * mean_beat, length
