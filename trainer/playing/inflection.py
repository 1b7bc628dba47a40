"""What the left hand does to the pitch of a sounding note: string bends and vibrato.

Theory of operation. A `Contour` keeps where the pitch stood every 10 ms, so that its cost depends neither on how
densely a converter sends nor, from 6 s on, on how long a note rings. When the note has ended, vibrato is sought as
swings of about equal size and of 3-9 Hz, and a bend as a level at least 50 cents from where the note began that was
held for 60 ms; under vibrato every trough must lie that far away, so that shaking alone is no bend. The last 60 ms
are never counted: in 43 % of the notes of 31 GuitarSet excerpts the pitch runs astray there by over 50 cents.

Reference: vibrato of guitarists is at 4-7 Hz (common practice, from memory).
"""

from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean, median

from trainer.playing.messages import Inflection
from trainer.playing.movement import PitchSample

_MS = 1_000_000
TAIL_NS = 60 * _MS
"""How much of a note's end is not believed."""
GRID_NS = 10 * _MS
LONGEST_GRID = 600
"""Levels kept; what comes later in a note is not judged."""
LEAST_BEND_CENTS = 50.0
"""A quarter tone, the least that is meant when a string is bent."""
LEAST_SWING_CENTS = 12.0
"""From trough to crest; less is the unsteadiness of a plain note."""
LEAST_SWINGS = 5
"""Two and a half times round is shaking, less may be a bend and its release."""
_START_LEVELS = 6
_LEVEL_CENTS = 40.0  # what is held wavers by no more, besides vibrato
_HELD_LEVELS = 6
_SHORTEST_SWING, _LONGEST_SWING = 5, 17  # levels between two turning points, 9 to 3 Hz
_MOST_UNEQUAL = 2.2  # of two swings, one after the other
_UNSETTLED_CENTS = 30.0
_UNSETTLED_TURNS = 3  # vibrato does not turn as often as that within UNSETTLED_NS
UNSETTLED_NS = 150 * _MS
"""The attack of a note may waver for so long before tracking has found its pitch."""

_NONE = Inflection()


class Contour:
    """Where the pitch of one note stood."""

    def __init__(self, began: PitchSample) -> None:
        self._began_ns, self._cents = began
        self._levels: list[float] = []

    def feed(self, sample: PitchSample) -> None:
        """The pitch stands elsewhere from now on."""
        self._fill(sample.stamp_ns)
        self._cents = sample.cents

    def inflection(self, until_ns: int) -> Inflection:
        """What was done until `until_ns`, which may lie before the last sample."""
        self._fill(until_ns)
        levels = self._levels[: max(0, (until_ns - self._began_ns) // GRID_NS)]
        if len(levels) < _START_LEVELS + _HELD_LEVELS or max(levels) - min(levels) < LEAST_SWING_CENTS:
            return _NONE
        hertz, depth_cents = _vibrato(levels)
        window = max(_HELD_LEVELS, round(1e9 / GRID_NS / hertz)) if hertz else _HELD_LEVELS
        return Inflection(_bend_cents(levels, window, _LEVEL_CENTS + 2 * depth_cents), hertz, depth_cents)

    def is_unsettled(self, until_ns: int) -> bool:
        """Whether by then the attack had done nothing but waver."""
        self._fill(until_ns)
        is_early = until_ns - self._began_ns <= UNSETTLED_NS
        return is_early and len(_turning_points(self._levels, _UNSETTLED_CENTS)) >= _UNSETTLED_TURNS

    def _fill(self, until_ns: int) -> None:
        count = min(LONGEST_GRID, (until_ns - self._began_ns) // GRID_NS) - len(self._levels)
        self._levels.extend([self._cents] * count)


def _bend_cents(levels: Sequence[float], window: int, spread_cents: float) -> float:
    """The level held for a whole `window` that lies furthest from the start, in cents from there, 0 when it is near.

    It is held while it spreads over no more than `spread_cents`.
    """
    start_cents = median(levels[:_START_LEVELS])
    above = [level - start_cents for level in levels]
    furthest = 0.0
    for way in (above, [-each for each in above]):
        if max(way) < LEAST_BEND_CENTS:
            continue
        windows = ((way[at : at + window], at) for at in range(len(way) - window + 1))
        levelled = ((min(each), at) for each, at in windows if max(each) - min(each) <= spread_cents)
        held, place = max(levelled, default=(0.0, 0))
        if held >= max(LEAST_BEND_CENTS, abs(furthest)):
            furthest = fmean(above[place : place + window])
    return furthest


def _vibrato(levels: Sequence[float]) -> tuple[float, float]:
    """(Hz, half of the swing in cents) of the longest run of swings that are alike; (0, 0) without one."""
    steadied = [fmean(each) for each in zip(levels, levels[1:], levels[2:], strict=False)]
    turns = _turning_points(steadied, LEAST_SWING_CENTS)
    swings = [(later[0] - earlier[0], abs(later[1] - earlier[1])) for earlier, later in pairwise(turns)]
    best: list[tuple[int, float]] = []
    run: list[tuple[int, float]] = []
    for length, size in swings:
        if not _SHORTEST_SWING <= length <= _LONGEST_SWING:
            run = []
            continue
        if run and not size / _MOST_UNEQUAL <= run[-1][1] <= size * _MOST_UNEQUAL:
            run = []
        run.append((length, size))
        if len(run) > len(best):
            best = list(run)
    if len(best) < LEAST_SWINGS:
        return 0.0, 0.0
    period_s = 2 * sum(length for length, _ in best) / len(best) * GRID_NS / 1e9
    return 1 / period_s, median(size for _, size in best) / 2


def _turning_points(levels: Sequence[float], least_cents: float) -> list[tuple[int, float]]:
    """(place, level) of each crest and trough, as far as they differ by `least_cents`."""
    if not levels:
        return []
    turns: list[tuple[int, float]] = []
    low = high = (0, levels[0])
    rises: bool | None = None
    for at, level in enumerate(levels):
        if level > high[1]:
            high = (at, level)
        if level < low[1]:
            low = (at, level)
        if rises is not False and level <= high[1] - least_cents:
            turns.append(high)
            rises, low = False, (at, level)
        elif rises is not True and level >= low[1] + least_cents:
            turns.append(low)
            rises, high = True, (at, level)
        if rises is False:
            high = (at, level) if level == low[1] else high
        elif rises is True:
            low = (at, level) if level == high[1] else low
    return turns
