import random

from hypothesis import given
from hypothesis import strategies as st

from trainer.playing.stamps import StampAnchor

_MS = 1_000_000


def test_evenly_played_messages_are_stamped_evenly_once_one_of_them_came_through_at_once() -> None:
    anchor = StampAnchor()
    late_ns = [0, 9 * _MS, 3 * _MS, 15 * _MS, 0, 7 * _MS]

    stamps = [anchor.stamp(1_000 * _MS + 100 * _MS * i + late, 0.1 if i else 0.0) for i, late in enumerate(late_ns)]

    assert stamps == [1_000 * _MS + 100 * _MS * i for i in range(6)]


def test_a_late_first_message_is_forgotten_as_soon_as_one_is_less_late() -> None:
    anchor = StampAnchor()

    stamps = [anchor.stamp(12 * _MS, 0.0), anchor.stamp(104 * _MS, 0.1), anchor.stamp(209 * _MS, 0.1)]

    assert stamps == [12 * _MS, 104 * _MS, 204 * _MS]


def test_stamps_never_run_backwards_when_the_anchor_moves_back() -> None:
    anchor = StampAnchor()

    stamps = [anchor.stamp(50 * _MS, 0.0), anchor.stamp(51 * _MS, 0.01)]

    assert stamps == [50 * _MS, 51 * _MS]


def test_a_port_opened_anew_begins_a_new_sum() -> None:
    anchor = StampAnchor()
    anchor.stamp(0, 0.0)
    anchor.stamp(500 * _MS, 0.5)

    reopened = [anchor.stamp(9_000 * _MS, 0.0), anchor.stamp(9_103 * _MS, 0.1)]

    assert reopened == [9_000 * _MS, 9_100 * _MS]


def test_an_explicit_restart_forgets_where_the_sum_lay() -> None:
    anchor = StampAnchor()
    anchor.stamp(0, 0.0)

    anchor.restart()

    assert anchor.stamp(50 * _MS, 0.0) == 50 * _MS


def test_clocks_that_drift_apart_stay_within_two_milliseconds_over_ten_minutes() -> None:
    drawn = random.Random(4)
    anchor = StampAnchor()
    errors = []

    for i in range(6_000):
        played_ns = 100 * _MS * i
        stamp_ns = anchor.stamp(played_ns + drawn.randint(0, 8 * _MS), 0.1 * (1 - 100e-6) if i else 0.0)
        errors.append(stamp_ns - played_ns)

    assert max(map(abs, errors[50:])) <= 2 * _MS + 300_000  # drift in the window, and the least of some 200 jitters


def test_deltas_that_are_no_times_count_as_zero() -> None:
    anchor = StampAnchor()

    assert [anchor.stamp(5, -1.0), anchor.stamp(7, float("nan"))] == [5, 5]


@given(st.lists(st.tuples(st.integers(0, 300 * _MS), st.floats(0, 0.3)), min_size=1, max_size=60))
def test_stamps_are_in_order_and_never_after_the_arrival(steps: list[tuple[int, float]]) -> None:
    anchor, arrival_ns, last_ns = StampAnchor(), 0, None

    for step_ns, delta in steps:
        arrival_ns += step_ns
        stamp_ns = anchor.stamp(arrival_ns, delta)
        assert stamp_ns <= arrival_ns
        assert last_ns is None or last_ns <= stamp_ns
        last_ns = stamp_ns
