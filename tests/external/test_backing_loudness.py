"""The parts of a backing are about as loud as one another, and as a line.

Source of the measure: ITU-R BS.1770-5, annex 1, K weighting at 48 kHz (both filters' coefficients are its own) and its
check, a sine of 997 Hz at full scale on one channel: -3.01 LKFS. The loops repeat, so the filters are applied to their
spectra; there is no gate. How far apart parts may be is our own choice, no source.
"""

from fractions import Fraction

import numpy as np
import pytest

from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.sounds.backing import Accompaniment, Levels, Part, backing_for
from trainer.sounds.band import bars_of
from trainer.sounds.endless import Endless
from trainer.sounds.feels import FEELS
from trainer.sounds.plucked import render_line
from trainer.sounds.samples import RATE, Samples
from trainer.theory.scale import key_named

SHELF = (1.53512485958697, -2.69169618940638, 1.19839281085285), (1.0, -1.69065929318241, 0.73248077421585)
HIGH_PASS = (1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621)
FURTHEST_APART_DB = 8.0
HUNDRED = Tempo(Fraction(100))


def loudness(samples: Samples) -> float:
    """LKFS of one channel that repeats."""
    spectrum = np.fft.rfft(samples.astype(np.float64))
    turn = np.exp(-2j * np.pi * np.arange(len(spectrum)) / len(samples))
    for above, below in (SHELF, HIGH_PASS):
        spectrum *= np.polyval(above[::-1], turn) / np.polyval(below[::-1], turn)
    weighted = np.fft.irfft(spectrum, len(samples))
    return float(-0.691 + 10 * np.log10(np.square(weighted).mean()))


def loop(feel: str, *parts: Part) -> Samples:
    backing = backing_for(key_named("A minor"), FEELS[feel].meter, Accompaniment(feel, "i VII VI VII"))
    bars = bars_of(backing, HUNDRED, Levels(), parts or tuple(Part))
    return Endless(bars, backing.meter.bar_quarters, HUNDRED).seamless()


def test_the_measure_itself_gives_the_figure_of_the_standard() -> None:
    sine = np.sin(2 * np.pi * 997 * np.arange(RATE) / RATE).astype(np.float32)

    assert loudness(sine) == pytest.approx(-3.01, abs=0.02)


@pytest.mark.parametrize("feel", FEELS)
def test_no_part_drowns_another(feel: str) -> None:
    by_part = {part.value: round(loudness(loop(feel, part)), 1) for part in Part}

    assert max(by_part.values()) - min(by_part.values()) <= FURTHEST_APART_DB, by_part


def test_a_backing_is_about_as_loud_as_the_line_that_is_played_over_it() -> None:
    line = loudness(render_line(load_exercise("quarry-steps"), HUNDRED, 0))

    by_feel = {feel: round(loudness(loop(feel)) - line, 1) for feel in FEELS}

    assert all(abs(apart) <= 4.0 for apart in by_feel.values()), by_feel
