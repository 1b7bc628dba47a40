from dataclasses import replace

import numpy as np
import pytest

from trainer.devices import outputs
from trainer.devices.outputs import Outlet, opened, output_named, output_names
from trainer.devices.remembered import KeptSound
from trainer.devices.sound import SYSTEM_MIXER, SilentSound, Sound
from trainer.sounds.endless import Buffer
from trainer.theory.naming import UnknownWord

MS = 1_000_000
BUFFER = np.zeros(480, np.int16)


class Card:
    """A card of the hut: tells when it was started and keeps what it plays."""

    is_audible = True
    latency_ns = 10 * MS

    def __init__(self, name: str = "Hut card") -> None:
        self.name = name
        self.status = f"Sound on {name}, 10 ms"
        self.started_at_ns: int | None = None
        self.played: list[Buffer] = []
        self.is_closed = False

    def start(self, buffer: Buffer) -> int:
        self.played.append(buffer)
        self.started_at_ns = 1_000 * MS
        return self.started_at_ns

    def stop(self) -> None:
        self.started_at_ns = None

    def close(self) -> None:
        self.is_closed = True


def broken() -> Sound:
    raise OSError("it is in use")


def test_an_output_is_told_to_be_heard_later_by_its_offset() -> None:
    outlet = Outlet(Card(), 35.0)

    assert outlet.start(BUFFER) == 1_035 * MS
    assert outlet.started_at_ns == 1_035 * MS
    assert outlet.latency_ns == 45 * MS
    assert outlet.status == "Sound on Hut card, 10 ms, corrected by +35 ms"


def test_an_offset_counts_from_when_it_is_changed_and_may_be_negative() -> None:
    outlet = Outlet(Card())
    before = outlet.start(BUFFER)

    outlet.offset_ms = -4.5

    assert (before, outlet.started_at_ns) == (1_000 * MS, 1_000 * MS - 4_500_000)


def test_without_an_offset_or_a_sound_nothing_is_corrected() -> None:
    assert Outlet(Card()).status == "Sound on Hut card, 10 ms"
    assert Outlet(SilentSound("it is switched off"), 35.0).status == "No sound: it is switched off"
    assert Outlet(SilentSound("it is switched off"), 35.0).latency_ns == 0
    assert Outlet(Card(), 35.0).name == "Hut card"


def test_another_output_is_opened_once_the_first_was_given_back() -> None:
    first, second, outlet = Card(), Card("Cave card"), None
    outlet = Outlet(first, 35.0)
    seen: list[bool] = []

    def open_second() -> tuple[Sound, float]:
        seen.append(first.is_closed)
        return second, 2.0

    outlet.exchange(open_second)

    assert seen == [True]
    assert (outlet.name, outlet.offset_ms) == ("Cave card", 2.0)
    outlet.stop()
    outlet.close()
    assert second.is_closed


def test_the_chosen_output_is_opened_with_its_own_offset() -> None:
    kept = KeptSound("Cave card", {"Cave card": 12.0, "Hut card": 35.0})

    sound, offset_ms = opened(kept, {"Hut card": Card, "Cave card": lambda: Card("Cave card")})

    assert (sound.name, offset_ms) == ("Cave card", 12.0)


@pytest.mark.parametrize("there", [{}, {"Cave card": broken}])
def test_an_output_that_is_absent_or_busy_gives_way_to_the_first_that_opens(
    monkeypatch: pytest.MonkeyPatch, there: outputs.Openers
) -> None:
    monkeypatch.setattr(outputs, "PortAudioSound", Card)
    kept = KeptSound("Cave card", {"Cave card": 12.0, "Hut card": 35.0})

    sound, offset_ms = opened(kept, there)

    assert (sound.name, offset_ms) == ("Hut card", 35.0)


def test_the_outputs_are_portaudios_each_name_once_then_the_mixer(monkeypatch: pytest.MonkeyPatch) -> None:
    import sounddevice

    devices = [
        {"name": "Hut card", "max_output_channels": 2},
        {"name": "Microphone", "max_output_channels": 0},
        {"name": "Cave card", "max_output_channels": 8},
        {"name": "Hut card", "max_output_channels": 2},
    ]
    monkeypatch.setattr(sounddevice, "query_devices", lambda: devices)

    assert output_names() == ("Hut card", "Cave card", SYSTEM_MIXER)
    assert outputs.port_audio_outputs() == {"Hut card": 0, "Cave card": 2}
    assert output_named("cave CARD") == "Cave card"
    with pytest.raises(UnknownWord, match="'cave cart' is not an output that is there; nearest: 'Cave card'"):
        output_named("cave cart")


def test_where_portaudio_is_broken_the_mixer_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    import sounddevice

    def refuse() -> list[object]:
        raise OSError("PortAudio library not found")

    monkeypatch.setattr(sounddevice, "query_devices", refuse)

    assert output_names() == (SYSTEM_MIXER,)
    assert list(outputs.openers()) == [SYSTEM_MIXER]


def test_an_offset_beyond_half_a_second_is_refused() -> None:
    with pytest.raises(ValueError, match="offset of Hut card: 501 ms; expected at most 500 either way"):
        replace(KeptSound(), offsets_ms={"Hut card": 501.0})
