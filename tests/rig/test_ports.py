import json
import os
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from trainer.devices.midi_drivers import MidiInputError, input_names
from trainer.devices.midi_input import MidiInput
from trainer.devices.recording import TakeWriter, quantised
from trainer.playing.messages import StampedMessage
from trainer.playing.take import read_take

from .conftest import PlayThrough
from .jack import JackServer, run_python
from .player import Player, PortChange
from .writer_process import HEADER

pytestmark = pytest.mark.rig

MS = 1_000_000
FRAME_S = 0.016
GIVES_UP_AFTER_S = 20.0

Listen = Callable[[str], MidiInput]


@pytest.fixture
def listen(jack_server: JackServer) -> Iterator[Listen]:
    """Opens ports in this process, whose threads take turns as quickly as the program's."""
    inputs: list[MidiInput] = []
    switch_interval_s = sys.getswitchinterval()
    sys.setswitchinterval(0.0005)

    def make(name: str) -> MidiInput:
        assert jack_server.name
        inputs.append(MidiInput(name))
        return inputs[-1]

    yield make
    for midi_input in inputs:
        midi_input.close()
    sys.setswitchinterval(switch_interval_s)


def note_ons(count: int, step_ns: int, starts_at_ns: int = 0) -> tuple[StampedMessage, ...]:
    return tuple(
        StampedMessage(starts_at_ns + index * step_ns, bytes((0x90 | index % 6, 40 + index % 40, 100)))
        for index in range(count)
    )


def notes_of(messages: list[StampedMessage]) -> list[bytes]:
    return [message.data for message in messages if message.data[0] & 0xF0 == 0x90]


def poll_until(midi_input: MidiInput, is_enough: Callable[[list[StampedMessage]], bool]) -> list[StampedMessage]:
    """Poll as a frame loop does until enough has arrived: half of each frame is work that keeps the driver waiting."""
    messages: list[StampedMessage] = []
    deadline = time.monotonic() + GIVES_UP_AFTER_S
    while not is_enough(messages):
        assert time.monotonic() < deadline, f"{len(messages)} messages, status: {midi_input.status}"
        time.sleep(FRAME_S / 2)
        works_until = time.monotonic() + FRAME_S / 2
        while time.monotonic() < works_until:
            pass
        messages.extend(midi_input.poll(time.perf_counter_ns()))
    return messages


def test_a_port_of_another_process_is_listed_and_an_unknown_name_gets_the_nearest(play_through: PlayThrough) -> None:
    play_through([], "Pickup")

    assert input_names() == ("rig:Pickup",)
    with pytest.raises(MidiInputError, match=r"no MIDI port 'Pikcup'\. Nearest: rig:Pickup\."):
        MidiInput("Pikcup")


