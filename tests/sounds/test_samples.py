from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.score.tempo import Tempo
from trainer.sounds.samples import RATE, mixed, sample_of, samples_in


@given(
    quarters=st.fractions(0, 1_500, max_denominator=5_040),
    qpm=st.fractions(10, 400, max_denominator=1_000),
)
def test_a_place_is_the_nearest_sample_however_far_into_the_run(quarters: Fraction, qpm: Fraction) -> None:
    place = sample_of(quarters, Tempo(qpm))

    exact = quarters * 60 / qpm * RATE
    # half a sample, and the half nanosecond to which a tempo rounds
    assert abs(place - exact) <= Fraction(1, 2) + Fraction(RATE, 2_000_000_000)


@pytest.mark.parametrize(("span_ns", "samples"), [(0, 0), (10_416, 0), (10_417, 1), (31_249, 1), (31_250, 2)])
def test_a_span_is_rounded_at_half_a_sample(span_ns: int, samples: int) -> None:
    assert samples_in(span_ns) == samples


def test_parts_are_added_at_their_levels() -> None:
    first, second = np.array([0.25, 0.5], np.float32), np.array([0.25, 0.0, -0.5], np.float32)

    assert mixed(first, second).tolist() == [16384, 16384, -16384]


def test_a_mix_that_would_clip_is_turned_down_as_a_whole() -> None:
    loud = np.array([0.8, -0.4], np.float32)

    assert mixed(loud, loud, np.array([0.0, 0.4], np.float32)).tolist() == [32767, -8192]


def test_nothing_mixed_is_nothing() -> None:
    assert mixed().tolist() == []
