import os

import pytest

from tests.devices.midi_stand_ins import MS, OFF, ON, Client, Clock, System, opened, play, silenced
from trainer.devices.midi_drivers import MidiDrivers, MidiInputError, input_names, port_named
from trainer.devices.midi_input import CHECK_NS, RETRY_NS, MidiInput
from trainer.playing.messages import StampedMessage

# Names


def test_ports_are_named_without_the_numbers_of_the_system_and_with_an_ordinal_among_equals() -> None:
    system = System(
        ["Midi Through:Midi Through Port-0 14:0", "Pickup 20:0", "Pickup 24:0", "a2j:Loop [20] (capture): 1"]
    )

    assert input_names(system.drivers()) == (
        "Pickup",
        "Pickup (2)",
        "a2j:Loop (capture):",
        "Midi Through:Midi Through Port-0",
    )


def test_a_port_that_two_systems_show_is_named_once_and_an_absent_system_is_passed_over() -> None:
    absent, first, second = System(is_there=False), System(["Pickup 20:0"]), System(["Pickup", "Keys"])

    assert input_names(absent.drivers(first, second)) == ("Pickup", "Keys")


def test_the_beats_of_this_program_or_of_another_copy_are_no_port() -> None:
    system = System(["boxwalk-pulse:pulse", "Pickup", "boxwalk-pulse-01:pulse"])

    assert input_names(system.drivers()) == ("Pickup",)


def test_listing_leaves_no_client_behind() -> None:
    system = System(["Pickup"])

    input_names(system.drivers())

    assert system.clients == []


def test_without_a_midi_library_there_are_no_ports_and_opening_says_what_to_install() -> None:
    def apis() -> list[int]:
        raise ImportError("libasound.so.2: cannot open shared object file")

    drivers = MidiDrivers(apis, lambda _: Client(System()))

    assert input_names(drivers) == ()
    with pytest.raises(MidiInputError, match=r"libasound\.so\.2.*needs the package libasound2"):
        MidiInput("Pickup", drivers)


@pytest.mark.parametrize("wanted", ["Quarry Six", "quarry six", "Quarry Six 20:0", "six"])
def test_a_port_is_found_by_its_name_in_any_case_or_by_a_part_that_only_it_has(wanted: str) -> None:
    assert port_named(wanted, ["Ridge Keys", "Quarry Six", "Quarry Five"]) == "Quarry Six"


def test_an_unknown_name_gets_the_nearest_ones() -> None:
    with pytest.raises(MidiInputError, match=r"no MIDI port 'Pikcup'\. Nearest: Pickup, "):
        port_named("Pikcup", ["Ridge Keys", "Pickup"])


@pytest.mark.parametrize("wanted", ["quarry", " "])
def test_a_part_that_several_names_have_is_no_choice(wanted: str) -> None:
    with pytest.raises(MidiInputError, match="no MIDI port"):
        port_named(wanted, ["Quarry Six", "Quarry Five"])


def test_without_any_port_the_error_asks_for_the_pickup() -> None:
    with pytest.raises(MidiInputError, match="none was found at all"):
        opened(System())


# Messages


def test_messages_are_stamped_by_the_drivers_deltas_and_not_by_their_arrival() -> None:
    system = System(["Pickup"])
    midi_input, clock = opened(system)

    play(system, clock, 1_000 * MS, ON, 0.0)
    play(system, clock, 1_107 * MS, OFF, 0.100)  # 7 ms late

    assert midi_input.poll(1_110 * MS) == (
        StampedMessage(1_000 * MS, bytes(ON)),
        StampedMessage(1_100 * MS, bytes(OFF)),
    )
    assert midi_input.poll(1_120 * MS) == ()


def test_clock_and_active_sensing_count_for_the_time_and_are_dropped() -> None:
    system = System(["Pickup"])
    midi_input, clock = opened(system)

    play(system, clock, 1_000 * MS, ON, 0.0)
    play(system, clock, 1_020 * MS, [0xF8], 0.020)
    play(system, clock, 1_050 * MS, [0xFE], 0.030)
    play(system, clock, 1_069 * MS, OFF, 0.010)

    assert midi_input.poll(1_070 * MS)[1] == StampedMessage(1_060 * MS, bytes(OFF))
    assert system.clients[0].ignored == (False, False, False)


def test_an_error_in_the_drivers_thread_is_said_and_the_next_message_is_taken_in() -> None:
    system = System(["Pickup"])
    midi_input, clock = opened(system)

    play(system, clock, 1_000 * MS, [0x90, 300, 1], 0.0)
    play(system, clock, 1_001 * MS, ON, 0.0)

    assert [message.data for message in midi_input.poll(1_002 * MS)] == [bytes(ON)]
    assert midi_input.status.startswith("Pickup is connected. A message could not be taken in: bytes must be in range")


def test_what_the_drivers_print_stays_out_of_the_terminal(capfd: pytest.CaptureFixture[str]) -> None:
    midi_input, _ = opened(System(["Pickup"]))
    midi_input.poll(CHECK_NS)
    input_names(System(["Pickup"]).drivers())
    os.write(2, b"what the program says\n")

    assert capfd.readouterr().err == "what the program says\n"


# Ports that go and come


