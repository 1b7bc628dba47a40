"""A line as columns: what stands at each written moment, and how much room it needs beside its neighbours.

Every kind of sign has a row of its own (`Row`); a column says how far it reaches to both sides of its middle in each
row, and two columns stand so far apart that no row's signs touch. Wide and long columns get more room by the time that
they last: space grows with the power 0.6 of the duration, so that a half note takes half as much again as a quarter
(common practice of engraving has it between a constant and the duration itself).
"""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum, auto
from fractions import Fraction

from trainer.score.counting import counted_moments
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.notation import Bar, Sign, rhythm_bars_of
from trainer.sheets import paper
from trainer.sheets.joins import position_changes
from trainer.sheets.lettering import width_pt
from trainer.theory.technique import Technique

HEAD_ACROSS_PT = 3.4
"""Half the width of a note head."""
SLIDE_ROOM_PT = 9.0
"""How much a slide's line takes between two figures, at least."""
POSITION_PAD_PT = 3.0
"""Between a position's number and its box."""
STROKE_ACROSS_PT = 3.5

_SPACE_PT = 2.6
"""Between the signs of two columns in one row."""
_NARROWEST_PT = 15.0
_SPACE_POWER = 0.6
_BEAT_COUNT_ROOM_PT = 20.0


class Row(Enum):
    """The rows of a system in which the signs of two columns must not touch."""

    POSITION = auto()
    HEAD = auto()
    STROKE = auto()
    LETTER = auto()
    FRET = auto()
    COUNT = auto()
    FINGER = auto()


Extent = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Count:
    """A word of the count, some way from the column it belongs to towards the next."""

    share: Fraction
    word: str
    is_beat: bool


@dataclass(frozen=True, slots=True)
class Column:
    """What stands at one written moment."""

    bar: int
    """0 = the first."""
    begins_bar: bool
    begins_beat: bool
    sign: Sign
    notes: tuple[int, ...]
    """The notes that are begun here; empty at rests and where notes go on."""
    position: str
    counts: tuple[Count, ...]
    fingers: str
    letters: str
    """H and P, as far as notes are begun so."""
    extents: Mapping[Row, Extent] = field(default_factory=dict)
    least_pt: float = _NARROWEST_PT
    """The least distance to the next column, whatever that is."""

    def distance_pt(self, following: "Column | None") -> float:
        """The least distance from this column to the next."""
        lefts = {} if following is None else following.extents
        # What reaches back over a rest counts as well, though nothing stands in its row there.
        gaps = [self.extents.get(row, (0.0, 0.0))[1] + lefts.get(row, (0.0, 0.0))[0] for row in Row]
        return max(self.least_pt, max(gaps) + _SPACE_PT)


def columns_of(exercise: Exercise) -> tuple[Column, ...]:
    """The columns of a line; there is one for each sign of its rhythm, notes, rests and tied continuations alike."""
    bars = rhythm_bars_of(exercise)
    positions = {exercise.notes[index].onset_quarters: str(at) for index, at in position_changes(exercise)}
    counts = _counts(exercise, bars)
    signs = [(number, sign) for number, bar in enumerate(bars) for sign in bar.voices[0]]
    return tuple(
        _column(exercise, number, sign, positions.get(sign.onset_quarters, ""), counts[sign.onset_quarters])
        for number, sign in signs
    )


def _column(exercise: Exercise, bar: int, sign: Sign, position: str, counts: Sequence[Count]) -> Column:
    begun = () if sign.tied_from else sign.notes
    notes = [exercise.notes[index] for index in begun]
    meter = exercise.meter
    column = Column(
        bar=bar,
        begins_bar=sign.onset_quarters % meter.bar_quarters == 0,
        begins_beat=sign.onset_quarters % meter.beat_quarters == 0,
        sign=sign,
        notes=begun,
        position=position if begun else "",
        counts=tuple(counts),
        fingers=" ".join(dict.fromkeys(str(note.finger) for note in notes if note.finger is not None)),
        letters="".join(dict.fromkeys(_LETTERS[note.technique] for note in notes if note.technique in _LETTERS)),
    )
    least_pt = max(_NARROWEST_PT, _BEAT_COUNT_ROOM_PT * len(counts)) if counts[1:] else _NARROWEST_PT
    return replace(column, extents=dict(_extents(column, notes)), least_pt=least_pt)


_LETTERS = {Technique.HAMMER: "H", Technique.PULL: "P"}


def _extents(column: Column, notes: Sequence[ScoreNote]) -> Iterable[tuple[Row, Extent]]:
    """How far the column reaches to the left and right of its middle, row by row."""
    dots = column.sign.value.dots if column.sign.value is not None else 0
    yield Row.HEAD, (HEAD_ACROSS_PT, HEAD_ACROSS_PT + (5.0 if dots else 1.0))
    if column.position:
        half = width_pt(column.position, paper.SMALLEST_PT, bold=True) / 2 + POSITION_PAD_PT
        yield Row.POSITION, (half, half)
    if any(note.stroke is not None for note in notes):
        yield Row.STROKE, (STROKE_ACROSS_PT, STROKE_ACROSS_PT)
    if column.fingers:
        half = width_pt(column.fingers, paper.SMALLEST_PT) / 2
        yield Row.FINGER, (half, half)
    if column.counts:
        half = width_pt(column.counts[0].word, paper.COUNT_PT, bold=column.counts[0].is_beat) / 2
        yield Row.COUNT, (half, half)
    if notes:
        yield Row.FRET, _fret_extent(notes)
    if column.letters:
        # The letters stand half way from the column before.
        yield Row.LETTER, (width_pt(column.letters, paper.SMALLEST_PT, bold=True), 0.0)


def _fret_extent(notes: Sequence[ScoreNote]) -> Extent:
    left = right = 0.0
    for note in notes:
        half = width_pt(str(note.fret), paper.FRET_PT, bold=True) / 2
        reach = half
        if note.technique is Technique.SLIDE:
            reach += SLIDE_ROOM_PT
        if note.slide_from is not None:
            reach += width_pt(str(note.slide_from.fret), paper.GRACE_PT, bold=True)
        left, right = max(left, reach), max(right, half)
    return left, right


def _counts(exercise: Exercise, bars: Sequence[Bar]) -> Mapping[Fraction, list[Count]]:
    """The words of the count by the onset of the sign under which they stand; beats without an onset in brackets."""
    meter = exercise.meter
    signs = [sign for bar in bars for sign in bar.voices[0]]
    words = counted_moments([note.onset_quarters for note in exercise.notes], meter, signs[-1].end_quarters)
    moments = list(words)
    return {
        sign.onset_quarters: [
            Count(
                (moment - sign.onset_quarters) / sign.duration_quarters,
                words[moment],
                is_beat=moment % meter.beat_quarters == 0 and not words[moment].startswith("("),
            )
            for moment in moments[bisect_left(moments, sign.onset_quarters) : bisect_left(moments, sign.end_quarters)]
        ]
        for sign in signs
    }


def natural_widths_pt(columns: Sequence[Column]) -> list[float]:
    """The room from each column to the next as the durations ask for it, where there is enough."""
    shortest = min(column.sign.duration_quarters for column in columns)
    widths = []
    for column, following in zip(columns, [*columns[1:], None], strict=True):
        by_time = _NARROWEST_PT * float(column.sign.duration_quarters / shortest) ** _SPACE_POWER
        # Before a bar line only the column itself counts: the next one has its own lead after the line.
        neighbour = None if following is None or following.begins_bar else following
        widths.append(max(column.distance_pt(neighbour), min(by_time, 5 * _NARROWEST_PT)))
    return widths
