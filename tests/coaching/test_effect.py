from tests.coaching.players import Player
from trainer.coaching.effect import effect_on
from trainer.coaching.transitions import weigh

SLOW, DRILLED = Player(spread_ms=6, late_ms={9: 40}), Player(spread_ms=6, late_ms={9: 5})


def test_what_got_better_is_said_with_its_interval() -> None:
    effect = effect_on(weigh(SLOW.passes(8, 1)), weigh(DRILLED.passes(8, 2)), 9)

    assert effect is not None
    assert effect.is_certain
    low, high = effect.change_interval_ms
    assert low < -35 < high
    assert effect.words.startswith("From note 8 to 9: ")
    assert "chance" not in effect.words


def test_no_change_may_be_chance_and_is_called_that() -> None:
    effect = effect_on(weigh(SLOW.passes(8, 1)), weigh(SLOW.passes(8, 2)), 9)

    assert effect is not None
    assert not effect.is_certain
    assert "that may be chance" in effect.words


def test_one_pass_tells_no_change() -> None:
    assert effect_on(weigh(SLOW.passes(8, 1)), weigh(DRILLED.passes(1, 2)), 9) is None
