"""The line through the latencies of the strings: its figures, its robustness and its intervals."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.playing.builders import STANDARD
from trainer.playing.calibration.latency_fit import LEAST_HITS, compensation, fit_latency, frequency_hz, hodges_lehmann

# The open strings E2 to E4 in equal temperament, A4 = 440 Hz, as any table of note frequencies has them.
OPEN_STRINGS_HZ = {40: 82.41, 45: 110.00, 50: 146.83, 55: 196.00, 59: 246.94, 64: 329.63}


def hits(
    constant_ms: float, cycles: float, sd_ms: float = 0.0, count: int = 8, seed: int = 1
) -> dict[int, list[float]]:
    chance = random.Random(seed)
    return {
        pitch: [constant_ms + 1000 * cycles / frequency_hz(pitch) + chance.gauss(0, sd_ms) for _ in range(count)]
        for pitch in STANDARD.open_pitches
    }


def test_the_open_strings_have_the_frequencies_of_the_tables() -> None:
    assert {pitch: round(frequency_hz(pitch), 2) for pitch in OPEN_STRINGS_HZ} == OPEN_STRINGS_HZ


@given(st.floats(-40, 40), st.floats(0, 3))
def test_exact_hits_give_back_the_constant_and_the_cycles(constant_ms: float, cycles: float) -> None:
    fit = fit_latency(hits(constant_ms, cycles))

    assert fit is not None
    assert fit.constant_ms == pytest.approx(constant_ms, abs=1e-6)
    assert fit.cycles == pytest.approx(cycles, abs=1e-6)
    assert fit.spread_ms == pytest.approx(0, abs=1e-6)
    assert fit.uncertainty_ms == pytest.approx(0, abs=1e-6)


def test_a_habit_of_the_player_goes_into_the_constant_and_not_into_the_cycles() -> None:
    without, ahead = fit_latency(hits(3, 2)), fit_latency(hits(3 - 20, 2))

    assert without is not None
    assert ahead is not None
    assert ahead.cycles == pytest.approx(without.cycles)
    assert ahead.constant_ms == pytest.approx(without.constant_ms - 20)


def test_a_quarter_of_the_hits_may_be_anything() -> None:
    astray = hits(3, 2)
    for late_ms in astray.values():
        late_ms[:2] = [180.0, 240.0]

    fit = fit_latency(astray)

    assert fit is not None
    assert fit.constant_ms == pytest.approx(3, abs=1e-6)
    assert fit.cycles == pytest.approx(2, abs=1e-6)


def test_less_than_eight_hits_on_a_string_say_nothing() -> None:
    enough, too_few = hits(3, 2, count=LEAST_HITS), hits(3, 2, count=LEAST_HITS - 1)

    assert fit_latency(enough) is not None
    assert fit_latency(too_few) is None
    assert fit_latency({40: [1.0] * LEAST_HITS}) is None


@pytest.mark.parametrize("sd_ms", [4.0, 9.0])
def test_the_intervals_hold_what_they_promise_and_the_spread_is_the_players(sd_ms: float) -> None:
    fits = [fit for seed in range(300) if (fit := fit_latency(hits(3, 2, sd_ms, 16, seed))) is not None]

    held_constant = sum(fit.constant_interval_ms.low <= 3 <= fit.constant_interval_ms.high for fit in fits) / len(fits)
    held_cycles = sum(fit.cycles_interval.low <= 2 <= fit.cycles_interval.high for fit in fits) / len(fits)
    mean_spread_ms = sum(fit.spread_ms for fit in fits) / len(fits)

    assert len(fits) == 300
    assert 0.91 <= held_constant <= 0.995
    assert 0.91 <= held_cycles <= 0.995
    assert mean_spread_ms == pytest.approx(sd_ms, rel=0.08)


def test_a_string_that_lies_off_the_line_widens_the_intervals() -> None:
    straight, crooked = hits(3, 2, 2.0), hits(3, 2, 2.0)
    crooked[55] = [late_ms + 25 for late_ms in crooked[55]]

    before, after = fit_latency(straight), fit_latency(crooked)

    assert before is not None
    assert after is not None
    assert after.uncertainty_ms > 3 * before.uncertainty_ms


def test_a_constant_that_is_surely_below_zero_is_the_players_and_is_not_taken_off() -> None:
    ahead, level = fit_latency(hits(-20, 2, 2.0)), fit_latency(hits(5, 2, 2.0))

    assert ahead is not None
    assert level is not None
    assert compensation(ahead) == (0.0, ahead.cycles)
    assert compensation(level) == (level.constant_ms, level.cycles)


def test_strings_that_answer_the_other_way_round_are_taken_to_answer_alike() -> None:
    fit = fit_latency(hits(12, -0.5))

    assert fit is not None
    constant_ms, cycles = compensation(fit)
    assert cycles == 0
    mean_cycle_ms = sum(1000 / hz for hz in OPEN_STRINGS_HZ.values()) / len(OPEN_STRINGS_HZ)
    assert constant_ms == pytest.approx(12 - 0.5 * mean_cycle_ms, abs=1e-3)


def test_the_middle_is_that_of_all_pairwise_means() -> None:
    assert hodges_lehmann([4.0]) == 4
    assert hodges_lehmann([1.0, 2.0, 6.0]) == 2.75  # 1 1.5 2 3.5 4 6: between 2 and 3.5
