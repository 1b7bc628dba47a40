from fractions import Fraction

import numpy as np
import pytest

from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.click import render_click
from trainer.sounds.click_way import ClickWay, Thinning
from trainer.sounds.samples import RATE, Samples

FOUR = Meter(4, 4)


def strokes(buffer: Samples) -> list[tuple[int, float]]:
    """(first sample, its height) of everything that begins after silence."""
    loud = np.abs(buffer) > 1e-3
    begins = [int(i) for i in np.flatnonzero(loud) if not loud[max(0, i - 400) : i].any()]
    return [(i, round(float(buffer[i]), 3)) for i in begins]


def test_the_first_click_is_sample_0_and_each_bar_begins_with_an_accent() -> None:
    buffer = render_click(Tempo(Fraction(120)), FOUR, count_in_bars=1, length_quarters=Fraction(4))

    half_second = RATE // 2
    assert strokes(buffer) == [(beat * half_second, 0.32 if beat in {0, 4} else 0.22) for beat in range(8)]


def test_the_thousandth_click_at_an_odd_tempo_is_at_its_own_sample() -> None:
    tempo = Tempo(Fraction(133))

    buffer = render_click(tempo, FOUR, count_in_bars=0, length_quarters=Fraction(1001))

    expected = round(Fraction(1000 * 60 * RATE, 133))  # 21,654,135.3: steps of 21,654 would be 135 samples early
    assert expected == 21_654_135
    assert strokes(buffer[expected - 10_000 :])[0] == (10_000, 0.32)


def test_a_count_in_of_three_eighths_counts_eighths() -> None:
    buffer = render_click(Tempo(Fraction(60)), Meter(3, 8), count_in_bars=1, length_quarters=Fraction(0))

    assert strokes(buffer) == [(0, 0.32), (RATE // 2, 0.22), (RATE, 0.22)]


def test_without_clicks_through_only_the_count_in_sounds_but_the_run_keeps_its_length() -> None:
    tempo = Tempo(Fraction(60))

    buffer = render_click(tempo, FOUR, count_in_bars=1, length_quarters=Fraction(4), clicks_through=False)

    assert [place for place, _ in strokes(buffer)] == [0, RATE, 2 * RATE, 3 * RATE]
    assert len(buffer) > 8 * RATE


def test_subdivisions_are_soft_strokes_between_the_beats() -> None:
    buffer = render_click(
        Tempo(Fraction(60)), Meter(2, 4), count_in_bars=1, length_quarters=Fraction(0), way=ClickWay(3)
    )

    third = RATE // 3
    assert strokes(buffer) == [
        (0, 0.32), (third, 0.1), (2 * third, 0.1), (RATE, 0.22), (RATE + third, 0.1), (RATE + 2 * third, 0.1),
    ]  # fmt: skip


@pytest.mark.parametrize(("qpm", "count"), [(Fraction(150), 8), (Fraction(151), 4)])
def test_subdivisions_closer_than_200_ms_are_left_out(qpm: Fraction, count: int) -> None:
    buffer = render_click(Tempo(qpm), FOUR, count_in_bars=1, length_quarters=Fraction(0), way=ClickWay(2))

    assert len(strokes(buffer)) == count


def test_a_line_that_ends_within_a_beat_gets_that_beats_click_and_no_later_one() -> None:
    buffer = render_click(Tempo(Fraction(60)), FOUR, count_in_bars=0, length_quarters=Fraction(5, 2))

    assert [place for place, _ in strokes(buffer)] == [0, RATE, 2 * RATE]


@pytest.mark.parametrize("wrong", [{"count_in_bars": -1}, {"length_quarters": Fraction(-1)}])
def test_figures_that_make_no_click_are_refused(wrong: dict[str, int]) -> None:
    asked = {"count_in_bars": 1, "length_quarters": Fraction(4), **wrong}

    with pytest.raises(ValueError, match="too small"):
        render_click(Tempo(Fraction(60)), FOUR, **asked)  # type: ignore[arg-type] # the wrong figures are the test


def beats_that_sound(way: ClickWay, meter: Meter = FOUR) -> list[tuple[float, float]]:
    """(quarter, height) of each stroke of a bar of count-in and four bars, a quarter a second."""
    buffer = render_click(Tempo(Fraction(60)), meter, count_in_bars=1, length_quarters=4 * meter.bar_quarters, way=way)
    return [(place / RATE, height) for place, height in strokes(buffer)]


COUNT_IN = [(0, 0.32), (1, 0.22), (2, 0.22), (3, 0.22)]


def test_only_on_1_leaves_the_first_beat_of_each_bar_after_a_whole_count_in() -> None:
    heard = beats_that_sound(ClickWay(thinning=Thinning.ONE))

    assert heard == [*COUNT_IN, (4, 0.32), (8, 0.32), (12, 0.32), (16, 0.32)]


def test_only_on_2_and_4_has_no_accent_after_the_count_in() -> None:
    heard = beats_that_sound(ClickWay(thinning=Thinning.TWO_AND_FOUR))

    assert heard == [*COUNT_IN, *((beat, 0.22) for beat in (5, 7, 9, 11, 13, 15, 17, 19))]


def test_on_2_and_4_of_a_bar_of_three_is_on_2() -> None:
    heard = beats_that_sound(ClickWay(thinning=Thinning.TWO_AND_FOUR), Meter(3, 4))

    assert heard == [(0, 0.32), (1, 0.22), (2, 0.22), (4, 0.22), (7, 0.22), (10, 0.22), (13, 0.22)]


def test_every_other_bar_begins_with_the_first_bar_of_the_line() -> None:
    heard = beats_that_sound(ClickWay(thinning=Thinning.OTHER_BAR))

    bars = [(start + beat, 0.22 if beat else 0.32) for start in (4, 12) for beat in range(4)]
    assert heard == [*COUNT_IN, *bars]


def test_without_accents_all_beats_are_alike() -> None:
    heard = beats_that_sound(ClickWay(accents=False))

    assert heard == [(beat, 0.22) for beat in range(20)]


def test_strokes_between_beats_sound_only_where_whole_bars_do() -> None:
    by_thinning = {thinning: len(beats_that_sound(ClickWay(subdivision=3, thinning=thinning))) for thinning in Thinning}

    assert by_thinning == {
        Thinning.EVERY_BEAT: 60,
        Thinning.ONE: 8,
        Thinning.TWO_AND_FOUR: 12,
        Thinning.OTHER_BAR: 36,
    }


@pytest.mark.parametrize("subdivision", [0, 7])
def test_strokes_that_no_beat_can_hold_are_refused(subdivision: int) -> None:
    with pytest.raises(ValueError, match="expected 1 to 6 strokes a beat"):
        ClickWay(subdivision)
