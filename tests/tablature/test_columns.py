from fractions import Fraction
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from trainer.score.exercise import Exercise
from trainer.score.notation import rhythm_bars_of
from trainer.tablature.axis import TimeAxis
from trainer.tablature.columns import (
    CLEAR_PX,
    COLUMN_PX,
    SLOWEST_PX_PER_QUARTER,
    Column,
    axis_for,
    columns_of,
    edge_at,
    edges_px,
    number_extent_px,
)
from trainer.tablature.glyphs import TextMetrics
from trainer.theory.fretboard import Location

from .builders import EIGHTH, METRICS, QUARTER, SIXTEENTH, WIDE_METRICS, line_of, note, row_of


def columns(line: Exercise, metrics: TextMetrics = METRICS) -> tuple[Column, ...]:
    return columns_of(line, rhythm_bars_of(line), metrics, 1)


def axis_of(line: Exercise, metrics: TextMetrics = METRICS) -> TimeAxis:
    return axis_for(columns(line, metrics), line.length_quarters, metrics, 1)


def test_sixteenths_get_the_narrowest_column_each() -> None:
    axis = axis_of(row_of(16, SIXTEENTH))

    assert axis.px_per_quarter == COLUMN_PX * 4


def test_twice_as_dense_a_line_is_set_twice_as_wide() -> None:
    axis = axis_of(row_of(32, Fraction(1, 8)))

    assert axis.px_per_quarter == COLUMN_PX * 8


def test_long_notes_are_not_drawn_together() -> None:
    axis = axis_of(row_of(4, Fraction(1)))

    assert axis.px_per_quarter == SLOWEST_PX_PER_QUARTER


def test_one_dense_place_decides_for_the_whole_line() -> None:
    line = line_of([note(0), note(1), note(Fraction(9, 8)), note(2)])

    axis = axis_of(line)

    assert axis.px_per_quarter == COLUMN_PX * 8


def test_the_step_into_the_repeat_counts_too() -> None:
    line = line_of([note(0), note(2), note(Fraction(15, 4))])

    axis = axis_of(line)

    assert axis.px_per_quarter == COLUMN_PX * 4


def test_a_grace_note_needs_room_on_the_left() -> None:
    plain, grace = note(0, fret=12), note(0, fret=12, slide_from=Location(1, 10))

    assert number_extent_px(plain, METRICS, 1) == (10, 10)
    assert number_extent_px(grace, METRICS, 1) == (10 + 10 + 26, 10)


FRETS = st.sampled_from((0, 9, 10, 24))
STEPS = st.sampled_from(
    (Fraction(1, 8), Fraction(1, 7), Fraction(1, 5), SIXTEENTH, Fraction(1, 3), EIGHTH, Fraction(2))
)


@given(st.lists(st.tuples(STEPS, FRETS, st.booleans()), min_size=2, max_size=12))
def test_no_two_neighbouring_numbers_come_nearer_than_the_clear_space(places: list[tuple[Fraction, int, bool]]) -> None:
    onset, notes = Fraction(0), []
    for step, fret, has_grace in places:
        notes.append(note(onset, fret=fret, slide_from=Location(1, 22) if has_grace else None))
        onset += step
    line = line_of(notes, onset)

    axis = axis_of(line, WIDE_METRICS)

    ends = [(axis.x_px(n.onset_quarters), *number_extent_px(n, WIDE_METRICS, 1)) for n in line.notes]
    ends.append((axis.x_px(onset), ends[0][1], ends[0][2]))
    for (x_px, _, right_px), (next_px, left_px, _) in pairwise(ends):
        assert next_px - left_px - (x_px + right_px) >= CLEAR_PX - 1e-6


@given(
    st.lists(st.tuples(st.sampled_from((SIXTEENTH, EIGHTH, 5 * SIXTEENTH, QUARTER)), st.booleans()), min_size=1),
    st.sampled_from((1, 4)),
)
def test_a_bar_line_touches_neither_number_nor_sign(pieces: list[tuple[Fraction, bool]], digits: int) -> None:
    onset, notes = Fraction(0), [note(0)]
    for length, sounds in pieces:
        onset += length
        if sounds:
            notes.append(note(onset, fret=22 if digits > 1 else 2, duration=length))
    line = line_of(notes, -(-(onset + 1) // 4) * 4)

    all_columns, axis = columns(line, WIDE_METRICS), axis_of(line, WIDE_METRICS)

    edges = edges_px(all_columns, axis, 1)
    for bar in range(int(line.length_quarters) // 4):
        at_px = edge_at(Fraction(4 * bar), all_columns, edges, axis)
        for one in all_columns:
            x_px = axis.x_px(one.onset_quarters)
            assert not x_px - one.left_px < at_px < x_px + one.right_px
