from fractions import Fraction

import pytest

from tests.tablature.builders import EIGHTH, line_of, note, row_of
from trainer.run import RunPlan
from trainer.score.tempo import Tempo
from trainer.screens.parts import LOOP_PASSES, Part, Selection, bar_of, loop_over, moved, rest_from
from trainer.screens.screen import Command

SIXTEEN_EIGHTHS = row_of(16, EIGHTH)
PLAN = RunPlan(SIXTEEN_EIGHTHS, Tempo(Fraction(60)), passes=3)


def test_going_on_takes_the_bar_from_its_start_and_all_passes_that_remain() -> None:
    part = rest_from(PLAN, 27)

    assert (part.first, part.plan.passes, len(part.plan.exercise.notes)) == (24, 1, 24)
    assert part.plan.exercise.notes[0].onset_quarters == 0
    assert part.in_whole(3) == 27
    assert part.plan.stretch == (24, 47)


def test_going_on_in_the_first_bar_is_the_whole_plan_again() -> None:
    assert rest_from(PLAN, 5) == Part(PLAN)


def test_a_loop_goes_round_what_is_marked_and_knows_where_it_lies() -> None:
    part = loop_over(PLAN, 18, 21)

    assert (part.plan.passes, len(part.plan.exercise.notes), part.is_loop) == (LOOP_PASSES, 4, True)
    assert [part.in_whole(index) for index in (0, 3, 4, 7)] == [18, 21, 18, 21]
    assert part.plan.stretch == (18, 21)


def test_another_tempo_keeps_the_part() -> None:
    faster = PLAN.at_tempo(Fraction(90))

    part = loop_over(PLAN, 18, 21).played_as(faster)

    assert (part.first, part.is_loop, part.plan.tempo, len(part.plan.exercise.notes)) == (18, True, faster.tempo, 4)


def test_a_bar_holds_its_notes() -> None:
    assert bar_of(SIXTEEN_EIGHTHS, 0) == range(8)
    assert bar_of(SIXTEEN_EIGHTHS, 15) == range(8, 16)


@pytest.mark.parametrize(
    ("command", "start", "end"),
    [
        (Command.LEFT, 5, 4),
        (Command.LEFT, 0, 0),
        (Command.RIGHT, 15, 15),
        (Command.PREVIOUS_BAR, 11, 8),
        (Command.PREVIOUS_BAR, 8, 0),
        (Command.NEXT_BAR, 3, 8),
        (Command.NEXT_BAR, 9, 15),
        (Command.FIRST, 9, 0),
        (Command.LAST, 9, 15),
        (Command.LOOP, 9, 9),
    ],
)
def test_the_cursor_moves_by_notes_bars_and_to_the_ends(command: Command, start: int, end: int) -> None:
    assert moved(SIXTEEN_EIGHTHS, start, command) == end


def test_a_mark_on_the_wrong_side_lets_the_other_one_go() -> None:
    assert Selection(3, 9).started_at(10) == Selection(10, None)
    assert Selection(3, 9).ended_at(2) == Selection(None, 2)
    assert Selection(3, 9).started_at(9) == Selection(9, 9)


def test_an_open_end_of_a_selection_is_that_of_a_bar() -> None:
    assert Selection(3, 9).ends(SIXTEEN_EIGHTHS, 0) == (3, 9)
    assert Selection(3, None).ends(SIXTEEN_EIGHTHS, 12) == (3, 7)
    assert Selection(None, 9).ends(SIXTEEN_EIGHTHS, 0) == (8, 9)
    assert Selection().ends(SIXTEEN_EIGHTHS, 12) == (8, 15)


def test_a_bar_without_notes_is_stepped_over() -> None:
    line = line_of([note(0), note(9)], 12)

    assert moved(line, 0, Command.NEXT_BAR) == 1
    assert moved(line, 1, Command.PREVIOUS_BAR) == 0
