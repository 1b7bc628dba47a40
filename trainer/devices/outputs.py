"""The outputs that there are, and the one that was chosen, with what it is known to be late by.

Conventions: an output goes by its name alone, which stays the same when the system numbers its devices anew.
"""

from collections.abc import Callable, Mapping

from trainer.devices.quiet import quiet_drivers
from trainer.devices.remembered import KeptSound, Memory
from trainer.devices.sound import SYSTEM_MIXER, MixerSound, PortAudioSound, Sound, open_sound
from trainer.sounds.endless import Buffer
from trainer.theory.naming import UnknownWord, folded

FIRST_THAT_OPENS = "the first that opens"
"""How the choice of none is called."""


def port_audio_outputs() -> dict[str, int]:
    """PortAudio's outputs by name; the first of those with one name; none where PortAudio is not there."""
    try:
        with quiet_drivers():
            import sounddevice

            devices = list(sounddevice.query_devices())
    except Exception:  # a library of the system may be missing or broken in any way: then there are none
        return {}
    found: dict[str, int] = {}
    for number, device in enumerate(devices):
        if device["max_output_channels"] > 0:
            found.setdefault(str(device["name"]), number)
    return found


def output_names() -> tuple[str, ...]:
    """What can be chosen: PortAudio's outputs, then the system's mixer."""
    return (*port_audio_outputs(), SYSTEM_MIXER)


def output_named(name: str) -> str:
    """The output of that name, without regard to case; `UnknownWord` with the nearest one."""
    names = output_names()
    for one in names:
        if folded(one) == folded(name):
            return one
    raise UnknownWord(name, "an output that is there", names)


class Outlet:
    """The output in use, which can be exchanged for another while the program runs.

    It is heard `offset_ms` later than the system knows (negative: earlier), which all moments told here contain.
    """

    def __init__(self, sound: Sound, offset_ms: float = 0.0) -> None:
        self._sound = sound
        self.offset_ms = offset_ms
        """Can be changed at any time; moments told afterwards have it."""

    def exchange(self, opened: Callable[[], tuple[Sound, float]]) -> None:
        """Give the present output back, for some cards are opened only once, and use another."""
        self._sound.close()
        self._sound, self.offset_ms = opened()

    @property
    def _offset_ns(self) -> int:
        return round(self.offset_ms * 1_000_000)

    @property
    def name(self) -> str:
        """The output's own."""
        return self._sound.name

    @property
    def status(self) -> str:
        """The output's own, and the correction."""
        if self.offset_ms == 0 or not self.is_audible:
            return self._sound.status
        return f"{self._sound.status}, corrected by {self.offset_ms:+.0f} ms"

    @property
    def is_audible(self) -> bool:
        """The output's own."""
        return self._sound.is_audible

    @property
    def latency_ns(self) -> int:
        """The output's own, corrected."""
        return self._sound.latency_ns + (self._offset_ns if self.is_audible else 0)

    @property
    def started_at_ns(self) -> int | None:
        """The output's own, corrected."""
        started_at_ns = self._sound.started_at_ns
        return None if started_at_ns is None else started_at_ns + self._offset_ns

    def start(self, buffer: Buffer) -> int:
        """As the output does; the moment is corrected."""
        return self._sound.start(buffer) + self._offset_ns

    def stop(self) -> None:
        """As the output does."""
        self._sound.stop()

    def close(self) -> None:
        """As the output does."""
        self._sound.close()


Openers = Mapping[str, Callable[[], Sound]]


def openers() -> Openers:
    """How each output is opened, by its name."""
    ways: dict[str, Callable[[], Sound]] = {
        name: lambda number=number: PortAudioSound(number)  # type: ignore[misc] # the number of this turn
        for name, number in port_audio_outputs().items()
    }
    return {**ways, SYSTEM_MIXER: MixerSound}


def opened(kept: KeptSound, there: Openers | None = None) -> tuple[Sound, float]:
    """The chosen output, else the first that opens, and what it is corrected by. Never raises."""
    usual: tuple[Callable[[], Sound], ...] = (PortAudioSound, MixerSound)
    if kept.output:
        opener = (openers() if there is None else there).get(kept.output)
        usual = usual if opener is None else (opener, *usual)
    sound = open_sound(usual)
    return sound, kept.offsets_ms.get(sound.name, 0.0)


def remembered_sound(memory: Memory | None = None) -> Outlet:
    """The output that is remembered."""
    return Outlet(*opened((memory or Memory()).sound))
