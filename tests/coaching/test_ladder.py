from typing import TypeVar

import pytest

from trainer.coaching.asking import Procedure
from trainer.coaching.ladder import Bursts, Ladder, Leaps, Mixture, Rungs, Shuffled

P = TypeVar("P", bound=Procedure)


def after(procedure: P, outcomes: str) -> P:
    for outcome in outcomes:
        procedure = procedure.told(clean=outcome == "c")
    return procedure


def tempi(procedure: Procedure) -> list[float]:
    return [one.qpm for one in procedure.passes]


def test_a_ladder_goes_up_after_so_many_clean_passes_in_a_row() -> None:
    ladder = after(Ladder(80), "ccxcccc")

    assert tempi(ladder) == [80, 80, 80, 80, 80, 80, 84]
    assert ladder.words() == "Clean 3 times in a row up to ♩ = 80."


def test_a_ladder_without_a_step_down_stays_where_the_player_fails() -> None:
    assert tempi(after(Ladder(80, Rungs(in_row=1)), "ccxxxxx")) == [80, 84, 88, 88, 88, 88, 88]


def test_a_ladder_with_a_step_down_goes_down_after_two_spoiled_passes_in_a_row() -> None:
    rungs = Rungs(in_row=3, up=8, down=4)

    assert tempi(after(Ladder(80, rungs), "cccxcxxc")) == [80, 80, 80, 88, 88, 88, 88, 84]


def test_steps_can_be_per_cent() -> None:
    assert after(Ladder(100, Rungs(in_row=1, up=5, in_percent=True)), "cc").tempo() == 110.2


def test_bursts_come_after_the_easy_passes_and_raise_them_when_clean() -> None:
    bursts = after(Bursts(80, Leaps(easy_passes=2, over_percent=25, rise_percent=5)), "cccccxc")

    assert tempi(bursts) == [80, 80, 100, 84, 84, 105, 84]
    assert bursts.words() == "1 of 2 bursts clean, the fastest at ♩ = 100."


def test_shuffled_tempi_all_come_once_before_any_comes_again_and_are_hidden() -> None:
    shuffled = after(Shuffled(100, Mixture(tempi=3, around_percent=20, times=2, seed=4)), "ccxccx")

    assert sorted(tempi(shuffled)[:3]) == sorted(tempi(shuffled)[3:]) == [83.3, 100, 120]
    assert shuffled.is_hidden
    assert shuffled.is_over


def test_shuffled_tempi_come_in_the_order_of_their_seed() -> None:
    orders = {tuple(tempi(after(Shuffled(100, Mixture(seed=seed)), "c" * 5))) for seed in range(8)}

    assert len(orders) > 4
    assert tempi(after(Shuffled(100), "ccccc")) == tempi(after(Shuffled(100), "xxxxx"))


def test_what_was_clean_at_each_hidden_tempo_is_shown_afterwards() -> None:
    shuffled = Shuffled(100, Mixture(tempi=2, around_percent=25, times=2))
    while not shuffled.is_over:
        shuffled = shuffled.told(clean=shuffled.tempo() < 100)

    assert shuffled.words() == "Clean: 2 of 2 at ♩ = 80, 0 of 2 at ♩ = 125."


def test_no_ladder_leaves_what_can_be_asked() -> None:
    top = after(Ladder(395, Rungs(in_row=1, up=50)), "ccc")
    bottom = after(Ladder(25, Rungs(down=50, spoiled_in_row=1)), "xxx")

    assert tempi(top) == [395, 400, 400]
    assert tempi(bottom) == [25, 20, 20]


@pytest.mark.parametrize("procedure", [after(Ladder(80, most_passes=2), "cx"), after(Bursts(80, most_passes=1), "c")])
def test_nothing_is_asked_when_it_is_over(procedure: Procedure) -> None:
    with pytest.raises(ValueError, match="nothing more is asked"):
        procedure.tempo()


def test_settings_out_of_range_are_named() -> None:
    with pytest.raises(ValueError, match="expected 1 to 20 each"):
        Rungs(in_row=0)
    with pytest.raises(ValueError, match="expected over 0, and 0, up to 50"):
        Rungs(up=0)
    with pytest.raises(ValueError, match="expected up to 100 and 0 to 20"):
        Leaps(over_percent=120)
    with pytest.raises(ValueError, match="expected 2 to 15 tempi"):
        Mixture(tempi=1)