def test_a_port_that_is_unplugged_is_said_to_be_gone_and_taken_up_again_when_it_is_back() -> None:
    system = System(["Keys", "Pickup 20:0"])
    midi_input, clock = opened(system)
    play(system, clock, 10 * MS, ON, 0.0)
    statuses = [midi_input.status]
    messages = list(midi_input.poll(CHECK_NS - 1))

    system.ports = ["Keys"]
    messages.extend(midi_input.poll(CHECK_NS))
    statuses.append(midi_input.status)
    system.ports = ["Keys", "Pickup 28:0"]
    messages.extend(midi_input.poll(2 * CHECK_NS))
    statuses.append(midi_input.status)
    play(system, clock, 2 * CHECK_NS + 300 * MS, OFF, 0.0)
    messages.extend(midi_input.poll(2 * CHECK_NS + 301 * MS))

    assert statuses == [
        "Pickup is connected.",
        "Pickup has gone. Plug it in again: it is taken up by itself.",
        "Pickup is back.",
    ]
    assert messages == [
        StampedMessage(10 * MS, bytes(ON)),
        *silenced(CHECK_NS),
        StampedMessage(2 * CHECK_NS + 300 * MS, bytes(OFF)),
    ]


def test_stamps_go_on_rising_when_the_driver_counts_anew_after_reopening() -> None:
    system = System(["Pickup"])
    midi_input, clock = opened(system)
    stamps: list[int] = []
    for index in range(5):
        play(system, clock, index * 10 * MS, ON, 0.01)
    stamps.extend(message.stamp_ns for message in midi_input.poll(CHECK_NS - 1))
    system.ports = []
    midi_input.poll(CHECK_NS)
    system.ports = ["Pickup"]
    midi_input.poll(2 * CHECK_NS)

    for index in range(5):
        play(system, clock, 2 * CHECK_NS + index * 10 * MS, ON, 40.0 if index == 0 else 0.01)
    stamps.extend(message.stamp_ns for message in midi_input.poll(3 * CHECK_NS - 1))

    assert stamps == [
        *(index * 10 * MS for index in range(5)),
        *(2 * CHECK_NS + index * 10 * MS for index in range(5)),
    ]


def test_what_a_lost_device_held_is_ended_on_every_channel_that_it_spoke_on_and_on_no_other() -> None:
    system = System(["Pickup"])
    midi_input, clock = opened(system)
    play(system, clock, 1 * MS, [0xE5, 0, 80], 0.0)
    play(system, clock, 2 * MS, [0x92, 64, 100], 0.001)
    play(system, clock, 3 * MS, [0xF0, 1, 2, 0xF7], 0.001)
    midi_input.poll(4 * MS)

    system.ports = []
    messages = midi_input.poll(CHECK_NS)
    system.ports = ["Pickup"]

    assert list(messages) == silenced(CHECK_NS, 2, 5)
    assert midi_input.poll(2 * CHECK_NS) == ()


def test_another_device_that_is_unplugged_changes_nothing() -> None:
    system = System(["Keys", "Pickup"])
    midi_input, clock = opened(system)
    play(system, clock, 1 * MS, ON, 0.0)
    midi_input.poll(2 * MS)
    system.log.clear()

    system.ports = ["Pickup"]
    messages = midi_input.poll(CHECK_NS)
    play(system, clock, CHECK_NS + 1 * MS, OFF, 0.059)

    assert messages == ()
    assert [message.data for message in midi_input.poll(CHECK_NS + 2 * MS)] == [bytes(OFF)]
    assert (midi_input.status, system.log) == ("Pickup is connected.", [])


def test_a_port_whose_number_changed_between_two_looks_is_opened_anew() -> None:
    system = System(["Pickup 20:0"])
    midi_input, _ = opened(system)

    system.ports = ["Pickup 24:0"]
    midi_input.poll(CHECK_NS)

    assert midi_input.is_connected
    assert [entry for entry in system.log if entry.startswith("open")] == [
        "open Pickup 20:0 as input",
        "open Pickup 24:0 as input",
    ]
    assert len(system.clients) == 1


def test_the_second_of_two_equal_ports_stays_open_when_the_first_goes() -> None:
    system = System(["Pickup 20:0", "Pickup 24:0"])
    midi_input, _ = opened(system, "Pickup (2)")

    system.ports = ["Pickup 24:0"]
    midi_input.poll(CHECK_NS)

    assert midi_input.is_connected
    assert system.clients[0].opened == "Pickup 24:0"


def test_a_port_that_another_program_holds_is_said_and_opened_when_it_is_free() -> None:
    system = System(["Pickup"], busy={"Pickup"})
    midi_input, _ = opened(system)
    status = midi_input.status

    system.busy.clear()
    midi_input.poll(RETRY_NS)

    assert status == (
        "Pickup cannot be opened (error creating the port). Close what else uses it: it is tried again and again."
    )
    assert (midi_input.status, midi_input.is_connected) == ("Pickup is connected.", True)


def test_ports_are_listed_through_the_client_that_is_open() -> None:
    system = System(["Pickup"])
    drivers = system.drivers()
    midi_input = MidiInput("Pickup", drivers, Clock())
    system.log.clear()

    names = input_names(drivers)
    midi_input.close()

    assert names == ("Pickup",)
    assert system.log == ["delete"]


def test_a_client_whose_system_refuses_a_new_one_is_never_touched_again() -> None:
    system = System(["Pickup"])
    drivers = system.drivers()
    midi_input = MidiInput("Pickup", drivers, Clock())
    system.log.clear()

    system.is_there = False
    with pytest.raises(MidiInputError, match=r"does not answer \(the server is not running\)"):
        MidiInput("Pickup", drivers, Clock())
    midi_input.close()

    assert system.log == ["connect"]
    assert midi_input.status == "Pickup is closed."


def test_a_closed_input_stays_closed() -> None:
    system = System(["Pickup"])
    midi_input, _ = opened(system)

    midi_input.close()

    assert midi_input.poll(10 * CHECK_NS) == ()
    assert (midi_input.status, midi_input.is_connected, system.clients) == ("Pickup is closed.", False, [])
