"""Columns set in systems: where the line breaks, and where each column stands.

Breaks are found for the whole line at once, so that systems are about equally full: the cost of a system is the square
of how far it is from easily read, and breaking inside a bar costs more than any emptiness. Only what does not fit in
one system alone is broken inside a bar, at a beat where there is one.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from trainer.sheets.columns import Column, Row, natural_widths_pt

BAR_LEAD_PT = 7.0
"""Between a bar line and the reach of the first column after it."""
METER_ROOM_PT = 16.0
"""For the time signature at the start of the line."""

# Filled so far, columns have a little more room than they need: what reads most easily.
_EASY_SHARE = 0.8

_COST_OF_A_SYSTEM = 0.1
_COST_OF_CRAMMING = 0.15
_COST_INSIDE_A_BAR = 2.0
_COST_INSIDE_A_BEAT = 6.0

# The last system is not drawn out further than this: a few notes over the whole width read badly.
_MOST_STRETCH_AT_THE_END = 1.35


@dataclass(frozen=True, slots=True)
class System:
    """Columns `first` to `last` of a line, each with its place from the left end of the strings."""

    first: int
    last: int
    xs_pt: tuple[float, ...]
    bar_lines_pt: tuple[float, ...]
    """Where bars end, except for the one at the right end."""
    width_pt: float
    ends_bar: bool
    is_first: bool
    is_last: bool

    def x_pt(self, column: int) -> float | None:
        """Where a column stands; None when it is in another system."""
        return self.xs_pt[column - self.first] if self.first <= column <= self.last else None


def systems_of(columns: Sequence[Column], room_pt: float) -> tuple[System, ...]:
    """The columns in systems no wider than `room_pt`; a single one that does not fit stands alone."""
    widths = natural_widths_pt(columns)
    starts = [*_starts(columns, widths, room_pt), len(columns)]
    return tuple(_system(columns, widths, first, after - 1, room_pt) for first, after in pairwise(starts))


def _lead_pt(column: Column, *, at: int) -> float:
    """From the bar line, or the start of the strings, to the middle of a column."""
    reach = max((left for row, (left, _) in column.extents.items() if row is not Row.LETTER), default=0.0)
    return BAR_LEAD_PT + reach + (METER_ROOM_PT if at == 0 else 0.0)


def _starts(columns: Sequence[Column], widths: Sequence[float], room_pt: float) -> list[int]:
    """The first column of each system, by least total cost (dynamic programming over the breaks)."""
    count = len(columns)
    best = [0.0] + [inf] * count
    came_from = [0] * (count + 1)
    for first in range(count):
        filled = _lead_pt(columns[first], at=first)
        for last in range(first, count):
            filled += widths[last]
            if filled > room_pt and last > first:
                break
            cost = best[first] + _cost(columns, last, filled / room_pt)
            if cost < best[last + 1]:
                best[last + 1], came_from[last + 1] = cost, first
            if last + 1 < count and columns[last + 1].begins_bar:
                filled += _lead_pt(columns[last + 1], at=last + 1)
    starts = [came_from[count]]
    while starts[0] > 0:
        starts.insert(0, came_from[starts[0]])
    return starts


def _cost(columns: Sequence[Column], last: int, share: float) -> float:
    """What a system costs that ends with a column and is filled to a share of the room."""
    crammed = _COST_OF_CRAMMING * (max(0.0, share - _EASY_SHARE) / (1 - _EASY_SHARE)) ** 2
    if last + 1 == len(columns):
        return _COST_OF_A_SYSTEM + crammed
    following = columns[last + 1]
    inside = 0.0 if following.begins_bar else _COST_INSIDE_A_BAR if following.begins_beat else _COST_INSIDE_A_BEAT
    return _COST_OF_A_SYSTEM + crammed + (max(0.0, _EASY_SHARE - share) / _EASY_SHARE) ** 2 + inside


def _system(columns: Sequence[Column], widths: Sequence[float], first: int, last: int, room_pt: float) -> System:
    steps = list(_steps(columns, widths, first, last))
    fixed = sum(lead for lead, _ in steps)
    stretchable = sum(width for _, width in steps)
    stretch = (room_pt - fixed) / stretchable
    is_last = last + 1 == len(columns)
    if is_last:
        stretch = min(stretch, _MOST_STRETCH_AT_THE_END)
    xs, bar_lines, now = [], [], 0.0
    for at, (lead, width) in enumerate(steps):
        if at > 0 and lead:
            bar_lines.append(now)
        now += lead
        xs.append(now)
        now += width * stretch
    return System(
        first=first,
        last=last,
        xs_pt=tuple(xs),
        bar_lines_pt=tuple(bar_lines),
        width_pt=now,
        ends_bar=is_last or columns[last + 1].begins_bar,
        is_first=first == 0,
        is_last=is_last,
    )


def _steps(columns: Sequence[Column], widths: Sequence[float], first: int, last: int) -> Iterator[tuple[float, float]]:
    """For each column its fixed lead from a bar line, 0 without one, and the room after it, which can be stretched."""
    for at in range(first, last + 1):
        leads = at == first or columns[at].begins_bar
        yield _lead_pt(columns[at], at=at) if leads else 0.0, widths[at]
