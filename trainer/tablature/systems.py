"""A line that stands still, broken into systems one below the other.

Each system is a window on the strip; a break falls between two notes, before a beat where there is one.
"""

from dataclasses import dataclass
from itertools import pairwise

from trainer.tablature.strip import Strip


@dataclass(frozen=True, slots=True)
class System:
    """The notes from `first` to `last`, shown from `left_px` to `right_px` of the strip."""

    first: int
    last: int
    left_px: float
    right_px: float


def systems_of(strip: Strip, width_px: float) -> tuple[System, ...]:
    """The line in systems no wider than `width_px`; one column wider when a single one does not fit."""
    xs_px = sorted(set(strip.xs_px))
    lefts_px = strip.lefts_px
    end_px = max(
        strip.axis.x_px(strip.exercise.length_quarters), xs_px[-1] + (xs_px[-1] - xs_px[-2] if xs_px[1:] else 1)
    )
    lead_px = min((later - earlier for earlier, later in pairwise(xs_px)), default=strip.axis.px_per_quarter) / 2
    edges = [min(x_px - lead_px, lefts_px[x_px]) for x_px in xs_px]  # a grace note stays with its note
    beats = {
        edges[xs_px.index(strip.axis.x_px(note.onset_quarters))]
        for note in strip.exercise.notes
        if (note.onset_quarters / strip.exercise.meter.beat_quarters).denominator == 1
    }
    breaks = [edges[0]]
    while end_px - lead_px - breaks[-1] > width_px:
        fitting = [edge for edge in edges if breaks[-1] < edge <= breaks[-1] + width_px]
        on_beat = [edge for edge in fitting if edge in beats]
        breaks.append((on_beat or fitting or [next(edge for edge in edges if edge > breaks[-1])])[-1])
        if breaks[-1] >= edges[-1]:
            break
    breaks.append(end_px - lead_px)
    found = []
    for left_px, right_px in pairwise(breaks):
        inside = [index for index, x_px in enumerate(strip.xs_px) if left_px <= x_px < right_px]
        if inside:
            found.append(System(inside[0], inside[-1], left_px, right_px))
    return tuple(found)
