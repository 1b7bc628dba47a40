"""A line that stands still, broken into systems one below the other.

Each system is a window on the strip; a break falls between two columns, before a group of beams where there is one.
"""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise

from trainer.score.groups import beam_spans
from trainer.tablature.strip import Strip


@dataclass(frozen=True, slots=True)
class System:
    """Notes `first` to `last`, shown from `left_px` to `right_px` of the strip; `last < first` where there is none."""

    first: int
    last: int
    left_px: float
    right_px: float


def systems_of(strip: Strip, width_px: float) -> tuple[System, ...]:
    """The line in systems no wider than `width_px`; one column wider when a single one does not fit."""
    axis, columns, edges = strip.axis, strip.columns, strip.edges_px
    xs_px = [axis.x_px(column.onset_quarters) for column in columns]
    last_px = xs_px[-1] + (xs_px[-1] - xs_px[-2] if xs_px[1:] else 1)
    end_px = max(axis.x_px(strip.exercise.length_quarters), last_px) - (xs_px[0] - edges[0])
    starts = set(_starts(strip))
    good = {edge for column, edge in zip(columns, edges, strict=True) if column.onset_quarters in starts}
    breaks = [edges[0]]
    while end_px - breaks[-1] > width_px:
        fitting = [edge for edge in edges if breaks[-1] < edge <= breaks[-1] + width_px]
        wanted = [edge for edge in fitting if edge in good]
        breaks.append((wanted or fitting or [next(edge for edge in edges if edge > breaks[-1])])[-1])
        if breaks[-1] >= edges[-1]:
            break
    breaks.append(end_px)
    firsts = [bisect_left(strip.xs_px, left_px) for left_px in breaks[:-1]] + [len(strip.xs_px)]
    spans = zip(pairwise(breaks), pairwise(firsts), strict=True)
    return tuple(System(first, end - 1, left_px, right_px) for (left_px, right_px), (first, end) in spans)


def _starts(strip: Strip) -> Iterator[Fraction]:
    """The moments at which a group of beams may begin and no tuplet goes on."""
    spans = beam_spans(strip.exercise.meter)
    for bar in strip.bars:
        moments = {bar.onset_quarters + start for start in accumulate(spans, initial=Fraction(0))}
        for sign in bar.voices[0]:
            if sign.onset_quarters in moments and (sign.tuplet is None or sign.tuplet_begins):
                yield sign.onset_quarters
