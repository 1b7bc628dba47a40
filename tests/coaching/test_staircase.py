from math import exp, log

import pytest

from trainer.coaching.staircase import Staircase, Steps, transformed, weighted


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


def test_the_usual_walk_shows_its_tempo_and_steps_up_by_a_fourth_of_what_it_steps_down() -> None:
    walk = Staircase(100)

    assert not walk.is_hidden
    assert walk.steps == Steps(in_row=1, up=0.025, down=0.1) == Steps() == weighted(0.8)
    assert transformed(3) == Steps(in_row=3, up=0.04, down=0.04)


def test_it_is_over_after_its_last_pass_and_not_before() -> None:
    walk = after(Staircase(100, most_passes=3), "cc")
    over = walk.told(clean=True)

    assert (walk.is_over, over.is_over, Staircase(100).most_passes) == (False, True, 40)
    with pytest.raises(ValueError, match="all passes are played"):
        over.tempo()


def test_a_walk_that_has_just_set_out_has_not_turned_whichever_way_it_went() -> None:
    assert after(Staircase(100), "x").turns == after(Staircase(100), "c").turns == ()
    assert len(after(Staircase(100), "xc").turns) == 1
    assert after(Staircase(100), "xx").turns == ()


def test_limits_of_the_steps_include_their_edges() -> None:
    assert Steps(1, 1, 1).in_row == 1
    assert Steps(20, 1, 1).in_row == 20
    with pytest.raises(ValueError, match="21 clean passes in a row"):
        Steps(21)
    with pytest.raises(ValueError, match="step up 1"):
        Steps(1, 1.0001, 1)
    with pytest.raises(ValueError, match="share 0"):
        weighted(0.0)


def test_the_words_tell_the_tempo_found_and_the_share_of_clean_passes_there() -> None:
    walk = after(Staircase(100, Steps(in_row=1, up=0.1, down=0.1)), "cxcxc")

    assert walk.words() == "It hovers about ♩ = 105, where 50% of the passes would be clean."
