import numpy as np
import pytest

from trainer.sounds.feels import CHORD_SOUNDS
from trainer.sounds.samples import RATE
from trainer.sounds.tones import _HARMONICS, chord_tone


@pytest.mark.parametrize("sound", CHORD_SOUNDS)
@pytest.mark.parametrize("pitch", [52, 61, 71])
def test_a_tone_begins_in_silence_and_swells_without_a_click(sound: str, pitch: int) -> None:
    tone = chord_tone(pitch, RATE, sound)

    assert tone[0] == 0
    # The steepest that harmonics of these heights can be at this pitch, were all at their steepest at once.
    slope = sum(number * height for number, height in enumerate(_HARMONICS[sound], start=1))
    steepest = 2 * np.pi * 440 * 2 ** ((pitch - 69) / 12) / RATE * slope
    assert float(np.abs(np.diff(tone)).max()) <= steepest


def test_a_short_tone_has_died_away_where_a_soft_one_goes_on() -> None:
    after_a_second = {sound: float(np.abs(chord_tone(60, 2 * RATE, sound)[RATE:]).max()) for sound in CHORD_SOUNDS}

    assert after_a_second["short"] < 0.1 < 0.5 < after_a_second["soft"]


def test_a_longer_tone_begins_as_a_shorter_one() -> None:
    np.testing.assert_array_equal(chord_tone(60, 3 * RATE, "soft")[:RATE], chord_tone(60, RATE, "soft"))
