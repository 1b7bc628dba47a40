"""The line as a plucked string plays it.

Theory of operation: a delay loop one period long, fed with one period of an ideal plucked string and damped a little on
each round (Karplus and Strong 1983; fractional tuning of the loop after Jaffe and Smith 1983, here by a third-order
Lagrange interpolator). The damping is a symmetric three-point average, whose delay is exactly one sample at every
frequency, so the loop's length is known and the tone in tune. A round depends on the one before it only, so that numpy
computes a whole period at a time.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo
from trainer.sounds.samples import RATE, Samples, sample_of, samples_in
from trainer.theory.technique import Technique

LEVEL = 0.2
"""Height of a picked note; -14 dB of full scale."""
_ACCENT_LEVEL = 1.35
_SLUR_LEVEL = 0.6
_RELEASE_NS = 25_000_000
_ATTACK_NS = 500_000
_PLUCKED_AT = 0.13  # share of the string between the pick and the bridge, common practice
_LOWEST_DECAY_S = 5.0  # until a low E has lost 60 dB; higher notes die sooner, common practice
_DECAY_EXPONENT = 0.75
_SOFT_HARMONICS = 64  # what a finger excites beyond lies 65 dB and more below the first
_DULLING = 0.06  # weight of each neighbour in the loop's average


def render_line(exercise: Exercise, tempo: Tempo, starts_at_ns: int) -> Samples:
    """The whole line; quarter 0 falls `starts_at_ns` after sample 0. Slurred notes are softer and duller."""
    start = samples_in(starts_at_ns)
    ends = [start + sample_of(note.onset_quarters + note.duration_quarters, tempo) for note in exercise.notes]
    release = samples_in(_RELEASE_NS)
    buffer = np.zeros(max(ends, default=start) + release, dtype=np.float32)
    for note, end in zip(exercise.notes, ends, strict=True):
        place = start + sample_of(note.onset_quarters, tempo)
        tone = _shaped(note, end - place, release)
        buffer[place : place + len(tone)] += tone
    return buffer


def plucked_tone(pitch: int, length: int, *, soft: bool = False) -> Samples:
    """`length` samples of a plucked string at a MIDI pitch, peak 1.0, read-only; `soft` as a hammered string sounds."""
    longest = 1 << max(0, length - 1).bit_length()
    return _tone(pitch, max(RATE // 4, longest), soft)[:length]


def _shaped(note: ScoreNote, length: int, release: int) -> Samples:
    is_soft = note.technique is not Technique.PICK
    level = LEVEL * (_ACCENT_LEVEL if note.accent else 1.0) * (_SLUR_LEVEL if is_soft else 1.0)
    tone = np.multiply(plucked_tone(note.pitch, length + release, soft=is_soft), level, dtype=np.float32)
    tone[length:] *= np.linspace(1.0, 0.0, release, dtype=np.float32)
    return tone


@cache
def _tone(pitch: int, length: int, soft: bool) -> Samples:  # noqa: FBT001 - `cache` needs plain arguments
    frequency_hz = 440.0 * float(2.0 ** ((pitch - 69) / 12))
    taps, shortest = _loop(frequency_hz)
    reach = shortest + len(taps) - 1
    tone = np.zeros(max(length, reach))
    tone[:reach] = _pluck(frequency_hz, reach, soft=soft)
    done = reach
    while done < length:
        block = min(shortest, length - done)
        tone[done : done + block] = np.convolve(tone[done - reach : done - shortest + block], taps, "valid")
        done += block
    attack = samples_in(_ATTACK_NS)
    tone[:attack] *= np.linspace(0.0, 1.0, attack)
    result = np.asarray(tone[:length] / np.abs(tone).max(), dtype=np.float32)
    result.setflags(write=False)  # it is shared by all callers
    return result


def _loop(frequency_hz: float) -> tuple[npt.NDArray[np.float64], int]:
    """The loop's filter, and the delay before its first tap, in samples: together one period."""
    period = RATE / frequency_hz
    shortest = int(period) - 2  # one sample of the average, one to two of the interpolator
    delay = period - shortest - 1
    lagrange = np.array(
        [np.prod([(delay - other) / (tap - other) for other in range(4) if other != tap]) for tap in range(4)]
    )
    decay_s = _LOWEST_DECAY_S * (82.4 / frequency_hz) ** _DECAY_EXPONENT
    kept = 10 ** (-3 / (frequency_hz * decay_s))
    average = np.array([_DULLING, 1 - 2 * _DULLING, _DULLING])
    return kept * np.convolve(average, lagrange), shortest


def _pluck(frequency_hz: float, length: int, *, soft: bool) -> npt.NDArray[np.float64]:
    """The first period or so: the harmonics of a string plucked at a point; a finger excites fewer high ones."""
    count = int(0.45 * RATE / frequency_hz)
    harmonics = np.arange(1, min(count, _SOFT_HARMONICS) if soft else count)
    weights = np.sin(np.pi * harmonics * _PLUCKED_AT) / harmonics ** (1.8 if soft else 1.0)
    seconds = np.arange(length) / RATE
    waves = np.sin(2 * np.pi * frequency_hz * harmonics[:, None] * seconds[None, :])
    return np.asarray(weights @ waves, dtype=np.float64)
