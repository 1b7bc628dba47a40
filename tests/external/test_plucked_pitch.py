"""The plucked tone and the tones of the chords are in tune.

Source of the frequencies: equal temperament at A4 = 440 Hz, f = 440 * 2 ** ((n - 69) / 12) (ISO 16, from memory; MIDI
1.0 for the note numbers). Source of the limit: about 3 cents is the smallest change of pitch that a trained ear
tells apart under good conditions (common practice, no single source).
"""

import numpy as np
import pytest

from trainer.sounds.feels import CHORD_SOUNDS
from trainer.sounds.plucked import plucked_tone
from trainer.sounds.samples import RATE, Samples
from trainer.sounds.tones import chord_tone

LOWEST, HIGHEST = 23, 88  # low B of a five-string bass, fret 24 of a guitar's first string


def measured_hz(tone: Samples, near_hz: float) -> float:
    """The fundamental from the phase that its spectral line gains in 50 ms; the synthesis knows nothing of this."""
    window, hop = 8 * 4_096, 2_400
    shape = np.blackman(window)
    first, second = (np.fft.rfft(tone[start : start + window] * shape) for start in (0, hop))
    bins = np.arange(len(first)) * RATE / window
    strongest = int(np.argmax(np.abs(first) * (np.abs(bins - near_hz) < 0.04 * near_hz)))
    turn = float(np.angle(second[strongest] / first[strongest])) / (2 * np.pi)
    whole_turns = round(float(bins[strongest]) * hop / RATE - turn)
    return (whole_turns + turn) * RATE / hop


@pytest.mark.parametrize("soft", [False, True])
@pytest.mark.parametrize("pitch", range(LOWEST, HIGHEST + 1))
def test_every_note_is_within_3_cents_of_equal_temperament(pitch: int, soft: bool) -> None:  # noqa: FBT001 - a parameter
    expected_hz = 440.0 * 2.0 ** ((pitch - 69) / 12)

    heard_hz = measured_hz(plucked_tone(pitch, RATE, soft=soft), expected_hz)

    assert abs(1200 * np.log2(heard_hz / expected_hz)) <= 3.0


@pytest.mark.parametrize("sound", CHORD_SOUNDS)
@pytest.mark.parametrize("pitch", range(48, 77))
def test_every_note_of_a_chord_is_within_1_cent_of_equal_temperament(pitch: int, sound: str) -> None:
    expected_hz = 440.0 * 2.0 ** ((pitch - 69) / 12)

    heard_hz = measured_hz(chord_tone(pitch, RATE, sound), expected_hz)

    assert abs(1200 * np.log2(heard_hz / expected_hz)) <= 1.0


def test_the_measurement_itself_tells_3_cents() -> None:
    seconds = np.arange(RATE) / RATE
    for frequency_hz in (41.2, 110.0, 1318.5):
        tone = np.sin(2 * np.pi * frequency_hz * 2.0 ** (3 / 1200) * seconds).astype(np.float32)

        cents = 1200 * np.log2(measured_hz(tone, frequency_hz) / frequency_hz)

        assert cents == pytest.approx(3.0, abs=0.1)
