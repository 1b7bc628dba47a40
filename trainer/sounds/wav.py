"""Sound as the bytes of a WAV file: RIFF/WAVE, one channel, 16 bits, 48,000 samples a second."""

import io
import wave

from trainer.sounds.samples import RATE, Pcm


def wav_bytes(samples: Pcm) -> bytes:
    """The file."""
    stream = io.BytesIO()
    with wave.open(stream, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(samples.astype("<i2").tobytes())
    return stream.getvalue()
