"""Drums made of shaped noise and of sines that fall in pitch.

Conventions: a stroke has height 1.0, begins with its attack at sample 0 and ends in silence. Noise comes from a fixed
seed, so that the same drum always sounds the same. All sounds are this program's own.
"""

from collections.abc import Callable
from functools import cache

import numpy as np
import numpy.typing as npt

from trainer.sounds.samples import RATE, Samples, samples_in

LEVELS = {"kick": 0.21, "snare": 0.14, "brush": 0.06, "rim": 0.1, "hat": 0.045, "pedal": 0.05, "ride": 0.08}
"""Height of an accented stroke of each drum."""
STRENGTHS = {"X": 1.0, "x": 0.72, "o": 0.36}
_ATTACK_NS = 600_000
_LAST_SHARE_FADED = 0.25

_Wave = npt.NDArray[np.float64]


@cache
def stroke(drum: str) -> Samples:
    """One stroke, peak 1.0, read-only."""
    make, seconds = _DRUMS[drum]
    moments = np.arange(round(seconds * RATE)) / RATE
    wave = make(moments)
    attack = samples_in(_ATTACK_NS)
    wave[:attack] *= np.linspace(0.0, 1.0, attack)
    faded = round(len(wave) * _LAST_SHARE_FADED)
    wave[-faded:] *= np.cos(np.linspace(0.0, np.pi / 2, faded)) ** 2
    result = np.asarray(wave / np.abs(wave).max(), dtype=np.float32)
    result.setflags(write=False)  # it is shared by all callers
    return result


def _kick(seconds: _Wave) -> _Wave:
    low_hz, fall_hz, fall_s = 50.0, 110.0, 0.028
    turns = low_hz * seconds + fall_hz * fall_s * (1 - np.exp(-seconds / fall_s))
    body = np.sin(2 * np.pi * turns) * np.exp(-seconds / 0.13)
    return np.asarray(body + 0.12 * _noise(seconds, 300, 4_000) * np.exp(-seconds / 0.004))


def _snare(seconds: _Wave) -> _Wave:
    body = (np.sin(2 * np.pi * 186 * seconds) + 0.5 * np.sin(2 * np.pi * 331 * seconds)) * np.exp(-seconds / 0.05)
    return np.asarray(0.7 * body + 0.9 * _noise(seconds, 900, 8_500) * np.exp(-seconds / 0.065))


def _brush(seconds: _Wave) -> _Wave:
    swell = np.exp(-(((seconds - 0.03) / 0.035) ** 2))
    return np.asarray(_noise(seconds, 1_500, 7_000) * swell)


def _rim(seconds: _Wave) -> _Wave:
    wood = np.sin(2 * np.pi * 1_720 * seconds) + 0.7 * np.sin(2 * np.pi * 690 * seconds)
    return np.asarray(wood * np.exp(-seconds / 0.011) + 0.2 * _noise(seconds, 2_000, 9_000) * np.exp(-seconds / 0.004))


def _hat(seconds: _Wave) -> _Wave:
    return np.asarray(_noise(seconds, 6_500, 14_000) * np.exp(-seconds / 0.028))


def _pedal(seconds: _Wave) -> _Wave:
    return np.asarray(_noise(seconds, 4_500, 11_000) * np.exp(-seconds / 0.018))


def _ride(seconds: _Wave) -> _Wave:
    partials_hz = (2_137.0, 2_791.0, 3_329.0, 4_273.0, 5_471.0, 6_997.0)  # no simple ratios, as of a plate
    metal = np.sum([np.sin(2 * np.pi * hz * seconds + hz) for hz in partials_hz], axis=0) / len(partials_hz)
    ring = 0.5 * metal * np.exp(-seconds / 0.25) + 0.5 * metal * np.exp(-seconds / 0.04)
    return np.asarray(ring + 0.5 * _noise(seconds, 5_000, 13_000) * np.exp(-seconds / 0.09))


def _noise(seconds: _Wave, low_hz: float, high_hz: float) -> _Wave:
    """Noise between two frequencies, with soft slopes; standard deviation 1/3."""
    white = np.random.default_rng(round(low_hz + high_hz)).standard_normal(len(seconds))
    frequencies = np.fft.rfftfreq(len(seconds), 1 / RATE)
    above = 1 / (1 + (low_hz / np.maximum(frequencies, 1.0)) ** 6)
    below = 1 / (1 + (frequencies / high_hz) ** 6)
    shaped = np.fft.irfft(np.fft.rfft(white) * above * below, len(seconds))
    return np.asarray(shaped / (3 * shaped.std()))


_DRUMS: dict[str, tuple[Callable[[_Wave], _Wave], float]] = {
    "kick": (_kick, 0.5),
    "snare": (_snare, 0.35),
    "brush": (_brush, 0.2),
    "rim": (_rim, 0.09),
    "hat": (_hat, 0.15),
    "pedal": (_pedal, 0.1),
    "ride": (_ride, 0.9),
}
"""How each drum is made, and how many seconds it lasts."""
