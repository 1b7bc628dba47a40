import pytest

from trainer.coaching.ladder import Bursts, Ladder, Leaps, Mixture, Rungs, Shuffled
from trainer.coaching.ways import Asking, Way
from trainer.coaching.working_tempo import WorkingTempo


def names(asking: Asking) -> list[str]:
    return [setting.name for setting in asking.settings()]


def test_each_way_begins_its_procedure_with_its_own_settings() -> None:
    rungs, leaps, mixture = Rungs(in_row=4, up=3), Leaps(easy_passes=3), Mixture(tempi=4, seed=7)

    asked = [Asking(90, way, rungs, leaps, mixture).procedure() for way in Way]

    assert asked == [WorkingTempo(90), Ladder(90, rungs), Bursts(90, leaps), Shuffled(90, mixture)]


def test_every_setting_that_is_offered_can_be_stepped_both_ways() -> None:
    for way in Way:
        asking = Asking(90, way, Rungs(down=2.0, in_row=3, spoiled_in_row=2))
        for name in names(asking):
            there = asking.stepped(name, 1)

            assert there != asking
            assert there.stepped(name, -1) == asking


def test_a_step_down_is_asked_after_how_many_only_where_there_is_one() -> None:
    without = Asking(90, Way.LADDER)

    assert "down after" not in names(without)
    assert "down after" in names(without.stepped("step down", 1))


@pytest.mark.parametrize(
    ("name", "way", "step"),
    [
        ("first tempo", Way.WORKING, -1),
        ("up after", Way.LADDER, -1),
        ("step down", Way.LADDER, -1),
        ("burst over it by", Way.BURSTS, 1),
        ("each of them", Way.SHUFFLED, 1),
    ],
)
def test_a_setting_stays_at_its_limit(name: str, way: Way, step: int) -> None:
    asking = Asking(90, way)
    for _ in range(60):
        asking = asking.stepped(name, step)

    assert asking.stepped(name, step) == asking
    assert asking.procedure().passes == ()


def test_going_round_the_ways_loses_no_setting() -> None:
    asking = Asking(90, Way.LADDER).stepped("up after", 2)

    round_again = asking
    for _ in Way:
        round_again = round_again.stepped("way", 1)

    assert round_again == asking
