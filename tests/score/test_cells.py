import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.score.cell_words import cells_of, cells_text
from trainer.score.cells import (
    REST,
    TIE,
    Arpeggio,
    Cell,
    Choice,
    Ground,
    Mixed,
    Orders,
    Pattern,
    Pedal,
    Run,
    Sequence,
    Skips,
    Step,
    mirrored,
)
from trainer.score.errors import Unplayable
from trainer.theory.naming import UnknownWord
from trainer.theory.technique import Technique


def fours(*directions: int) -> Sequence:
    return Sequence((0, 1, 2, 3), directions)


def numbers(text: str, step_count: int) -> list[list[int]]:
    [cell] = cells_of(text)
    return [[step.numbers[0] for step in group] for group in cell.groups(Ground(step_count, 1))]


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("down", (Run((-1,)),)),
        ("up and down", (Run((1, -1)),)),
        ("up then down", (Run((1,)), Run((-1,)))),
        ("fours down", (fours(-1),)),
        ("five down", (Sequence((0, 1, 2, 3, 4), (-1,)),)),
        ("two fours down, then a five down", (fours(-1), fours(-1), Sequence((0, 1, 2, 3, 4), (-1,)))),
        ("3 threes up", (Sequence((0, 1, 2), (1,)),) * 3),
        (
            "steps 1 h2 | 4 p3 2+4 0 then up",
            (
                Pattern(
                    (
                        (Step((1,)), Step((2,), Technique.HAMMER)),
                        (Step((4,)), Step((3,), Technique.PULL), Step((2, 4)), Step((0,))),
                    )
                ),
                Run((1,)),
            ),
        ),
    ],
)
def test_cells_are_read(text: str, cells: tuple[Cell, ...]) -> None:
    assert cells_of(text) == cells


@pytest.mark.parametrize(
    ("text", "word", "nearest"),
    [
        ("fuors down", "fuors", "fours"),
        ("fours dwn", "dwn", "down"),
        ("fours", "", None),
        ("fours down than up", "than", "then"),
        ("up and up", "up", None),
        ("steps 1 x", "x", None),
        ("steps", "", None),
        ("steps 1 | | 2", "", None),
        ("pedal", "", None),
        ("string skip up", "skip", "skips"),
        ("seventh cords up", "cords", "chords"),
        ("mixed up", "up", None),
        ("orders of 1 2 2", "1 2 2", None),
        ("orders of 1 2 3 4 5 6", "1 2 3 4 5 6", None),
        ("up or down", "", None),
        ("arpeggio 13 up", "13", None),
    ],
)
def test_a_slip_in_a_cell_is_named(text: str, word: str, nearest: str | None) -> None:
    with pytest.raises(UnknownWord) as caught:
        cells_of(text)

    assert (caught.value.word, caught.value.nearest) == (word, nearest)


def test_a_run_plays_its_turning_note_once() -> None:
    assert numbers("up and down", 4) == [[1, 2, 3, 4, 3, 2, 1]]
    assert numbers("down and up", 3) == [[3, 2, 1, 2, 3]]


def test_a_sequence_has_as_many_groups_as_fit() -> None:
    assert numbers("fours up", 6) == [[1, 2, 3, 4], [2, 3, 4, 5], [3, 4, 5, 6]]
    assert numbers("threes down", 4) == [[4, 3, 2], [3, 2, 1]]


def test_groups_of_g_over_n_notes_are_n_minus_g_plus_one() -> None:
    """Counting, and common practice: a box of 12 notes holds 9 fours and 8 fives."""
    assert len(numbers("fours up", 12)) == 9
    assert len(numbers("fives up", 12)) == 8


@pytest.mark.parametrize("size", range(2, 9))
@pytest.mark.parametrize("name", ["twos", "threes", "fours", "fives", "sixes", "sevens", "eights"])
def test_turning_groups_go_down_the_steps_that_they_came_up(name: str, size: int) -> None:
    ups, downs = numbers(f"{name} up", size + 4), numbers(f"{name} down", size + 4)

    assert numbers(f"{name} up and down", size + 4) == ups + downs
    assert downs == [group[::-1] for group in reversed(ups)]


def test_intervals_are_pairs_that_lie_so_many_notes_of_the_scale_apart() -> None:
    assert numbers("thirds up", 5) == [[1, 3], [2, 4], [3, 5]]
    assert numbers("fourths down", 5) == [[5, 2], [4, 1]]
    assert numbers("sixths up and down", 7) == [[1, 6], [2, 7], [7, 2], [6, 1]]


def test_triads_and_seventh_chords_are_every_other_note_from_each_step() -> None:
    assert numbers("triads up", 6) == [[1, 3, 5], [2, 4, 6]]
    assert numbers("seventh chords down", 8) == [[8, 6, 4, 2], [7, 5, 3, 1]]


def test_a_figure_moves_through_the_position() -> None:
    assert numbers("figure 1 3 2 4 up and down", 5) == [[1, 3, 2, 4], [2, 4, 3, 5], [5, 3, 4, 2], [4, 2, 3, 1]]


def test_string_skips_play_a_string_the_next_but_one_and_the_one_between() -> None:
    [cell] = cells_of("string skips up")

    groups = cell.groups(Ground(strings=4, notes_a_string=2))

    assert [[step.numbers[0] for step in group] for group in groups] == [[1, 2], [5, 6], [3, 4], [7, 8]]
    with pytest.raises(Unplayable, match="needs at least three"):
        cell.groups(Ground(strings=2, notes_a_string=2))


