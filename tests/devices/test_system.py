"""The differences between systems, by substitution: names of ports and files as each of them gives or forbids them."""

from pathlib import Path

import pytest

from tests.devices.midi_stand_ins import System, opened
from trainer.devices.midi_drivers import input_names
from trainer.devices.midi_input import CHECK_NS
from trainer.devices.system import is_device_name
from trainer.homework.wording import exercise_name, file_part
from trainer.keeping import KeepingError, checked_name

PORTS = {
    "Windows": (["Pickup 0", "Keys 1"], ["Keys 0", "Pickup 1"]),
    "macOS": (["Pickup Port", "Keys"], ["Keys", "Pickup Port"]),
}
"""As rtmidi lists them before and after devices were plugged in anew; on Windows the number is the place there."""


@pytest.mark.parametrize("system", ["Windows", "macOS"])
def test_a_port_is_known_again_after_the_devices_were_plugged_in_in_another_order(system: str) -> None:
    before, after = PORTS[system]

    assert set(input_names(System(before).drivers())) == set(input_names(System(after).drivers()))


def test_two_devices_of_one_name_are_told_apart_where_only_numbers_did() -> None:
    assert input_names(System(["Pickup 0", "Pickup 1"]).drivers()) == ("Pickup", "Pickup (2)")
    assert input_names(System(["Pickup:MIDI 1 20:0", "Pickup:MIDI 1 24:0"]).drivers()) == (
        "Pickup:MIDI 1",
        "Pickup:MIDI 1 (2)",
    )


def test_a_port_that_moves_up_on_windows_when_another_device_goes_is_listened_to_on() -> None:
    system = System(["Keys 0", "Pickup 1"])
    midi_input, _ = opened(system)

    system.ports = ["Pickup 0"]
    midi_input.poll(CHECK_NS)

    assert midi_input.is_connected
    assert system.clients[0].opened == "Pickup 0"


@pytest.mark.parametrize("name", ["con", "CON.mid", "nul.tar.gz", "Com1", "lpt9.toml", "aux .txt", "com³"])
def test_names_of_windows_devices_are_known_in_any_case_and_with_any_ending(name: str) -> None:
    assert is_device_name(name)


@pytest.mark.parametrize("name", ["contour", "com", "com10", "a-con", "lpt-1.mid", "nul-1", ""])
def test_other_names_are_free(name: str) -> None:
    assert not is_device_name(name)


def test_no_file_is_given_the_name_of_a_device(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))

    assert (file_part("Aux", "homework"), exercise_name("Con!")) == ("aux-1", "con-1")
    with pytest.raises(KeepingError, match="'nul' cannot be the name of a file on Windows"):
        checked_name("nul")
