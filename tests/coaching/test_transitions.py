"""What is called weak, with players whose truth is known; rates are counted over seeded trials.

The trials here are few, to be quick; each bound is the goal less what chance takes from so many trials (binomial, one
run in a thousand). `python -m tests.benchmarks.coach` prints the rates over many.
"""

from dataclasses import replace

import pytest

from tests.coaching.players import Player, heavy, lapsing
from trainer.coaching.played import Outcome
from trainer.coaching.transitions import Weakness, Weighing, weigh

TRIALS = 16
PLANTED = 11


def first_in(player: Player, passes: int = 5, *, trials: int = TRIALS, is_timed: bool = True) -> int:
    """In how many of the trials the planted transition ranks first."""
    return sum(
        weigh(player.passes(passes, seed), is_timed=is_timed).ranked[0].to_index == PLANTED for seed in range(trials)
    )


@pytest.mark.parametrize("spread_ms", [8, 10])
def test_a_late_note_ranks_first_after_five_passes(spread_ms: float) -> None:
    assert first_in(Player(spread_ms=spread_ms, late_ms={PLANTED: 25})) >= 13


def test_a_slow_transition_at_ones_own_pace_ranks_first_after_five_passes() -> None:
    assert first_in(Player(stays_late_ms={PLANTED: 25}, pace=1.2), is_timed=False) >= 13


def test_a_slow_transition_in_a_wandering_pace_ranks_first_after_five_passes() -> None:
    assert first_in(Player(spread_ms=8, carries=1.0, late_ms={PLANTED: 25}), is_timed=False) >= 13


def test_a_late_note_that_is_made_good_by_and_by_ranks_first() -> None:
    assert first_in(Player(carries=0.5, late_ms={PLANTED: 25})) >= 13


def test_a_transition_twice_as_unsteady_ranks_first_after_twenty_passes() -> None:
    assert first_in(Player(times_unsteady={PLANTED: 2.0}), passes=20, trials=6) >= 4


@pytest.mark.parametrize(
    "player",
    [
        Player(),
        Player(chance=heavy),
        Player(chance=lapsing),
        Player(carries=1.0),
        Player(learns=0.7),
        Player(rush_ms=2.0),
        Player(miss_rate=0.03),
    ],
    ids=["normal", "heavy tails", "lapses", "wandering", "learning", "rushing", "missing at random"],
)
def test_an_even_player_is_told_of_no_weakness(player: Player) -> None:
    named = sum(bool(weigh(player.passes(5, seed)).weak) for seed in range(TRIALS))

    # Of 16 trials at one in twenty, more than 4 are named once in a thousand runs.
    assert named <= 4


def test_a_note_that_is_missed_again_and_again_is_weak_by_failing() -> None:
    weighing = weigh(Player(miss_rates={PLANTED: 0.8}, miss_rate=0.01).passes(8, seed=4))

    worst = weighing.ranked[0]
    assert (worst.to_index, worst.kind, worst.is_weak) == (PLANTED, Weakness.FAILING, True)
    assert worst.misses >= 4


def test_the_notes_on_both_sides_of_a_late_one_are_not_called_weak() -> None:
    weighing = weigh(Player(spread_ms=6, late_ms={PLANTED: 40}).passes(10, seed=2))

    assert [each.to_index for each in weighing.weak] == [PLANTED]


def test_two_weak_transitions_are_both_found() -> None:
    weighing = weigh(Player(spread_ms=8, late_ms={6: 35, 22: 30}).passes(10, seed=5))

    assert {each.to_index for each in weighing.weak} == {6, 22}


def test_the_figures_are_those_of_the_interval() -> None:
    passes = [replace(one, played_ms=tuple(one.due_ms)) for one in Player().passes(5, seed=1)]
    late = [
        replace(one, played_ms=tuple(at + (20 + more if index == 4 else 0) for index, at in enumerate(one.due_ms)))
        for one, more in zip(passes, (-4, -2, 0, 2, 4), strict=True)
    ]

    weighing = weigh(late)

    # Far outliers do not pull the pace, so the mean is exact; the sample deviation of -4, -2, 0, 2, 4 is sqrt(10).
    into, out_of = weighing.transitions[3], weighing.transitions[4]
    assert (into.from_index, into.to_index, into.attempts, into.timed, into.misses) == (3, 4, 5, 5, 0)
    assert into.late_ms == pytest.approx(20)
    assert into.spread_ms == pytest.approx(10**0.5)
    assert out_of.late_ms == pytest.approx(-20)
    assert weighing.ranked[0] == into


def test_the_interval_holds_the_truth_about_as_often_as_it_says() -> None:
    held = sum(
        low <= 25 <= high
        for seed in range(60)
        for low, high in [
            weigh(Player(late_ms={PLANTED: 25}).passes(3, seed)).transitions[PLANTED - 1].late_interval_ms
        ]
    )

    assert 50 <= held <= 60


@pytest.mark.parametrize(("passes", "more"), [(0, 5), (1, 4), (4, 1), (5, 0)])
def test_few_passes_are_not_enough_whatever_they_say(passes: int, more: int) -> None:
    weighing = weigh(Player(spread_ms=2, late_ms={PLANTED: 60}).passes(passes, seed=1))

    assert (weighing.is_enough, weighing.more_needed) == (more == 0, more)
    assert bool(weighing.weak) == (more == 0)


def test_the_same_passes_give_the_same_answer() -> None:
    passes = Player(late_ms={PLANTED: 25}).passes(5, seed=3)

    assert weigh(passes) == weigh(passes)


def test_ranks_count_every_transition_once() -> None:
    weighing = weigh(Player(late_ms={PLANTED: 25}).passes(6, seed=3))

    assert sorted(each.rank for each in weighing.transitions) == list(range(1, 32))


def test_passes_of_different_lines_are_refused() -> None:
    with pytest.raises(ValueError, match="passes of one line"):
        weigh([*Player().passes(1, 1), *Player(notes=20).passes(1, 1)])


def test_a_note_that_was_never_reached_is_no_miss() -> None:
    passes = [
        replace(
            one, played_ms=(*one.played_ms[:20], *(None,) * 12), outcomes=(*one.outcomes[:20], *(Outcome.OPEN,) * 12)
        )
        for one in Player().passes(6, seed=1)
    ]

    last = weigh(passes).transitions[-1]

    assert (last.misses, last.attempts, last.late_ms, last.is_weak) == (0, 0, None, False)


def picked_slides(slides: set[int], late: dict[int, float]) -> Weighing:
    """A player who picks every slide, but for that plays evenly, and late at `late`."""
    passes = [
        replace(one, outcomes=tuple(Outcome.OTHERWISE if index in slides else Outcome.CLEAN for index in range(32)))
        for one in Player(spread_ms=6, late_ms=late).passes(6, seed=3)
    ]
    return weigh(passes, ["slide" if index in slides else "pick" for index in range(32)])


def test_who_picks_every_slide_has_not_a_weakness_at_each() -> None:
    assert picked_slides({4, 8, 12, 16, 20, 24}, {}).weak == ()


def test_a_late_transition_is_found_although_every_slide_is_picked() -> None:
    weighing = picked_slides({4, 8, 12, 16, 20, 24}, {PLANTED: 30})

    assert [each.to_index for each in weighing.weak] == [PLANTED]