def test_everything_sent_arrives_in_order_with_rising_stamps_that_lie_near_the_sending(
    play_through: PlayThrough, listen: Listen, capsys: pytest.CaptureFixture[str]
) -> None:
    played = note_ons(300, 7 * MS)
    player = play_through(played)
    midi_input = listen(player.port)

    player.start()
    heard = poll_until(midi_input, lambda messages: len(messages) >= len(played))
    sent_ns = player.sent_ns()

    late_ms = sorted((message.stamp_ns - sent) / MS for message, sent in zip(heard, sent_ns, strict=True))
    with capsys.disabled():
        median, p99 = statistics.median(late_ms), late_ms[len(late_ms) * 99 // 100]
        sys.stdout.write(f"\nstamp - sending, ms: p50 {median:.2f}, p99 {p99:.2f}, max {late_ms[-1]:.2f}\n")
    assert [message.data for message in heard] == [message.data for message in played]
    assert [message.stamp_ns for message in heard] == sorted(message.stamp_ns for message in heard)


def test_system_exclusives_arrive_whole_and_clock_and_active_sensing_do_not(
    play_through: PlayThrough, listen: Listen
) -> None:
    exclusive = bytes((0xF0, 0x7D, *range(100), 0xF7))
    sent = [b"\xf8", exclusive, b"\xfe", b"\x90\x40\x64", b"\xe0\x00\x50", b"\xf8", b"\x80\x40\x00"]
    player = play_through([StampedMessage(index * 5 * MS, data) for index, data in enumerate(sent)])
    midi_input = listen(player.port)

    player.start()
    heard = poll_until(midi_input, lambda messages: any(message.data[0] == 0x80 for message in messages))

    assert [message.data for message in heard] == [exclusive, b"\x90\x40\x64", b"\xe0\x00\x50", b"\x80\x40\x00"]


def test_a_port_taken_away_and_given_back_is_said_and_its_messages_come_again(
    play_through: PlayThrough, listen: Listen
) -> None:
    before, after = note_ons(5, 10 * MS), note_ons(5, 10 * MS, 4_000 * MS)
    away, back = PortChange(200 * MS, None), PortChange(2_000 * MS, "Pickup")
    player = play_through([*before, away, back, *after])
    midi_input = listen(player.port)
    statuses = [midi_input.status]

    def is_enough(messages: list[StampedMessage]) -> bool:
        if midi_input.status != statuses[-1]:
            statuses.append(midi_input.status)
        return len(notes_of(messages)) >= len(before) + len(after)

    player.start()
    heard = poll_until(midi_input, is_enough)

    assert statuses == [
        "rig:Pickup is connected.",
        "rig:Pickup has gone. Plug it in again: it is taken up by itself.",
        "rig:Pickup is back.",
    ]
    assert notes_of(heard) == [message.data for message in before + after]
    assert heard[len(before)].data == bytes((0xB0, 123, 0))  # what the device held is ended
    assert [message.stamp_ns for message in heard] == sorted(message.stamp_ns for message in heard)


def test_a_port_that_is_back_faster_than_half_a_second_is_heard_again(
    play_through: PlayThrough, listen: Listen
) -> None:
    before, after = note_ons(3, 10 * MS), note_ons(3, 10 * MS, 1_000 * MS)
    player = play_through([*before, PortChange(300 * MS, None), PortChange(450 * MS, "Pickup"), *after])
    midi_input = listen(player.port)

    player.start()
    heard = poll_until(midi_input, lambda messages: len(notes_of(messages)) >= len(before) + len(after))

    assert notes_of(heard) == [message.data for message in before + after]


def test_another_device_that_is_unplugged_costs_nothing(play_through: PlayThrough, listen: Listen) -> None:
    played = note_ons(30, 20 * MS)
    keys = play_through([PortChange(200 * MS, None), PortChange(400 * MS, "Keys")], "Keys")
    player = play_through(played)
    midi_input = listen("Pickup")  # the second client of that name gets a number

    keys.start()
    player.start()
    heard = poll_until(midi_input, lambda messages: len(messages) >= len(played))

    assert [message.data for message in heard] == [message.data for message in played]
    assert midi_input.status == f"{midi_input.name} is connected."


def test_an_exclusive_message_that_never_ends_swallows_no_more_than_two_seconds(
    play_through: PlayThrough, listen: Listen
) -> None:
    before, after = note_ons(1, 10 * MS), note_ons(24, 100 * MS, 1_000 * MS)
    player = play_through([*before, StampedMessage(900 * MS, b"\xf0\x7d\x01"), *after])
    midi_input = listen(player.port)

    player.start()
    heard = poll_until(midi_input, lambda messages: after[-1].data in notes_of(messages))

    assert set(notes_of(heard)) >= {message.data for message in (*before, *after[20:])}


def test_a_port_given_back_under_another_number_is_the_same_port(play_through: PlayThrough, listen: Listen) -> None:
    before, after = note_ons(2, 10 * MS), note_ons(2, 10 * MS, 1_500 * MS)
    player = play_through([*before, PortChange(100 * MS, "Pickup 24:0"), *after], "Pickup 20:0")
    midi_input = listen("Pickup")

    player.start()
    heard = poll_until(midi_input, lambda messages: len(notes_of(messages)) >= 4)

    assert notes_of(heard) == [message.data for message in before + after]
    assert midi_input.name == "rig:Pickup"


def test_a_take_kept_from_a_port_says_what_was_heard(play_through: PlayThrough, listen: Listen, tmp_path: Path) -> None:
    played = note_ons(20, 20 * MS)
    player = play_through(played)
    midi_input = listen(player.port)
    zero_ns = player.start() - 10 * MS
    writer = TakeWriter(tmp_path / "take.mid", HEADER)

    heard = []
    for message in poll_until(midi_input, lambda messages: len(messages) >= len(played)):
        heard.append(StampedMessage(quantised(message.stamp_ns - zero_ns), message.data))
        writer.keep(heard[-1])
    writer.close()

    assert read_take(tmp_path / "take.mid").messages == tuple(heard)


def test_after_the_midi_server_has_died_ports_can_be_listed_chosen_and_closed(tmp_path: Path) -> None:
    # In a process of its own: a client library that has lost its server would trouble the other tests.
    server = JackServer(f"boxwalk-dies-{os.getpid()}", tmp_path / "jackd.log")
    with server:
        player = Player(server, [], "Pickup")
        listener = run_python(["-m", "tests.rig.listener_process", "rig:Pickup"], server.environment)
        assert listener.stdout is not None
        connected = listener.stdout.readline()

        server.stop()
        rest, _ = listener.communicate()
        player.stop()

    assert json.loads(connected) == {"status": "rig:Pickup is connected."}
    assert rest.startswith('{"ports": ')
    assert listener.returncode == 0
