from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.score.errors import Unplayable
from trainer.score.route import AtEnd, Ladder, ListedRoute, Route, RuledRoute, Visit, route_of, route_text, walk
from trainer.theory.naming import UnknownWord


def ladder(lowest: int = 0, highest: int = 11, count: int = 5) -> Ladder:
    """Rungs 0 to 11 of five positions: position 1 on rungs 0, 5 and 10."""
    return Ladder(tuple(range(lowest, highest + 1)), count, lambda rung: f"rung {rung} is off")


def rungs(text: str, on: Ladder | None = None) -> list[int]:
    return [stop.rung for stop in walk(route_of(text), on or ladder())]


@pytest.mark.parametrize(
    ("text", "route"),
    [
        ("4 5 1", ListedRoute((Visit(4), Visit(5), Visit(1)))),
        ("positions 4, 5, up 1", ListedRoute((Visit(4), Visit(5), Visit(1, 1)))),
        ("high 4 down 3 wrapping", ListedRoute((Visit(4), Visit(3, -1)), starts_high=True, at_end=AtEnd.WRAP)),
        ("climb from 2", RuledRoute((1,), 2)),
        ("climb by two from high 2 for 9 stopping", RuledRoute((2,), 2, 9, starts_high=True, at_end=AtEnd.STOP)),
        ("up two, down one from 4 for 6", RuledRoute((2, -1), 4, 6)),
        ("up 3 down 1 down 1 from low 1", RuledRoute((3, -1, -1), 1)),
    ],
)
def test_a_route_is_read(text: str, route: object) -> None:
    assert route_of(text) == route


@pytest.mark.parametrize(
    ("text", "word", "nearest"),
    [
        ("4 5 x", "x", None),
        ("clmb by one from 4", "clmb", "climb"),
        ("climb by won from 4", "won", None),
        ("climb by one fromm 4", "fromm", "from"),
        ("climb by one from 4 turnin", "turnin", "turning"),
        ("climb by one", "", None),
        ("climb by 0 from 4", "0", None),
        ("climb by one from 4 for 0", "0", None),
        ("4 5 wrapping 3", "3", None),
        ("", "", None),
    ],
)
def test_a_slip_in_a_route_is_named(text: str, word: str, nearest: str | None) -> None:
    with pytest.raises(UnknownWord) as caught:
        route_of(text)

    assert (caught.value.word, caught.value.nearest) == (word, nearest)


def test_a_list_takes_the_nearest_form_and_upwards_when_two_are_equally_near() -> None:
    assert rungs("4 5 1 2 3 4") == [3, 4, 5, 6, 7, 8]
    assert rungs("1 5 1") == [5, 4, 5]
    assert [stop.rung for stop in walk(route_of("1 3 1"), ladder(count=4))] == [0, 2, 4]


def test_a_list_begins_on_the_lowest_form_that_lets_all_of_it_lie_on_the_neck() -> None:
    assert rungs("2 1 5 4") == [6, 5, 4, 3]


def test_a_direction_in_a_list_is_taken() -> None:
    assert rungs("1 up 5 down 4 up 4") == [0, 4, 3, 8]


def test_a_list_that_leaves_the_neck_is_refused_unless_it_may_wrap() -> None:
    with pytest.raises(Unplayable, match="position 3 after position 1 is off the neck: rung 12 is off"):
        rungs("1 3 5 2 4 1 3 5 2 4 1")

    assert rungs("1 3 5 2 4 1 3 5 wrapping") == [0, 2, 4, 6, 8, 10, 7, 9]


def test_a_climb_turns_at_the_last_fret_and_ends_before_it_would_begin_again() -> None:
    assert rungs("climb by one from 4", ladder(highest=6)) == [3, 4, 5, 6, 5, 4]


def test_leaps_are_mirrored_where_they_turn() -> None:
    assert rungs("up two down one from 1 for 9", ladder(highest=4)) == [0, 2, 1, 3, 2, 4, 3, 1, 2]


def test_a_rule_may_stop_at_the_end_of_the_neck() -> None:
    assert rungs("climb by one from 4 stopping", ladder(highest=6)) == [3, 4, 5, 6]


def test_a_rule_may_wrap_to_the_low_form() -> None:
    stops = walk(route_of("climb by two from 1 wrapping"), ladder(highest=9))

    assert [stop.rung for stop in stops] == [0, 2, 4, 6, 8]
    wrapped = walk(route_of("climb by two from 1 for 7 wrapping"), ladder(highest=9))
    assert [(stop.rung, stop.has_wrapped) for stop in wrapped[4:]] == [(8, False), (0, True), (2, False)]


def test_a_neck_too_short_for_a_rule_is_refused() -> None:
    with pytest.raises(Unplayable, match="the neck is too short for this route: rung -4 is off"):
        rungs("climb by four from 1", ladder(highest=3))


def test_a_position_that_fits_nowhere_is_refused() -> None:
    with pytest.raises(Unplayable, match="position 5 does not lie whole on this neck anywhere"):
        rungs("5", ladder(highest=3))


rules = st.builds(
    RuledRoute,
    st.lists(st.integers(-4, 4).filter(bool), min_size=1, max_size=3).map(tuple),
    st.integers(1, 5),
    st.none() | st.integers(1, 40),
    st.booleans(),
    st.sampled_from(AtEnd),
)


@given(rules, st.integers(0, 3), st.integers(3, 15))
def test_a_rule_stays_on_the_neck_and_moves_only_as_it_says(rule: RuledRoute, lowest: int, highest: int) -> None:
    on = ladder(lowest, highest)
    try:
        stops = walk(rule, on)
    except Unplayable:
        return

    moves = set(rule.moves) | {-move for move in rule.moves}
    assert all(stop.rung in on.rungs for stop in stops)
    assert all(b.has_wrapped or b.rung - a.rung in moves for a, b in pairwise(stops))
    assert rule.length is None or rule.at_end is AtEnd.STOP or len(stops) == rule.length


def test_the_whole_neck_is_climbed_and_left_again() -> None:
    assert rungs("the whole neck", ladder(0, 3)) == [0, 1, 2, 3, 2, 1]
    assert rungs("down one from highest for 3", ladder(0, 3)) == [3, 2, 1]


VISITS = st.builds(Visit, st.integers(1, 9), st.sampled_from([0, 1, -1]))
LISTS = st.builds(
    ListedRoute, st.lists(VISITS, min_size=1, max_size=6).map(tuple), st.booleans(), st.sampled_from(AtEnd)
)
RULES = st.builds(
    RuledRoute,
    st.lists(st.integers(-9, 9).filter(bool), min_size=1, max_size=4).map(tuple),
    st.none() | st.integers(1, 9),
    st.none() | st.integers(1, 256),
    st.booleans(),
    st.sampled_from(AtEnd),
)


@given(LISTS | RULES)
def test_what_is_written_of_a_route_reads_back(route: Route) -> None:
    assert route_of(route_text(route)) == route
