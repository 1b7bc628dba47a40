import numpy as np
import pytest

from trainer.sounds.drums import LEVELS, stroke
from trainer.sounds.feels import DRUM_NAMES
from trainer.sounds.samples import RATE, Samples


def centre_hz(samples: Samples) -> float:
    """The centre of gravity of the spectrum."""
    spectrum = np.abs(np.fft.rfft(samples)) ** 2
    return float((spectrum * np.fft.rfftfreq(len(samples), 1 / RATE)).sum() / spectrum.sum())


def test_every_drum_that_a_feel_may_name_has_a_sound_and_a_level() -> None:
    assert set(LEVELS) == set(DRUM_NAMES)
    assert all(len(stroke(drum)) > 0 for drum in DRUM_NAMES)


@pytest.mark.parametrize("drum", DRUM_NAMES)
def test_a_stroke_begins_and_ends_in_silence_and_reaches_its_full_height(drum: str) -> None:
    samples = stroke(drum)

    assert samples[0] == 0
    assert abs(float(samples[-1])) <= 1e-4
    assert float(np.abs(samples).max()) == 1.0


@pytest.mark.parametrize("drum", [drum for drum in DRUM_NAMES if drum != "brush"])
def test_a_stroke_is_loudest_within_its_first_20_ms(drum: str) -> None:
    samples = stroke(drum)

    assert int(np.abs(samples).argmax()) <= RATE // 50


def test_a_bass_drum_is_low_a_snare_lies_between_and_a_hi_hat_is_high() -> None:
    kick, snare, hat = (centre_hz(stroke(drum)) for drum in ("kick", "snare", "hat"))

    assert kick < 150 < snare < 5_000 < hat


def test_a_drum_always_sounds_the_same_and_cannot_be_written_into() -> None:
    assert stroke("snare") is stroke("snare")
    with pytest.raises(ValueError, match="read-only"):
        stroke("snare")[0] = 1.0
