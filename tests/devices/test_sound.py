import time

import numpy as np
import pytest

from trainer.devices import sound
from trainer.devices.sound import MixerSound, SilentSound, Sound, open_sound
from trainer.sounds.samples import Pcm

BUFFER = np.zeros(4_800, np.int16)


def no_card() -> Sound:
    raise OSError("no library\nand a second line")


def no_words() -> Sound:
    raise RuntimeError


def test_without_a_card_it_says_why_and_time_runs_on() -> None:
    before_ns = time.perf_counter_ns()

    output = open_sound((no_card, no_words))

    assert (output.status, output.is_audible) == (
        "No sound: no card could be opened (no library; RuntimeError)",
        False,
    )
    started_at_ns = output.start(BUFFER)
    assert output.started_at_ns == started_at_ns
    assert before_ns <= started_at_ns <= time.perf_counter_ns()
    output.stop()
    assert output.started_at_ns is None
    output.close()


def test_the_first_output_that_opens_is_taken() -> None:
    output = open_sound((no_card, lambda: SilentSound("first"), lambda: SilentSound("second")))

    assert output.status == "No sound: first"


def test_what_the_systems_libraries_print_meanwhile_is_kept_from_the_terminal(
    capfd: pytest.CaptureFixture[str],
) -> None:
    def talkative() -> Sound:
        import os

        os.write(2, b"cannot find card '0'\n")
        return SilentSound("quiet")

    open_sound((talkative,))

    assert capfd.readouterr().err == ""


def test_the_mixer_plays_and_stops(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SDL_AUDIODRIVER", "dummy")
    output = open_sound((MixerSound,))

    called_ns = time.perf_counter_ns()
    started_at_ns = output.start(BUFFER)

    assert output.is_audible
    assert output.status == "Sound by the system's mixer, about 21 ms"
    assert started_at_ns >= called_ns + output.latency_ns
    output.stop()
    assert output.started_at_ns is None
    output.close()


class CardMoment:
    """Half a second is still ahead of the sample that is handed over."""

    currentTime = 10.0  # noqa: N815 - PortAudio's own name
    outputBufferDacTime = 10.5  # noqa: N815 - PortAudio's own name


class Flags:
    def __init__(self, *, output_underflow: bool = False) -> None:
        self.output_underflow = output_underflow


class Card:
    """Stands in for PortAudio: asks for its first block as soon as there is a buffer."""

    def __init__(self) -> None:
        self.active = True
        self.latency = 0.02


def port_audio_on(card: Card) -> sound.PortAudioSound:
    output = sound.PortAudioSound.__new__(sound.PortAudioSound)
    output._name = "test card"
    output._playback = None
    output._gaps = 0
    output._ahead_ns = 0
    output._stream = card  # type: ignore[assignment] # the part of a stream that is used
    return output


def block_of(output: sound.PortAudioSound, frames: int, *, underflow: bool = False) -> list[int]:
    block: Pcm = np.full((frames, 1), 99, np.int16)
    output._fill(block, frames, CardMoment(), Flags(output_underflow=underflow))  # type: ignore[arg-type]
    return [int(sample) for sample in block[:, 0]]


def test_port_audio_gets_the_buffer_block_by_block_and_silence_round_it() -> None:
    output = port_audio_on(Card())
    before = block_of(output, 2)
    output._playback = sound._Playback(np.array([1, 2, 3, 4, 5], np.int16))

    blocks = [block_of(output, 2) for _ in range(4)]

    assert before == [0, 0]
    assert blocks == [[1, 2], [3, 4], [5, 0], [0, 0]]


def test_port_audio_tells_when_the_first_sample_is_heard() -> None:
    output = port_audio_on(Card())
    output._playback = sound._Playback(np.array([1, 2], np.int16))
    before_ns = time.perf_counter_ns()

    block_of(output, 2)

    assert output.started_at_ns is not None
    assert before_ns + 500_000_000 <= output.started_at_ns <= time.perf_counter_ns() + 500_000_000
    assert output.latency_ns == 500_000_000


def test_gaps_of_the_card_are_counted_while_it_plays() -> None:
    output = port_audio_on(Card())
    block_of(output, 2, underflow=True)
    output._playback = sound._Playback(np.array([1, 2, 3, 4], np.int16))

    for underflow in (True, True, False):
        block_of(output, 2, underflow=underflow)

    assert output.status == "Sound on test card, 500 ms, gaps: 1"


def test_a_card_that_is_gone_is_told_and_the_run_goes_on_silently() -> None:
    card = Card()
    output = port_audio_on(card)
    card.active = False

    started_at_ns = output.start(BUFFER)

    assert output.status == (
        "test card is gone: nothing is heard. Plug it in and choose it again in the room of the sound."
    )
    assert not output.is_audible
    assert started_at_ns == output.started_at_ns
