import io
import wave

import numpy as np

from trainer.sounds.wav import wav_bytes


def test_a_wav_file_has_the_very_samples() -> None:
    samples = np.array([0, 1, -1, 32_767, -32_767], np.int16)

    with wave.open(io.BytesIO(wav_bytes(samples))) as file:
        form = (file.getnchannels(), file.getsampwidth(), file.getframerate(), file.getnframes())
        read = np.frombuffer(file.readframes(5), "<i2")

    assert form == (1, 2, 48_000, 5)
    np.testing.assert_array_equal(read, samples)
