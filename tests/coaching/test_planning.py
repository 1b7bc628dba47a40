from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.coaching.known import Known, KnownLine, KnownWeakness
from trainer.coaching.plan import PLAYED_AT_MOST, Item, Kind, Plan, PlanError
from trainer.coaching.planning import LONGEST, SHORTEST, gap_days, planned
from trainer.score.exercise import Exercise
from trainer.score.library import load_all
from trainer.theory.naming import UnknownWord

WEAKNESS = KnownWeakness("two-gates", 6, 7, "Notes 7 to 8 came 25 ms late over 20 passes.")
SEASONED = Known(
    {
        "first-stones": KnownLine("first-stones", days_ago=9, days_played=3, passes=12, clean_passes=9, clean_qpm=80),
        "garden-wall": KnownLine("garden-wall", days_ago=1, days_played=4, passes=8, clean_passes=2, clean_qpm=90),
        "two-gates": KnownLine("two-gates", days_ago=0, days_played=2, passes=20, clean_passes=0),
    },
    WEAKNESS,
)


@cache
def shipped() -> tuple[Exercise, ...]:
    return load_all()[0]


def plan(minutes: int = 45, known: Known | None = None, goal: str = "") -> Plan:
    return planned(minutes, shipped(), known, goal)


def of_kind(made: Plan, kind: Kind) -> list[Item]:
    return [item for item in made.items if item.kind is kind]


def exercise_of(item: Item) -> str:
    assert item.choice is not None
    return item.choice.exercise


@given(
    st.integers(SHORTEST, LONGEST),
    st.sampled_from([Known(), SEASONED]),
    st.sampled_from(["", "two-gates", "step 4", "Odd groups"]),
)
@settings(max_examples=30, deadline=None)
def test_a_plan_fills_its_minutes_and_never_plays_twenty_on_end(minutes: int, known: Known, goal: str) -> None:
    made = plan(minutes, known, goal)

    assert made.minutes == minutes
    assert made.longest_stretch_minutes <= PLAYED_AT_MOST
    assert not made.items[0].is_break
    assert made.items[-1].kind is Kind.MUSIC
    assert all(item.minutes >= 1 for item in made.items)


@pytest.mark.parametrize("minutes", [SHORTEST - 1, LONGEST + 1])
def test_minutes_out_of_range_are_refused(minutes: int) -> None:
    with pytest.raises(ValueError, match=f"{minutes} minutes: expected 5 to 180"):
        plan(minutes)


def test_without_a_history_it_says_what_it_does_not_know() -> None:
    made = plan(45)

    assert made.remarks[0].startswith("Nothing is known of your playing yet")
    assert "No drill: no passes have been played." in made.remarks
    assert not of_kind(made, Kind.DRILL)
    assert not of_kind(made, Kind.REVIEW)
    assert {item.choice.measured for item in of_kind(made, Kind.LINE) if item.choice} == {
        "Not played yet: nothing was measured."
    }


def test_lines_come_by_themselves_first_and_then_in_turn() -> None:
    kinds = [item.kind for item in plan(45).items if item.kind in {Kind.LINE, Kind.SLOT}]
    slots = of_kind(plan(45), Kind.SLOT)

    assert kinds == [Kind.LINE] * 3 + [Kind.SLOT] * (len(kinds) - 3)
    assert len({exercise_of(slot) for slot in slots[:3]}) == 3
    assert all(2 <= slot.minutes <= 4 for slot in slots)


def test_what_is_known_gives_a_drill_a_review_and_measured_reasons() -> None:
    made = plan(45, SEASONED, "two-gates")
    (drill,) = of_kind(made, Kind.DRILL)
    (review,) = of_kind(made, Kind.REVIEW)

    assert drill.choice is not None
    assert (drill.choice.exercise, drill.choice.stretch, drill.choice.measured) == (
        "two-gates",
        (5, 8),
        WEAKNESS.sentence,
    )
    assert review.choice is not None
    assert review.choice.exercise == "first-stones"  # due after 4 days, 9 ago; the garden wall after 8, 1 ago
    assert review.choice.why.startswith(
        "It is due again: played on 3 days, reviewed after about 4 days, last 9 days ago"
    )
    assert exercise_of(of_kind(made, Kind.LINE)[0]) == "two-gates"


def test_gaps_between_reviews_double_by_days_and_end() -> None:
    assert [gap_days(days) for days in (0, 1, 2, 3, 6, 7, 900)] == [1, 1, 2, 4, 32, 32, 32]


def test_two_new_lines_of_one_family_are_not_begun_on_one_day() -> None:
    family = {line.name: line.family or line.name for line in shipped()}
    made = plan(60, goal="Slurs")
    names = {exercise_of(item) for item in of_kind(made, Kind.LINE)}

    assert len({family[name] for name in names}) == len(names)


def test_a_goal_that_is_none_names_the_nearest() -> None:
    with pytest.raises(UnknownWord, match="nearest: 'two-gates'"):
        plan(45, goal="tow-gates")


def test_a_swapped_line_is_swapped_in_all_its_slots_and_can_come_back() -> None:
    made = plan(45)
    line = of_kind(made, Kind.LINE)[0]

    swapped = made.swapped(line.number)

    assert exercise_of(line) not in {exercise_of(item) for item in swapped.items if item.kind in {Kind.LINE, Kind.SLOT}}
    assert swapped.minutes == made.minutes
    assert exercise_of(line) in {other.exercise for other in swapped.item(line.number).others}


def test_a_break_cannot_be_swapped() -> None:
    made = plan(45)
    (rest,) = of_kind(made, Kind.BREAK)

    with pytest.raises(PlanError, match="is a break"):
        made.swapped(rest.number)


def test_a_skipped_break_gives_no_playing_and_leaves_a_sentence() -> None:
    made = plan(45)
    (rest,) = of_kind(made, Kind.BREAK)

    skipped = made.skipped(rest.number)

    assert skipped.minutes == 40
    assert skipped.longest_stretch_minutes == 40
    assert skipped.remarks[-1].startswith(f"Break {rest.number} is skipped: 40 minutes are played on end")
    assert "not played instead" in skipped.remarks[-1]


def test_a_skipped_item_shortens_the_plan_and_keeps_the_numbers() -> None:
    made = plan(45)

    skipped = made.skipped(2)

    assert skipped.minutes == made.minutes - made.item(2).minutes
    assert [item.number for item in skipped.items] == [1, *range(3, len(made.items) + 1)]
    with pytest.raises(PlanError, match="there is no item 2 in the plan"):
        skipped.skipped(2)


def test_the_last_item_to_play_cannot_be_skipped() -> None:
    made = plan(5).skipped(1).skipped(2)

    with pytest.raises(PlanError, match="all that is left"):
        made.skipped(3)


def test_minutes_of_a_break_are_never_given_to_playing() -> None:
    made = plan(90)
    played = sum(item.minutes for item in made.items if not item.is_break)

    for rest in of_kind(made, Kind.BREAK):
        made = made.skipped(rest.number)

    assert sum(item.minutes for item in made.items) == played
