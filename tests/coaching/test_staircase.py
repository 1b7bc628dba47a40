from math import exp, log

import pytest

from trainer.coaching.staircase import Staircase, Steps, weighted


def after(walk: Staircase, outcomes: str) -> Staircase:
    for outcome in outcomes:
        walk = walk.told(clean=outcome == "c")
    return walk


def test_it_goes_up_after_clean_passes_in_a_row_and_down_after_one_spoiled() -> None:
    walk = after(Staircase(100, Steps(in_row=2, up=0.1, down=0.1)), "cccxcc")

    assert [one.qpm for one in walk.passes] == [100, 100, 110.5, 110.5, 100, 100]


def test_a_clean_pass_before_a_spoiled_one_does_not_count_afterwards() -> None:
    assert after(Staircase(100, Steps(in_row=2, up=0.1, down=0.1)), "cxc").tempo() == 90.5


def test_the_figure_is_the_mean_of_the_turns_but_the_first_two() -> None:
    walk = after(Staircase(100, Steps(in_row=1, up=0.1, down=0.1)), "cxcxc")

    assert walk.turns == pytest.approx([log(100) + 0.1, log(100), log(100) + 0.1, log(100)])
    assert walk.found_qpm == pytest.approx(exp(log(100) + 0.05))


def test_without_turns_there_is_no_figure() -> None:
    walk = after(Staircase(100), "ccc")

    assert walk.found_qpm is None
    assert walk.words().startswith("Not enough yet")


def test_steps_out_of_range_are_named() -> None:
    with pytest.raises(ValueError, match="expected 1 to 20"):
        Steps(in_row=0)
    with pytest.raises(ValueError, match="step down 0: expected over 0"):
        Steps(down=0)
    with pytest.raises(ValueError, match="expected between 0 and 1"):
        weighted(1.0)
