"""The click: count-in, beats with the bar's first one accented, and soft subdivisions.

Each stroke begins exactly at its sample with its full height. Levels leave room for the line beside them.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import cache

import numpy as np

from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.click_way import ClickWay
from trainer.sounds.samples import RATE, Samples, sample_of, samples_in

# A click more often than this no longer helps, it costs: 200-250 ms, Repp 2003.
CLOSEST_SUBDIVISION_NS = 200_000_000
_STROKE_NS = 45_000_000
_DECAY_S = 0.009

# (pitch in Hz, height of the first sample); -10 to -20 dB of full scale is a modest level, our own choice
_BAR = (1760.0, 0.32)
_BEAT = (1320.0, 0.22)
_SUBDIVISION = (990.0, 0.10)


def render_click(
    tempo: Tempo,
    meter: Meter,
    *,
    count_in_bars: int,
    length_quarters: Fraction,
    way: ClickWay = ClickWay(),  # noqa: B008 - a frozen value
    clicks_through: bool = True,
) -> Samples:
    """The click of a whole run: sample 0 is the first click of the count-in, the line begins after it.

    The count-in has every beat, whatever `way` leaves out later. The strokes that share a beat are left out where they
    would be nearer than `CLOSEST_SUBDIVISION_NS`. Without `clicks_through` only the count-in sounds. `ValueError` for a
    negative length or count-in.
    """
    if count_in_bars < 0 or length_quarters < 0:
        raise ValueError(f"count-in {count_in_bars}, length {length_quarters}: too small")
    count_in_quarters = count_in_bars * meter.bar_quarters
    whole_quarters = count_in_quarters + length_quarters
    last_quarters = whole_quarters if clicks_through else count_in_quarters
    buffer = np.zeros(sample_of(whole_quarters, tempo) + samples_in(_STROKE_NS), dtype=np.float32)
    for place, (pitch_hz, height) in _strokes(tempo, meter, last_quarters, count_in_bars, way):
        stroke = _stroke(pitch_hz, height)
        buffer[place : place + len(stroke)] += stroke
    return buffer


def _strokes(
    tempo: Tempo, meter: Meter, until_quarters: Fraction, count_in_bars: int, way: ClickWay
) -> Iterator[tuple[int, tuple[float, float]]]:
    """(sample, kind) of all strokes before `until_quarters`."""
    strokes_a_beat = way.strokes_a_beat
    if tempo.ns(meter.beat_quarters / strokes_a_beat) < CLOSEST_SUBDIVISION_NS:
        strokes_a_beat = 1
    step_quarters = meter.beat_quarters / strokes_a_beat
    for ordinal in range(-(-until_quarters // step_quarters)):
        beats, within = divmod(ordinal, strokes_a_beat)
        bar, beat = divmod(beats, meter.beats)
        if bar < count_in_bars or way.thinning.keeps(bar - count_in_bars, beat):
            is_bar = beat == 0 and within == 0 and way.accents
            yield sample_of(ordinal * step_quarters, tempo), _BAR if is_bar else _SUBDIVISION if within else _BEAT


@cache
def _stroke(pitch_hz: float, height: float) -> Samples:
    seconds = np.arange(samples_in(_STROKE_NS)) / RATE
    wave = height * np.cos(2 * np.pi * pitch_hz * seconds) * np.exp(-seconds / _DECAY_S)
    return np.asarray(wave, dtype=np.float32)
