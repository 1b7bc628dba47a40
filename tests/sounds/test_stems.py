from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from tests.devices.lines import line
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.backing import Accompaniment, Levels, Part
from trainer.sounds.click import render_click
from trainer.sounds.click_way import ClickWay, Thinning
from trainer.sounds.mix import Mix
from trainer.sounds.plucked import render_line
from trainer.sounds.samples import RATE, mixed, sample_of
from trainer.sounds.stems import Stem, backing_of_line, demonstration, stems
from trainer.theory.chords import ChordsError

TEMPO = Tempo(Fraction(131))
LINE = replace(line("6/0 5/2 4/2 3/0 6/0 5/2 4/2 3/0", qpm=131, notes_a_quarter=1), key="A minor")


def test_the_backing_does_not_move_the_click_by_a_sample() -> None:
    alone = render_click(TEMPO, LINE.meter, count_in_bars=1, length_quarters=LINE.length_quarters)

    rendered = stems(LINE, TEMPO, Mix(), tuple(Stem), count_in_bars=1)

    np.testing.assert_array_equal(rendered[Stem.CLICK], alone)
    backing = rendered[Stem.BACKING]
    first_bar = sample_of(Fraction(4), TEMPO)
    assert not backing[:first_bar].any()
    assert backing[first_bar : first_bar + 100].any()


def test_the_line_lies_where_it_lies_without_a_backing() -> None:
    rendered = stems(LINE, TEMPO, Mix(), [Stem.LINE], count_in_bars=1)

    np.testing.assert_array_equal(rendered[Stem.LINE], render_line(LINE, TEMPO, TEMPO.ns(Fraction(4))))


def test_the_backing_ends_with_the_line() -> None:
    backing = stems(LINE, TEMPO, Mix(), [Stem.BACKING])[Stem.BACKING]

    end = sample_of(LINE.length_quarters, TEMPO)
    ringing = np.abs(backing[end:])
    assert len(ringing) == round(0.4 * RATE)
    assert ringing[:100].max() < np.abs(backing[:end]).max() / 2  # no new bar begins there
    assert ringing[-1] == 0


def test_levels_and_the_way_of_the_click_are_heard() -> None:
    mix = Mix(ClickWay(thinning=Thinning.ONE), levels=Levels(click=50, line=150))

    rendered = stems(LINE, TEMPO, mix, (Stem.CLICK, Stem.LINE))
    usual = stems(LINE, TEMPO, Mix(mix.click), (Stem.CLICK, Stem.LINE))

    np.testing.assert_array_equal(rendered[Stem.CLICK], usual[Stem.CLICK] * np.float32(0.5))
    np.testing.assert_array_equal(rendered[Stem.LINE], usual[Stem.LINE] * np.float32(1.5))


def test_a_line_without_a_key_has_drums_alone() -> None:
    assert backing_of_line(replace(LINE, key=""), Accompaniment())[1] == (Part.DRUMS,)
    assert backing_of_line(LINE, Accompaniment())[1] == tuple(Part)


def test_chords_that_cannot_be_read_are_told() -> None:
    with pytest.raises(ChordsError, match="nearest: 'iv'"):
        Accompaniment(chords="i ivv")


def test_a_demonstration_repeats_the_line_at_exact_times_over_click_and_backing() -> None:
    tempo = Tempo(Fraction(120))
    three_bars = replace(LINE, notes=LINE.notes[:6], length_quarters=Fraction(6))  # a bar and a half

    heard = demonstration(three_bars, tempo, Mix(), tuple(Stem), passes=2).whole()

    by_hand = mixed(
        render_line(three_bars.repeated(2), tempo, 0),
        *stems(three_bars.repeated(2), tempo, Mix(), (Stem.CLICK, Stem.BACKING)).values(),
    )
    end = 11 * RATE // 2
    np.testing.assert_allclose(heard[:end], by_hand[:end], atol=2)


def test_click_and_backing_go_together_in_every_meter() -> None:
    for meter in (Meter(2, 4), Meter(3, 4), Meter(5, 4), Meter(7, 8), Meter(11, 8)):
        rendered = stems(replace(LINE, meter=meter), TEMPO, Mix(), [Stem.CLICK, Stem.BACKING])

        bar = sample_of(meter.bar_quarters, TEMPO)
        assert rendered[Stem.CLICK][bar] == pytest.approx(0.32, abs=0.002)
        assert rendered[Stem.BACKING][bar - 1 : bar + 200].any()
