"""How late each note of a pass came after the note before it, measured in three ways.

A pass is first laid on a straight line, played time over written time, so that being slower, late or drifting as a
whole says nothing about any one transition. What is left is the note's deviation from the player's own pace.

- *interval*: the deviation of a note less that of the note before: played interval less the written one at the
  player's pace. It is what is shown, for it is right whatever the player does next; but it carries the chance of both
  notes.
- *note late*: the deviation of a note less the middle between the deviations on both sides. Who comes late and is back
  with the click on the next note shows up here, once, and not as an early note afterwards.
- *rest late*: the deviations from the note on less those up to it. Who takes longer and carries on from there, as one
  does at one's own pace, shows up here.

"Both sides" are exponentially weighted means of the deviations before and from here on. How fast the weights fall is
one number of the player, `memory`: onsets that scatter each for itself call for long means, a pace that wanders calls
for short ones. It follows from the correlation of neighbouring intervals, which is -1/2 for independent onsets and 0
for a wandering pace (the local level model: q = -1/r - 2, memory = (2 + q - sqrt(q*q + 4 q)) / 2).

References: Harvey and Koopman 1992 (outliers and level shifts told apart by the residuals of a structural model;
Journal of Business and Economic Statistics 10), Wing and Kristofferson 1973 (clock and motor parts of interval timing;
the -1/2); both from memory.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, median

from trainer.coaching.played import PlayedPass

LONGEST_MEMORY = 0.8  # a mean over some nine notes: two beats of sixteenths, as `own_pace` takes a pace to last
UNTOLD_MEMORY = 0.5  # while there are too few intervals to tell
LEAST_INTERVALS = 24
PAUSE_SHARE = 0.7
SHORTEST_PAUSE_MS = 200.0
"""Later than by 0.7 intervals, and over 200 ms between the notes, is a wait, as for the follower: a new run begins."""
_DEVIATION_OF_MAD = 1.4826  # of a normal distribution
_OUTLYING = 3.0  # such deviations, in MADs of the pass, do not pull the line
_REFITS = 2


@dataclass(frozen=True, slots=True)
class Measured:
    """What one pass tells of the transition into one note, ms; positive = late."""

    interval_ms: float
    note_late_ms: float
    note_weight: float
    """By what factor independent onsets make `note_late_ms` vary more than one onset does (a variance)."""
    rest_late_ms: float
    rest_weight: float
    is_wait: bool


@dataclass(frozen=True, slots=True)
class Laid:
    """A pass laid on a straight line."""

    deviations_ms: tuple[float | None, ...]
    pace: float
    """Played time per written time."""
    starts: frozenset[int]
    """Notes at which a run begins: after a jump or a wait nothing is carried over."""


def laid(one: PlayedPass) -> Laid:
    """A pass laid on the line that fits its unbroken runs best: one pace, an offset for each run."""
    waits = _waits(one)
    starts = frozenset(waits | one.entries)
    runs = _runs(one, starts)
    pace, offsets = _fitted(runs)
    deviations: list[float | None] = [None] * len(one.due_ms)
    for run, offset in zip(runs, offsets, strict=True):
        for index, due, played in run:
            deviations[index] = played - pace * due - offset
    return Laid(tuple(deviations), pace, starts)


def intervals_ms(one: PlayedPass, pace: float) -> dict[int, float]:
    """For each matched note after a matched one, how much longer than written, at `pace`, it took to come."""
    return {
        index: played - before - pace * (one.due_ms[index] - one.due_ms[index - 1])
        for index, before, played in _neighbours(one)
        if index not in one.entries
    }


def memory_of(passes: Sequence[Laid]) -> float:
    """The weight that a deviation keeps from one note to the next, 0 to `LONGEST_MEMORY`."""
    steps = [
        {
            index: here - before
            for index in range(1, len(one.deviations_ms))
            if (here := one.deviations_ms[index]) is not None
            and (before := one.deviations_ms[index - 1]) is not None
            and index not in one.starts
        }
        for one in passes
    ]
    usual = {index: fmean(row[index] for row in steps if index in row) for index in set().union(*steps)}
    if len(steps) > 1:
        # A transition that is always late is no chance: it says nothing about how chance carries on.
        steps = [{index: step - usual[index] for index, step in row.items()} for row in steps]
    everything = [step for row in steps for step in row.values()]
    if len(everything) < LEAST_INTERVALS:
        return UNTOLD_MEMORY
    most = _OUTLYING * spread_of(everything)
    rows = [{index: min(max(step, -most), most) for index, step in row.items()} for row in steps]
    squares = fmean(step * step for row in rows for step in row.values())
    products = [row[index] * row[index + 1] for row in rows for index in row if index + 1 in row]
    if not squares or not products:
        return UNTOLD_MEMORY
    return _memory(fmean(products) / squares)


def _memory(correlation: float) -> float:
    """The weight of the local level model whose neighbouring intervals correlate so.

    >>> _memory(-0.5), round(_memory(-0.4), 3), _memory(0.0)
    (0.8, 0.5, 0.0)
    """
    if correlation >= 0:
        return 0.0
    q = max(0.0, -1 / correlation - 2)
    return min(LONGEST_MEMORY, (2 + q - sqrt(q * q + 4 * q)) / 2)


def measured(one: PlayedPass, line: Laid, memory: float) -> dict[int, Measured]:
    """What a pass tells of each transition that was played, by the index of its second note."""
    before = list(_levels(line.deviations_ms, memory, line.starts))
    ends = frozenset(len(line.deviations_ms) - start for start in line.starts)
    after = list(_levels(line.deviations_ms[::-1], memory, ends))[::-1]
    told: dict[int, Measured] = {}
    for index, interval in intervals_ms(one, line.pace).items():
        here = line.deviations_ms[index]
        if here is None:
            continue
        if index in line.starts:
            told[index] = Measured(interval, interval, 2.0, interval, 2.0, is_wait=True)
            continue
        back, ahead = before[index - 1], after[index]
        if back is None or ahead is None:
            continue
        beyond = after[index + 1] if index + 1 < len(after) and index + 1 not in line.starts else None
        aside = back.mean if beyond is None else (back.mean + beyond.mean) / 2
        aside_weight = back.weight if beyond is None else (back.weight + beyond.weight) / 4
        told[index] = Measured(
            interval_ms=interval,
            note_late_ms=here - aside,
            note_weight=1 + aside_weight,
            rest_late_ms=ahead.mean - back.mean,
            rest_weight=ahead.weight + back.weight,
            is_wait=False,
        )
    return told


def spread_of(values: Sequence[float]) -> float:
    """The standard deviation of most of the values, by their median absolute deviation; 0 for none."""
    if not values:
        return 0.0
    middle = median(values)
    return _DEVIATION_OF_MAD * median(abs(value - middle) for value in values)


@dataclass(frozen=True, slots=True)
class _Level:
    mean: float
    weight: float
    """Variance of the mean, in variances of one deviation."""


def _levels(deviations: Sequence[float | None], memory: float, starts: frozenset[int]) -> Iterator[_Level | None]:
    """At each note the weighted mean of the deviations up to it, those of its run only."""
    total = weights = squares = 0.0
    for index, deviation in enumerate(deviations):
        keep = 0.0 if index in starts else memory
        total, weights, squares = total * keep, weights * keep, squares * keep * keep
        if deviation is not None:
            total, weights, squares = total + deviation, weights + 1, squares + 1
        yield _Level(total / weights, squares / (weights * weights)) if weights > 0 else None


_Run = list[tuple[int, float, float]]
"""Index, due and played of the matched notes of one unbroken stretch."""


def _neighbours(one: PlayedPass) -> Iterator[tuple[int, float, float]]:
    """Each matched note after a matched one that is written before it: index, when that came, when it came."""
    for index in range(1, len(one.due_ms)):
        before, here = one.played_ms[index - 1], one.played_ms[index]
        if before is not None and here is not None and one.due_ms[index] > one.due_ms[index - 1]:
            yield index, before, here


def _waits(one: PlayedPass) -> set[int]:
    rows = [
        (index, here - before, one.due_ms[index] - one.due_ms[index - 1]) for index, before, here in _neighbours(one)
    ]
    if not rows:
        return set()
    pace = median(played / due for _, played, due in rows)
    return {
        index
        for index, played, due in rows
        if played - pace * due >= PAUSE_SHARE * pace * due and played >= SHORTEST_PAUSE_MS
    }


def _runs(one: PlayedPass, starts: frozenset[int]) -> list[_Run]:
    runs: list[_Run] = [[]]
    for index, (due, played) in enumerate(zip(one.due_ms, one.played_ms, strict=True)):
        if index in starts:
            runs.append([])
        if played is not None:
            runs[-1].append((index, due, played))
    return [run for run in runs if run]


def _fitted(runs: Sequence[_Run]) -> tuple[float, list[float]]:
    """The pace that all runs share and the offset of each, by least squares; far outliers do not count."""
    kept = [list(run) for run in runs]
    for refit in range(_REFITS + 1):
        pace = _slope(kept)
        offsets = [
            median(played - pace * due for _, due, played in run) if refit < _REFITS else _offset(run, pace)
            for run in kept
        ]
        residues = [
            abs(played - pace * due - offset)
            for run, offset in zip(kept, offsets, strict=True)
            for _, due, played in run
        ]
        most = _OUTLYING * _DEVIATION_OF_MAD * median(residues)
        if refit < _REFITS and most > 0:
            kept = [
                [row for row in run if abs(row[2] - pace * row[1] - offset) <= most] or run
                for run, offset in zip(runs, offsets, strict=True)
            ]
    return pace, offsets


def _offset(run: _Run, pace: float) -> float:
    return fmean(played - pace * due for _, due, played in run)


def _slope(runs: Sequence[_Run]) -> float:
    products = squares = 0.0
    for run in runs:
        middle_due, middle_played = fmean(due for _, due, _ in run), fmean(played for _, _, played in run)
        products += sum((due - middle_due) * (played - middle_played) for _, due, played in run)
        squares += sum((due - middle_due) ** 2 for _, due, _ in run)
    return products / squares if squares else 1.0
