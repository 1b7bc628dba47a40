import pytest

from trainer.score.cells import Cell, Pattern, Run, Sequence, Step, cells_of
from trainer.theory.naming import UnknownWord
from trainer.theory.technique import Technique


def numbers(text: str, step_count: int) -> list[list[int]]:
    [cell] = cells_of(text)
    return [[step.numbers[0] for step in group] for group in cell.groups(step_count)]


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("down", (Run((-1,)),)),
        ("up and down", (Run((1, -1)),)),
        ("up then down", (Run((1,)), Run((-1,)))),
        ("fours down", (Sequence(4, -1),)),
        ("five down", (Sequence(5, -1),)),
        ("two fours down, then a five down", (Sequence(4, -1), Sequence(4, -1), Sequence(5, -1))),
        ("3 threes up", (Sequence(3, 1),) * 3),
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


def test_a_group_larger_than_the_position_borrows_from_above() -> None:
    assert numbers("fives down", 4) == [[5, 4, 3, 2, 1]]
    assert numbers("eights up", 6) == [[1, 2, 3, 4, 5, 6, 7, 8]]
