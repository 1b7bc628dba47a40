from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.backing import Accompaniment, Levels, backing_for
from trainer.sounds.band import bars_of
from trainer.sounds.click import render_click
from trainer.sounds.endless import Endless, Playable
from trainer.sounds.samples import RATE, Samples
from trainer.theory.scale import key_named

TEMPI = st.fractions(30, 300, max_denominator=13)
METERS = st.sampled_from([Meter(), Meter(3, 4), Meter(5, 4), Meter(7, 8), Meter(6, 8)])
MARK = np.array([1.0], np.float32)
TWO_HOURS_NS = 7_200 * 1_000_000_000


def ringing(length: int, ring: int) -> Samples:
    """A bar that rings `ring` samples over its end; small whole numbers, so that sums are exact."""
    return (np.arange(length + ring) % 7 + 1).astype(np.float32)


@given(TEMPI, METERS)
def test_after_two_hours_a_bar_begins_within_half_a_sample_of_its_exact_time(qpm: Fraction, meter: Meter) -> None:
    tempo = Tempo(qpm)
    music = Endless((MARK,), meter.bar_quarters, tempo)
    bars = int(tempo.quarters(TWO_HOURS_NS) // meter.bar_quarters)

    exact = [number * meter.bar_quarters * 60 * RATE / qpm for number in range(bars - 50, bars + 1)]

    drift_ms = max(abs(music.place_of(bars - 50 + n) - place) for n, place in enumerate(exact)) * 1_000 / RATE
    assert drift_ms <= Fraction(1_000, 2 * RATE) + Fraction(1, 1_000)  # half a sample; limit: 1 ms
    assert bars * meter.bar_quarters * 60 / qpm > 7_190


def test_adding_up_whole_samples_would_drift_by_more_than_is_allowed() -> None:
    tempo = Tempo(Fraction(131))
    music = Endless((MARK,), Fraction(4), tempo)
    bars = int(tempo.quarters(TWO_HOURS_NS) // 4)

    added_up = bars * music.place_of(1)

    assert abs(added_up - music.place_of(bars)) * 1_000 / RATE > 1


@given(TEMPI, METERS, st.integers(0, 2))
def test_each_bar_begins_at_the_very_sample_of_its_click(qpm: Fraction, meter: Meter, count_in: int) -> None:
    tempo, bar = Tempo(qpm), meter.bar_quarters
    click = render_click(tempo, meter, count_in_bars=count_in, length_quarters=4 * bar)

    music = Endless((MARK,), bar, tempo, count_in * bar).stretch(0, len(click))

    begins = np.flatnonzero(music)
    assert len(begins) == 4 or (len(begins) == 5 and begins[-1] >= len(click) - RATE)
    np.testing.assert_allclose(click[begins[:4]], 0.32, atol=0.002)


@given(st.integers(0, 40_000), st.integers(1, 9_000), st.integers(0, 9_000))
def test_stretches_put_together_are_the_whole(first: int, length: int, ring: int) -> None:
    tempo = Tempo(Fraction(300))  # bars of 9,600 samples
    music = Endless((ringing(9_600, ring), ringing(9_600, 2 * ring)), Fraction(1), tempo)

    whole = music.stretch(0, first + length)
    parts = [music.stretch(at, min(at + 4_096, first + length)) for at in range(0, first + length, 4_096)]

    np.testing.assert_array_equal(whole, np.concatenate(parts))
    np.testing.assert_array_equal(whole[first:], music.stretch(first, first + length))


@given(st.integers(0, 30_000))
def test_a_loop_repeated_is_the_endless_music_to_the_sample(ring: int) -> None:
    tempo = Tempo(Fraction(300))  # whole samples: each loop is as long as the other
    music = Endless((ringing(9_600, ring), ringing(9_600, 0)), Fraction(1), tempo)

    loop = music.seamless()

    assert len(loop) == 19_200
    settled = 3 * len(loop)  # everything that rings on has come round by then
    np.testing.assert_array_equal(np.tile(loop, 2), music.stretch(settled, settled + 2 * len(loop)))


@pytest.mark.parametrize("qpm", [Fraction(97), Fraction(133, 2), Fraction(211)])
def test_the_seam_of_a_real_backing_is_no_rougher_than_the_bars_within(qpm: Fraction) -> None:
    backing = backing_for(key_named("F# minor"), Meter(), Accompaniment("bossa nova", "i VII VI VII"))
    tempo = Tempo(qpm)
    music = Endless(bars_of(backing, tempo, Levels()), Fraction(4), tempo)

    loop = music.seamless()
    steps = np.abs(np.diff(np.tile(loop, 2)))

    seam = steps[len(loop) - 1]
    assert seam <= max(steps[music.place_of(bar) - 1] for bar in (1, 2, 3)) + 0.01


def test_what_begins_later_is_silent_until_then() -> None:
    music = Endless((MARK,), Fraction(4), Tempo(Fraction(60)), Fraction(4))

    assert not music.stretch(0, 4 * RATE).any()
    assert music.stretch(4 * RATE, 4 * RATE + 1).tolist() == [1.0]


def test_no_bars_make_no_music() -> None:
    with pytest.raises(ValueError, match="no bars"):
        Endless((), Fraction(4), Tempo(Fraction(60)))


def test_a_card_gets_the_same_whatever_blocks_it_asks_for() -> None:
    music = Endless((ringing(9_600, 4_000) / 10,), Fraction(1), Tempo(Fraction(300)))
    playable = Playable([music], 50_000)

    blocks = np.concatenate([playable[at : at + 1_000] for at in range(0, 60_000, 1_000)])

    assert len(playable) == len(blocks) == 50_000
    np.testing.assert_array_equal(blocks, playable[0:50_000])
    np.testing.assert_array_equal(blocks, playable.whole())
    assert int(np.abs(blocks).max()) == 32_767  # turned down as a whole, to the edge and not over it


def test_a_card_gets_no_samples_with_gaps() -> None:
    with pytest.raises(ValueError, match="without gaps"):
        Playable([Endless((MARK,), Fraction(1), Tempo(Fraction(60)))], 10)[0:10:2]
