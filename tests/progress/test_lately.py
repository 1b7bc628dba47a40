from datetime import timedelta
from pathlib import Path

from tests.history.builders import NOON, history_of, plan_of, record
from trainer.coaching.drills import drills_for
from trainer.coaching.transitions import Transition
from trainer.progress.lately import LastDrill, last_drill
from trainer.run import RunPlan
from trainer.score.library import load_exercise

LINE = load_exercise("two-gates")


def drill_plan(to_index: int, version: int = 0) -> RunPlan:
    late = Transition(to_index - 1, to_index, 25.0, (15.0, 35.0), 12.0, 8, 0, 8, 357.0, is_weak=True)
    return plan_of(drills_for(LINE, late, LINE.tempo)[version].exercise, passes=1)


def test_the_transition_drilled_last_is_known_with_the_beginning_of_that_day(tmp_path: Path) -> None:
    later = NOON + timedelta(hours=1)
    record(tmp_path, drill_plan(20), when=NOON - timedelta(days=1))
    record(tmp_path, drill_plan(9), when=NOON)
    record(tmp_path, drill_plan(9), when=later)
    record(tmp_path, plan_of(LINE, tempo=84), when=later + timedelta(hours=1))

    with history_of(tmp_path) as history:
        assert last_drill(history, LINE, "") == LastDrill(9, NOON)
        assert last_drill(history, LINE, "somebody") is None
        assert last_drill(history, load_exercise("two-gates-slid"), "") is None


def test_every_transition_is_recognised_from_its_drill_both_ways_that_are_small(tmp_path: Path) -> None:
    wanted = [1, 2, 3, 16, 30]
    for number, to_index in enumerate(wanted):
        record(tmp_path, drill_plan(to_index, number % 2), when=NOON + timedelta(days=number))

        with history_of(tmp_path) as history:
            found = last_drill(history, LINE, "")

        assert found is not None
        assert found.to_index == to_index
