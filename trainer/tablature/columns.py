"""The columns of a line: what is written at each of its moments, and how far that reaches to both sides.

A column is a note or chord, a rest, or a note that only goes on; together they fill the line. Signs too short to be
read as rhythm (under a thirty-second in a triplet, as gaps in files can be) have none.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.notation import Bar, Sign
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Size, TextMetrics
from trainer.tablature.rests import REST_ACROSS_PX

COLUMN_PX = 74.0
"""The narrowest column a note gets at unit 1."""
WIDEST_FIGURE = "+888"
"""The deviation that fits into every column, however small the picture."""
CLEAR_PX = 14.0
"""What stays free between the numbers of neighbouring notes, so that a slide or a slur can be seen between them."""
SLOWEST_PX_PER_QUARTER = 170.0
"""A line of long notes is not drawn narrower than this at unit 1."""
OPEN_JOIN_PX = 17
"""How much of a slide or slur is seen whose first note is not, at unit 1: half a column, less half a number."""
LEAST_QUARTERS = Fraction(1, 12)
SIGN_CLEAR_PX = 6.0
"""What stays free between the signs of the rhythm."""
_STEM_PX, _FLAG_PX, _DOT_PX = 2.0, 13.0, 8.0


@dataclass(frozen=True, slots=True)
class Column:
    """What is written at one moment."""

    onset_quarters: Fraction
    number_px: tuple[float, float]
    """How far the numbers reach to the left and to the right; nothing where no note begins."""
    sign_px: tuple[float, float] = (0.0, 0.0)
    """The same of stem, flags and dots, or of a rest."""
    is_begun: bool = True
    """Whether a note begins here."""
    begins_bar: bool = False

    @property
    def left_px(self) -> float:
        """How far it reaches to the left."""
        return max(self.number_px[0], self.sign_px[0])

    @property
    def right_px(self) -> float:
        """How far it reaches to the right."""
        return max(self.number_px[1], self.sign_px[1])


def number_extent_px(note: ScoreNote, metrics: TextMetrics, unit: float) -> tuple[float, float]:
    """How far a note's number reaches to the left and to the right of its moment, with its grace note."""
    half_px = metrics.width_px(str(note.fret), Size.FRET) / 2
    if note.slide_from is None:
        return half_px, half_px
    return half_px + grace_px(note.slide_from.fret, metrics, unit), half_px


def grace_px(fret: int, metrics: TextMetrics, unit: float) -> float:
    """How much room a grace note and its slide take before the number."""
    return metrics.width_px(str(fret), Size.SMALL) + 26 * unit


def columns_of(exercise: Exercise, bars: Sequence[Bar], metrics: TextMetrics, unit: float) -> tuple[Column, ...]:
    """The columns in order; `bars` is the line in one voice, as its rhythm is drawn."""
    numbers: dict[Fraction, tuple[float, float]] = {}
    for note in exercise.notes:
        onset, (left_px, right_px) = note.onset_quarters, number_extent_px(note, metrics, unit)
        known_left_px, known_right_px = numbers.get(onset, (0.0, 0.0))
        numbers[onset] = (max(left_px, known_left_px), max(right_px, known_right_px))
    columns = {onset: Column(onset, number_px) for onset, number_px in numbers.items()}
    for bar in bars:
        for sign in bar.voices[0]:
            onset = sign.onset_quarters
            is_seen = sign.duration_quarters >= LEAST_QUARTERS and onset < exercise.length_quarters
            if onset in numbers or is_seen:
                columns[onset] = Column(
                    onset,
                    numbers.get(onset, (0.0, 0.0)),
                    _sign_px(sign, unit),
                    is_begun=onset in numbers,
                    begins_bar=onset == bar.onset_quarters,
                )
    return tuple(columns[onset] for onset in sorted(columns))


def _sign_px(sign: Sign, unit: float) -> tuple[float, float]:
    dots_px = 0.0 if sign.value is None else sign.value.dots * _DOT_PX
    if sign.is_rest:
        return REST_ACROSS_PX * unit, (REST_ACROSS_PX + dots_px) * unit
    return _STEM_PX * unit, max(_FLAG_PX, 2 * dots_px) * unit


def axis_for(columns: Sequence[Column], length_quarters: Fraction, metrics: TextMetrics, unit: float) -> TimeAxis:
    """The widest-set axis that the densest place of the line needs, so that no two numbers or signs ever touch."""
    narrowest_px = max(COLUMN_PX * unit, metrics.width_px(WIDEST_FIGURE, Size.SMALL))
    begun = [column for column in columns if column.is_begun]
    columns, begun = _come_round(columns, length_quarters), _come_round(begun, length_quarters)
    needed = [SLOWEST_PX_PER_QUARTER * unit]
    for one, following in pairwise(begun):
        column_px = max(narrowest_px, one.number_px[1] + following.number_px[0] + CLEAR_PX * unit)
        needed.append(column_px / float(following.onset_quarters - one.onset_quarters))
    for one, following in pairwise(columns):
        # A bar line stands clear of numbers and signs alike.
        is_barred = following.begins_bar
        right_px, left_px = (one.right_px, following.left_px) if is_barred else (one.sign_px[1], following.sign_px[0])
        room_px = right_px + left_px + SIGN_CLEAR_PX * unit
        needed.append(room_px / float(following.onset_quarters - one.onset_quarters))
    return TimeAxis(max(needed))


def _come_round(columns: Sequence[Column], length_quarters: Fraction) -> list[Column]:
    """The columns and the first of the repeat."""
    again = replace(columns[0], onset_quarters=columns[0].onset_quarters + length_quarters)
    return [*columns, again] if again.onset_quarters > columns[-1].onset_quarters else list(columns)


def edges_px(columns: Sequence[Column], axis: TimeAxis, unit: float) -> tuple[float, ...]:
    """Where a bar line or the break of a system stands before each column: clear of it and of the one before."""
    xs_px = [axis.x_px(column.onset_quarters) for column in columns]
    begun = [x_px for x_px, column in zip(xs_px, columns, strict=True) if column.is_begun]
    lead_px = min((later - earlier for earlier, later in pairwise(begun)), default=axis.px_per_quarter / 2) / 2
    edges = []
    free_px = float("-inf")
    for x_px, column in zip(xs_px, columns, strict=True):
        edge_px, most_px = x_px - lead_px, x_px - column.left_px
        if edge_px <= free_px + 2 * unit or edge_px >= most_px - 2 * unit:
            aside_px = min((free_px + most_px) / 2, most_px - (OPEN_JOIN_PX + 5) * unit)
            edge_px = min(edge_px, most_px) if free_px == float("-inf") else max(free_px + 2 * unit, aside_px)
        edges.append(edge_px)
        free_px = x_px + column.right_px
    return tuple(edges)


def edge_at(moment_quarters: Fraction, columns: Sequence[Column], edges: Sequence[float], axis: TimeAxis) -> float:
    """The edge before a moment; behind the last column as far before it as before the first."""
    at = bisect_left(columns, moment_quarters, key=lambda column: column.onset_quarters)
    if at < len(columns):
        return edges[at]
    return axis.x_px(moment_quarters) - (axis.x_px(columns[0].onset_quarters) - edges[0])
