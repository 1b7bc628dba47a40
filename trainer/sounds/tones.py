"""The tone of the chords: a few harmonics that swell softly or are struck shortly, made by addition.

Conventions: a tone has its first harmonic at height 1.0, begins at 0 and lasts until it is released. Frequencies are
those of equal temperament, A4 = 440 Hz (ISO 16).
"""

from functools import lru_cache

import numpy as np

from trainer.sounds.samples import RATE, Samples, samples_in

_HARMONICS = {"soft": (1.0, 0.42, 0.16, 0.09, 0.04), "short": (1.0, 0.55, 0.3, 0.2, 0.1, 0.06)}
_ATTACK_NS = {"soft": 28_000_000, "short": 5_000_000}
_DECAY_S = {"soft": 2.6, "short": 0.42}
"""Until the first harmonic has fallen to 1/e; the n-th falls sqrt(n) times as fast."""
_TONES_KEPT = 192
_PIECE = 512


def chord_tone(pitch: int, length: int, sound: str) -> Samples:
    """`length` samples of a MIDI pitch, read-only; `sound` is soft or short."""
    longest = 1 << max(0, length - 1).bit_length()
    return _tone(pitch, max(RATE // 4, longest), sound)[:length]


@lru_cache(maxsize=_TONES_KEPT)
def _tone(pitch: int, length: int, sound: str) -> Samples:
    frequency_hz = 440.0 * float(2.0 ** ((pitch - 69) / 12))
    # Whole turns are taken off before the angle becomes a short float, so that a long tone stays as exact as its start.
    turns = (np.arange(length) * (frequency_hz / RATE)) % 1.0
    angle = (2 * np.pi * turns).astype(np.float32)
    # sin(n x) = 2 cos(x) sin((n - 1) x) - sin((n - 2) x): one sine and one cosine make all harmonics
    twice_cosine, before, harmonic = 2 * np.cos(angle), np.zeros(length, dtype=np.float32), np.sin(angle)
    wave = np.zeros(length, dtype=np.float32)
    for number, height in enumerate(_HARMONICS[sound], start=1):
        wave += _falling(height, _DECAY_S[sound] / np.sqrt(number), length) * harmonic
        before, harmonic = harmonic, twice_cosine * harmonic - before
    attack = samples_in(_ATTACK_NS[sound])
    wave[:attack] *= np.sin(np.linspace(0.0, np.pi / 2, attack, dtype=np.float32)) ** 2
    wave.setflags(write=False)  # it is shared by all callers
    return wave


def _falling(height: float, decay_s: float, length: int) -> Samples:
    """An exponential fall: every piece is the first one, lower, so that few exponentials are needed."""
    piece = np.exp(np.arange(_PIECE) / (-decay_s * RATE)).astype(np.float32)
    heights = height * np.exp(np.arange(-(-length // _PIECE)) * (_PIECE / (-decay_s * RATE)))
    falling: Samples = np.multiply.outer(heights.astype(np.float32), piece).reshape(-1)[:length]
    return falling
