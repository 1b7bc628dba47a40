"""Where the rendered buffer is heard: a sound card, if there is one.

A whole run (count-in, click, line) is one buffer, started once; the card keeps it even. Three outputs, tried in turn:
PortAudio, whose callback tells when a sample leaves the card; SDL's mixer, which only tells that it took the buffer;
and none, which says why and lets the run go on silently. Moments are ns of `time.perf_counter_ns`.
"""

import os
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Event
from typing import TYPE_CHECKING, Protocol

import numpy as np

from trainer.devices.quiet import quiet_drivers
from trainer.sounds.endless import Buffer, Playable
from trainer.sounds.samples import RATE, Pcm

if TYPE_CHECKING:
    import sounddevice

_MIXER_SAMPLES = 512
_FIRST_BLOCK_S = 0.5  # a card that has asked for nothing by then has stalled


SYSTEM_MIXER = "the system's mixer"
"""The name of the output that needs no PortAudio."""


class Sound(Protocol):
    """One output."""

    @property
    def name(self) -> str:
        """What it is remembered by; empty when there is none."""
        ...

    @property
    def status(self) -> str:
        """How things stand, in one sentence for the screen."""
        ...

    @property
    def is_audible(self) -> bool:
        """Whether anything can be heard."""
        ...

    @property
    def latency_ns(self) -> int:
        """From handing a sample over to hearing it, as far as the system knows; 0 when silent."""
        ...

    @property
    def started_at_ns(self) -> int | None:
        """When the first sample of the present buffer is heard; None when nothing plays."""
        ...

    def start(self, buffer: Buffer) -> int:
        """Play a buffer from its first sample on, in place of the present one; the moment at which that is heard."""
        ...

    def stop(self) -> None:
        """Be silent."""
        ...

    def close(self) -> None:
        """Give the card back."""
        ...


class SilentSound:
    """No card: the run goes on without a sound."""

    name = ""
    is_audible = False
    latency_ns = 0

    def __init__(self, reason: str) -> None:
        self.started_at_ns: int | None = None
        self._reason = reason

    @property
    def status(self) -> str:
        """Why there is no sound."""
        return f"No sound: {self._reason}"

    def start(self, buffer: Buffer) -> int:  # noqa: ARG002 - it stands in for an output that plays it
        """Time begins to run, nothing sounds."""
        self.started_at_ns = time.perf_counter_ns()
        return self.started_at_ns

    def stop(self) -> None:
        """Nothing plays."""
        self.started_at_ns = None

    def close(self) -> None:
        """Nothing is open."""


@dataclass(slots=True)
class _Playback:
    """One buffer on its way; a new start makes a new one, so that a block in flight cannot disturb it."""

    buffer: Buffer
    place: int = 0
    started_at_ns: int | None = None
    has_begun: Event = field(default_factory=Event)


class PortAudioSound:
    """A card through PortAudio; its stream runs all the time, so that a start is heard at once."""

    def __init__(self, device: int | None = None) -> None:
        """`device` is PortAudio's number of it; None: the system's choice."""
        import sounddevice

        self._name = str(sounddevice.query_devices(device, "output")["name"])
        self._playback: _Playback | None = None
        self._gaps = 0
        self._ahead_ns = 0
        self._stream = sounddevice.OutputStream(
            device=device, samplerate=RATE, channels=1, dtype="int16", latency="low", callback=self._fill
        )
        self._stream.start()

    @property
    def name(self) -> str:
        """As PortAudio calls it."""
        return self._name

    @property
    def status(self) -> str:
        """The card, its latency, and what went wrong."""
        if not self._stream.active:
            return f"{self._name} is gone: nothing is heard. Plug it in and choose it again in the room of the sound."
        gaps = f", gaps: {self._gaps}" if self._gaps else ""
        return f"Sound on {self._name}, {self.latency_ns / 1e6:.0f} ms{gaps}"

    @property
    def is_audible(self) -> bool:
        """Whether the card still takes what is played."""
        return bool(self._stream.active)

    @property
    def latency_ns(self) -> int:
        """As PortAudio reports it, or more when the last start has shown more."""
        return max(round(self._stream.latency * 1e9), self._ahead_ns)

    @property
    def started_at_ns(self) -> int | None:
        """As the card's clock says."""
        return self._playback.started_at_ns if self._playback else None

    def start(self, buffer: Buffer) -> int:
        """Play it with the next block; waits for that block, which says when it is heard."""
        self._playback = playback = _Playback(buffer)
        if self._stream.active:
            playback.has_begun.wait(_FIRST_BLOCK_S)
        if playback.started_at_ns is None:
            playback.started_at_ns = time.perf_counter_ns() + self.latency_ns
        return playback.started_at_ns

    def stop(self) -> None:
        """Silence from the next block on."""
        self._playback = None

    def close(self) -> None:
        """Give the card back."""
        self.stop()
        self._stream.close()

    def _fill(
        self,
        block: Pcm,
        frames: int,
        moment: "sounddevice._StreamTime",
        flags: "sounddevice.CallbackFlags",
    ) -> None:
        """The card asks for its next block (called on PortAudio's thread)."""
        block.fill(0)
        playback = self._playback
        if playback is None:
            return
        if playback.place == 0:
            self._ahead_ns = max(0, round((moment.outputBufferDacTime - moment.currentTime) * 1e9))
            playback.started_at_ns = time.perf_counter_ns() + self._ahead_ns
            playback.has_begun.set()
        elif flags.output_underflow:
            self._gaps += 1
        part = playback.buffer[playback.place : playback.place + frames]
        block[: len(part), 0] = part
        playback.place += frames


class MixerSound:
    """A card through SDL's mixer, which does not say when a sample is heard: its latency is an estimate."""

    name = SYSTEM_MIXER
    is_audible = True
    latency_ns = 2 * _MIXER_SAMPLES * 1_000_000_000 // RATE  # a block that waits and a block that plays

    def __init__(self) -> None:
        os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
        from pygame import mixer

        mixer.quit()  # the window may have opened it in another format
        mixer.init(RATE, -16, 1, _MIXER_SAMPLES, allowedchanges=0)
        self.started_at_ns: int | None = None
        self._mixer = mixer
        self._channel = mixer.Channel(0)

    @property
    def status(self) -> str:
        """The way, and that its latency is not measured."""
        return f"Sound by the system's mixer, about {self.latency_ns / 1e6:.0f} ms"

    def start(self, buffer: Buffer) -> int:
        """Hand the buffer to the mixer, which begins with its next block."""
        samples = buffer.whole() if isinstance(buffer, Playable) else np.ascontiguousarray(buffer)
        self._channel.play(self._mixer.Sound(buffer=samples.tobytes()))
        self.started_at_ns = time.perf_counter_ns() + self.latency_ns
        return self.started_at_ns

    def stop(self) -> None:
        """Silence from the next block on."""
        self._channel.stop()
        self.started_at_ns = None

    def close(self) -> None:
        """Give the card back."""
        self.stop()
        self._mixer.quit()


def open_sound(outputs: tuple[Callable[[], Sound], ...] = (PortAudioSound, MixerSound)) -> Sound:
    """The first of `outputs` that opens; a `SilentSound` with every reason when none does. Never raises."""
    reasons: list[str] = []
    for output in outputs:
        try:
            with quiet_drivers():
                return output()
        except Exception as error:
            reasons.append(str(error).splitlines()[0] if str(error) else type(error).__name__)
    return SilentSound(f"no card could be opened ({'; '.join(reasons)})")
