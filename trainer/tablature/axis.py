"""The time axis that tablature, count line and trace share: the one place where score time becomes pixels.

A strip is the whole line laid out from its quarter 0 at x = 0; a picture is a window on it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.notation import Bar
from trainer.tablature.glyphs import Size, TextMetrics

COLUMN_PX = 74.0
"""The narrowest column a note gets at unit 1."""
WIDEST_FIGURE = "+888"
"""The deviation that fits into every column, however small the picture."""
CLEAR_PX = 14.0
"""What stays free between the numbers of neighbouring notes, so that a slide or a slur can be seen between them."""
SIGN_PX = 36.0
"""A rest, or a note that only goes on, is at least this far from its neighbours, at unit 1."""
SLOWEST_PX_PER_QUARTER = 170.0
"""A line of long notes is not drawn narrower than this at unit 1."""


@dataclass(frozen=True, slots=True)
class TimeAxis:
    """Score time to strip pixels and back."""

    px_per_quarter: float

    def x_px(self, quarters: Fraction | float) -> float:
        """Where a moment of the line stands on the strip."""
        return float(quarters) * self.px_per_quarter

    def quarters(self, x_px: float) -> float:
        """Which moment stands there."""
        return x_px / self.px_per_quarter


def number_extent_px(note: ScoreNote, metrics: TextMetrics, unit: float) -> tuple[float, float]:
    """How far a note's number reaches to the left and to the right of its moment, with its grace note."""
    half_px = metrics.width_px(str(note.fret), Size.FRET) / 2
    if note.slide_from is None:
        return half_px, half_px
    return half_px + grace_px(note.slide_from.fret, metrics, unit), half_px


def grace_px(fret: int, metrics: TextMetrics, unit: float) -> float:
    """How much room a grace note and its slide take before the number."""
    return metrics.width_px(str(fret), Size.SMALL) + 26 * unit


def axis_for(exercise: Exercise, metrics: TextMetrics, unit: float, bars: Sequence[Bar] = ()) -> TimeAxis:
    """The widest-set axis that the densest place of the line needs, so that no two numbers or signs ever touch.

    `bars` is the line in one voice, as its rhythm is drawn.
    """
    columns = _columns(exercise.notes, lambda note: number_extent_px(note, metrics, unit))
    first_onset, first_extent = columns[0]
    repeat_onset = first_onset + exercise.length_quarters
    if repeat_onset > columns[-1][0]:
        columns.append((repeat_onset, first_extent))
    narrowest_px = max(COLUMN_PX * unit, metrics.width_px(WIDEST_FIGURE, Size.SMALL))
    needed = [SLOWEST_PX_PER_QUARTER * unit]
    for (onset, (_, right_px)), (next_onset, (left_px, _)) in pairwise(columns):
        column_px = max(narrowest_px, right_px + left_px + CLEAR_PX * unit)
        needed.append(column_px / float(next_onset - onset))
    shortest = min((sign.duration_quarters for bar in bars for sign in bar.voices[0]), default=None)
    if shortest is not None:
        needed.append(SIGN_PX * unit / float(shortest))
    return TimeAxis(max(needed))


def _columns(
    notes: Sequence[ScoreNote], extent: Callable[[ScoreNote], tuple[float, float]]
) -> list[tuple[Fraction, tuple[float, float]]]:
    columns: dict[Fraction, tuple[float, float]] = {}
    for note in notes:
        left_px, right_px = extent(note)
        known_left_px, known_right_px = columns.get(note.onset_quarters, (0.0, 0.0))
        columns[note.onset_quarters] = (max(left_px, known_left_px), max(right_px, known_right_px))
    return sorted(columns.items())
