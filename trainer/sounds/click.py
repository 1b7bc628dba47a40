"""The click: count-in, beats with the bar's first one accented, and soft subdivisions.

Each stroke begins exactly at its sample with its full height. Levels leave room for the line beside them.
"""

from fractions import Fraction
from functools import cache

import numpy as np

from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
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
    subdivision: int = 1,
    clicks_through: bool = True,
) -> Samples:
    """The click of a whole run: sample 0 is the first click of the count-in, the line begins after it.

    `subdivision` strokes share a beat, as long as they are `CLOSEST_SUBDIVISION_NS` apart. Without `clicks_through`
    only the count-in sounds. `ValueError` for a negative length or count-in, or a subdivision under 1.
    """
    if count_in_bars < 0 or length_quarters < 0 or subdivision < 1:
        raise ValueError(f"count-in {count_in_bars}, length {length_quarters}, subdivision {subdivision}: too small")
    count_in_quarters = count_in_bars * meter.bar_quarters
    whole_quarters = count_in_quarters + length_quarters
    last_quarters = whole_quarters if clicks_through else count_in_quarters
    buffer = np.zeros(sample_of(whole_quarters, tempo) + samples_in(_STROKE_NS), dtype=np.float32)
    for place, (pitch_hz, height) in _strokes(tempo, meter, last_quarters, subdivision):
        stroke = _stroke(pitch_hz, height)
        buffer[place : place + len(stroke)] += stroke
    return buffer


def _strokes(
    tempo: Tempo, meter: Meter, until_quarters: Fraction, subdivision: int
) -> list[tuple[int, tuple[float, float]]]:
    """(sample, kind) of all strokes before `until_quarters`."""
    if tempo.ns(meter.beat_quarters / subdivision) < CLOSEST_SUBDIVISION_NS:
        subdivision = 1
    step_quarters = meter.beat_quarters / subdivision
    strokes_a_bar = meter.beats * subdivision
    strokes = []
    for ordinal in range(-(-until_quarters // step_quarters)):
        is_beat, is_bar = ordinal % subdivision == 0, ordinal % strokes_a_bar == 0
        kind = _BAR if is_bar else _BEAT if is_beat else _SUBDIVISION
        strokes.append((sample_of(ordinal * step_quarters, tempo), kind))
    return strokes


@cache
def _stroke(pitch_hz: float, height: float) -> Samples:
    seconds = np.arange(samples_in(_STROKE_NS)) / RATE
    wave = height * np.cos(2 * np.pi * pitch_hz * seconds) * np.exp(-seconds / _DECAY_S)
    return np.asarray(wave, dtype=np.float32)
