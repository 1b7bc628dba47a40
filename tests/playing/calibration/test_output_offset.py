import random
from math import comb
from statistics import median

import pytest

from trainer.playing.calibration.output_offset import (
    BEAT_NS,
    LEAST_TAPS,
    MOST_TAPS,
    NOT_COUNTED,
    OffsetTaps,
    _outer,
)
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.theory.tuning import TUNINGS

MS = 1_000_000
STANDARD = TUNINGS["standard"]
START_NS = 5_000 * MS


def tapped(*late_ms: float, profile: PickupProfile | None = None) -> OffsetTaps:
    """Taps so late, one a beat, after those that are not counted."""
    taps = OffsetTaps(profile or PickupProfile(), STANDARD, START_NS)
    for beat, late in enumerate((*[0.0] * NOT_COUNTED, *late_ms)):
        taps.tap(START_NS + beat * BEAT_NS + round(late * MS))
    return taps


def test_the_median_of_the_taps_is_the_offset_whatever_a_stray_one_does() -> None:
    taps = tapped(*[40.0, 42.0, 44.0] * 4, -300.0)

    fit = taps.fit

    assert fit is not None
    assert (fit.taps, fit.median_ms) == (13, 42.0)
    assert fit.spread_ms == pytest.approx(1.4826 * 2)
    assert (fit.low_ms, fit.high_ms) == (40.0, 44.0)
    assert taps.is_finished
    assert taps.words == "13 notes, 42 ms after the click, spread 3 ms, known to within 2 ms. That is enough."


def test_too_few_taps_say_nothing_but_how_many_are_missing() -> None:
    taps = tapped(*[40.0] * (LEAST_TAPS - 3))

    assert taps.fit is None
    assert not taps.is_finished
    assert taps.words == "Play a note on each click, on any string: 3 more, at least."


def test_unsteady_taps_ask_for_more_of_them() -> None:
    taps = tapped(*[-30.0, -10.0] * 6)

    assert not taps.is_finished
    assert taps.words == ("12 notes, 20 ms before the click, spread 15 ms, known to within 10 ms. About 36 more.")


def test_unsteady_taps_end_at_the_most_that_are_taken() -> None:
    taps = tapped(*[-30.0, 30.0] * (MOST_TAPS // 2))

    assert taps.is_finished
    assert taps.words.endswith("It will not be known better than that.")


def test_the_first_taps_the_rest_of_a_chord_and_what_comes_before_the_click_are_left_out() -> None:
    taps = OffsetTaps(PickupProfile(), STANDARD, START_NS)

    for onset_ms in (3_000, 5_000, 5_800, 6_600, 6_610, 6_700, 7_390):
        taps.tap(onset_ms * MS)

    assert taps.late_ms == [0.0, -10.0]


@pytest.mark.parametrize("late_ms", [-399.0, -250.0, 250.0, 399.0])
def test_an_output_that_is_late_by_a_third_of_a_second_is_still_told_from_an_early_one(late_ms: float) -> None:
    assert tapped(late_ms).late_ms == [late_ms]


def test_the_pickups_own_latency_is_taken_off() -> None:
    taps = OffsetTaps(PickupProfile(latency_ns=20 * MS), STANDARD, START_NS)

    for beat in range(NOT_COUNTED + 3):
        stamp_ns = START_NS + beat * BEAT_NS + 65 * MS
        taps.feed(StampedMessage(stamp_ns, bytes((0x90 | beat % 2, 64 - 5 * (beat % 2), 90))))

    assert taps.late_ms == [45.0, 45.0, 45.0]


@pytest.mark.parametrize(("count", "outer"), [(6, 0), (10, 1), (20, 5), (60, 21)])
def test_the_interval_leaves_out_as_many_as_tables_of_the_sign_test_say(count: int, outer: int) -> None:
    # Critical values of the two-sided sign test at 5 %, handbook tables (n = 10: 1, n = 20: 5, n = 60: 21).
    assert _outer(count) == outer
    assert 2 * sum(comb(count, k) for k in range(outer + 1)) / 2**count <= 0.05


def test_the_interval_holds_the_truth_as_often_as_it_says() -> None:
    chance = random.Random(7)
    held = 0
    for _ in range(1_000):
        fit = tapped(*(chance.gauss(60, 14) for _ in range(16))).fit
        assert fit is not None
        held += fit.low_ms <= 60 <= fit.high_ms

    assert held >= 930


def test_taps_of_a_usual_player_find_the_offset_within_a_minute() -> None:
    chance = random.Random(11)
    counts, errors = [], []
    for _ in range(200):
        taps = OffsetTaps(PickupProfile(), STANDARD, START_NS)
        beat = 0
        while not taps.is_finished:
            taps.tap(START_NS + beat * BEAT_NS + round(chance.gauss(35, 9) * MS))
            beat += 1
        fit = taps.fit
        assert fit is not None
        counts.append(fit.taps)
        errors.append(abs(fit.median_ms - 35))

    assert median(counts) * BEAT_NS <= 60_000 * MS
    assert sum(error <= 6 for error in errors) >= 0.95 * len(errors)
