"""How late a transition is, on passes whose deviations are known to the last ms.

The first vectors are synthetic: sixteenths at 120 quarters a minute, eight notes, deviations in ms as listed; what is
expected of them follows by arithmetic (and was published with them as mean, spread and fitted interval).
"""

import pytest

from trainer.coaching.lateness import intervals_ms, laid, measured, memory_of
from trainer.coaching.played import Outcome, PlayedPass

GRID_MS = 125.0


def played(*deviations_ms: float, pace: float = 1.0, entries: frozenset[int] = frozenset()) -> PlayedPass:
    due = tuple(GRID_MS * index for index in range(len(deviations_ms)))
    onsets = tuple(at * pace + late for at, late in zip(due, deviations_ms, strict=True))
    return PlayedPass(due, onsets, (Outcome.CLEAN,) * len(due), entries)


def lateness(one: PlayedPass) -> list[float]:
    return [round(late, 6) for late in intervals_ms(one, laid(one).pace).values()]


@pytest.mark.parametrize(
    "deviations", [(0,) * 8, (20,) * 8, (0, -2, -4, -6, -8, -10, -12, -14)], ids=["perfect", "all late", "rushing"]
)
def test_who_is_late_or_rushes_as_a_whole_has_no_late_transition(deviations: tuple[float, ...]) -> None:
    one = played(*deviations)

    assert lateness(one) == [0.0] * 7


def test_one_late_note_makes_one_long_and_one_short_interval() -> None:
    one = played(0, 0, 0, 0, 40, 0, 0, 0)

    assert lateness(one) == [0, 0, 0, 40, -40, 0, 0]


def test_one_late_note_is_late_once_when_the_notes_on_both_sides_are_asked() -> None:
    one = played(0, 0, 0, 0, 40, 0, 0, 0)

    told = measured(one, laid(one), memory=0.5)

    # What the late note adds to the mean of its neighbour's side: 1 / (1 + 1/2 + 1/4 + ...), halved.
    late = [round(told[index].note_late_ms) for index in range(1, 8)]
    assert late[3] == 40
    assert max(late[:3] + late[4:]) <= 0


def test_who_takes_longer_and_goes_on_from_there_is_late_from_there() -> None:
    one = played(0, 0, 0, 0, 0, 0, 0, 0, 40, 40, 40, 40, 40, 40, 40, 40)

    told = measured(one, laid(one), memory=0.5)

    latest = max(told, key=lambda index: told[index].rest_late_ms)
    assert latest == 8
    assert told[8].interval_ms == max(each.interval_ms for each in told.values())


def test_a_wait_begins_anew_and_makes_no_other_transition_late() -> None:
    one = played(0, 0, 0, 0, 900, 900, 900, 900)

    told = measured(one, laid(one), memory=0.5)

    assert [index for index, each in told.items() if each.is_wait] == [4]
    assert told[4].interval_ms == pytest.approx(900)
    assert [round(told[index].note_late_ms, 6) for index in (1, 2, 3, 5, 6, 7)] == [0] * 6


def test_nothing_leads_over_a_jump() -> None:
    one = played(0, 0, 0, 0, 300, 300, 300, 300, entries=frozenset({4}))

    told = measured(one, laid(one), memory=0.5)

    assert 4 not in told
    assert all(abs(each.interval_ms) < 1e-6 for each in told.values())


def test_a_slower_pace_is_no_lateness() -> None:
    assert lateness(played(*(0,) * 8, pace=1.3)) == [0.0] * 7


def test_onsets_that_scatter_each_for_itself_are_remembered_longer_than_a_wandering_pace() -> None:
    # Neighbouring intervals of independent onsets correlate by -1/2 (Wing and Kristofferson 1973), of a walk by 0.
    scatter = played(*[0, 8, -6, 3, -9, 7, 1, -5, 9, -8, 4, -2, 6, -7, 2, 5, -4, -1, 8, -6, 3, -9, 7, -3, 5, -8, 6, 0])
    steps = [5, 4, -6, 7, 3, -8, -5, 6, 6, -4, -7, 3, 8, -2, 5, -6, -3, 7, 2, -5, -6, 4, 8, -7, -1, 6, 3, -4]
    walk = played(*[sum(steps[: index + 1]) for index in range(len(steps))])

    assert memory_of([laid(scatter)]) > 0.6
    assert memory_of([laid(walk)]) < 0.3