def test_a_pedal_note_comes_before_each_other_note() -> None:
    assert numbers("pedal up", 4) == [[1, 2], [1, 3], [1, 4]]
    assert numbers("pedal down", 4) == [[4, 3], [4, 2], [4, 1]]


def test_lengths_take_turns() -> None:
    assert [len(group) for group in numbers("mixed 4 4 5 up", 9)] == [4, 4, 5, 4, 4]
    assert numbers("mixed 2 3 down", 4) == [[4, 3], [3, 2, 1], [2, 1]]


def test_lengths_by_chance_are_those_of_their_seed_and_others_in_the_next_position() -> None:
    [cell] = cells_of("mixed 3 4 5 by chance 7 up")

    first, again = (cell.groups(Ground(12, 1)) for _ in range(2))
    turns = {cell.groups(Ground(12, 1, turn=turn)) for turn in range(6)}

    assert first == again
    assert {len(group) for turn in turns for group in turn} == {3, 4, 5}
    assert len(turns) > 1


def test_an_arpeggio_plays_what_belongs_to_the_chord() -> None:
    """In a position that begins on the second degree, the triad on the first is 3 5 1: the second, fourth, seventh."""
    [cell] = cells_of("arpeggio 1 up and down")

    [group] = cell.groups(Ground(strings=3, notes_a_string=3, first_degree=2))

    assert [step.numbers for step in group] == [(2,), (4,), (7,), (9,), (7,), (4,), (2,)]


def test_chords_take_turns_from_one_position_to_the_next() -> None:
    [cell] = cells_of("seventh arpeggio 2 5 up")

    rows = [cell.groups(Ground(7, 1, turn=turn))[0] for turn in range(3)]

    assert [[step.numbers[0] for step in row] for row in rows] == [[1, 2, 4, 6], [2, 4, 5, 7], [1, 2, 4, 6]]
    with pytest.raises(Unplayable, match="there is no chord on 5: the scale has 4 notes"):
        cell.groups(Ground(7, 1, scale_size=4, turn=1))


@pytest.mark.parametrize(("steps", "count"), [("1 2", 2), ("1 2 3", 6), ("1 2 3 4", 24), ("1 2 3 4 5", 120)])
def test_n_steps_have_n_factorial_orders(steps: str, count: int) -> None:
    orders = numbers(f"orders of {steps}", 5)

    assert len({tuple(order) for order in orders}) == len(orders) == count
    assert orders[0] == [int(step) for step in steps.split()]


def test_one_order_for_each_position() -> None:
    [cell] = cells_of("orders of 1 2 3 in turn")

    rows = [cell.groups(Ground(3, 1, turn=turn)) for turn in range(7)]

    assert [len(row) for row in rows] == [1] * 7
    assert len(set(rows)) == 6
    assert rows[6] == rows[0]


def test_one_of_several_cells_is_drawn_for_each_position() -> None:
    [cell] = cells_of("fours down or threes up by chance 3")

    drawn = {cell.groups(Ground(4, 1, turn=turn)) for turn in range(12)}

    assert drawn == {fours(-1).groups(Ground(4, 1)), Sequence((0, 1, 2), (1,)).groups(Ground(4, 1))}


def test_upside_down_twice_is_the_same() -> None:
    text = "fours up then steps 1 h2 4+5 then pedal down then orders of 1 2 then up or down by chance 2"

    for cell in cells_of(text):
        assert mirrored(cell, 5) != cell
        assert mirrored(mirrored(cell, 5), 5) == cell


NUMBERS = st.lists(st.integers(1, 9), min_size=1, max_size=5)
UNLIKE = st.lists(st.integers(1, 9), min_size=1, max_size=4, unique=True)
WAYS = st.sampled_from([(1,), (-1,), (1, -1), (-1, 1), (1, -1, 1)])
SEEDS = st.integers(0, 999_999)
STEPS = st.builds(
    Step,
    st.lists(st.integers(-9, 30), min_size=1, max_size=3).map(tuple),
    st.sampled_from([None, Technique.HAMMER, Technique.PULL, Technique.SLIDE]),
)
GROUPS = st.builds(
    lambda first, rest: (first, *rest), STEPS, st.lists(STEPS | st.sampled_from([REST, TIE]), max_size=4)
)
SINGLE = st.one_of(
    st.builds(Run, WAYS),
    st.builds(lambda row, ways: Sequence(tuple(n - min(row) for n in row), ways), NUMBERS, WAYS),
    st.builds(Mixed, NUMBERS.map(tuple), WAYS, st.none() | SEEDS),
    st.builds(Skips, WAYS),
    st.builds(Pedal, WAYS),
    st.builds(Arpeggio, NUMBERS.map(tuple), WAYS, st.sampled_from([3, 4])),
    st.builds(Orders, UNLIKE.map(tuple), st.booleans()),
    st.builds(Pattern, st.lists(GROUPS, min_size=1, max_size=3).map(tuple)),
)
CELLS = st.one_of(SINGLE, st.builds(Choice, st.lists(SINGLE, min_size=2, max_size=3).map(tuple), SEEDS))


@given(st.lists(CELLS, min_size=1, max_size=4).map(tuple))
def test_what_is_written_of_cells_reads_back(cells: tuple[Cell, ...]) -> None:
    assert cells_of(cells_text(cells)) == cells


def test_a_group_larger_than_the_position_borrows_from_above() -> None:
    assert numbers("fives down", 4) == [[5, 4, 3, 2, 1]]
    assert numbers("eights up", 6) == [[1, 2, 3, 4, 5, 6, 7, 8]]
