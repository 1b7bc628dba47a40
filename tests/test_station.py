from collections.abc import Callable
from pathlib import Path

import pytest

from trainer.devices.midi_drivers import MidiInputError
from trainer.devices.remembered import Memory, SetUp
from trainer.devices.sound import SilentSound
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.station import DEMONSTRATION, SIMULATED, Station

LINE = load_exercise("two-gates")


class Heard(SilentSound):
    is_audible = True


class Port:
    """Stands in for a MIDI port."""

    open: list[str] = []  # noqa: RUF012 - which ports are open, of all of them

    def __init__(self, name: str) -> None:
        self.name = self.status = name
        self.waiting: list[StampedMessage] = []
        self.open.append(name)

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        arrived = tuple(message for message in self.waiting if message.stamp_ns <= now_ns)
        self.waiting = [message for message in self.waiting if message.stamp_ns > now_ns]
        return arrived

    def close(self) -> None:
        self.open.remove(self.name)


@pytest.fixture
def ports(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Port]:
    """Two ports; `ports(name)` is the one that was opened last by that name."""
    made: dict[str, Port] = {}
    Port.open.clear()

    def opened(name: str) -> Port:
        if name not in ("Hut pickup", "Barn pickup"):
            raise MidiInputError(f"There is no MIDI port {name!r}.")
        made[name] = Port(name)
        return made[name]

    monkeypatch.setattr("trainer.station.MidiInput", opened)
    monkeypatch.setattr("trainer.devices.seat.MidiInput", Port)
    monkeypatch.setattr("trainer.station.input_names", lambda: ("Hut pickup", "Barn pickup"))
    return lambda name: made[name]


def note(pitch: int, at_ns: int) -> StampedMessage:
    return StampedMessage(at_ns, bytes((0x90, pitch, 90)))


def test_the_status_says_that_nothing_can_be_heard_and_only_then() -> None:
    silent = Station(SIMULATED, SilentSound("no card was found"))
    audible = Station(SIMULATED, Heard("it stands in for a card"))

    assert silent.status == "No sound. A simulated player plays."
    assert audible.status == "A simulated player plays."


def test_two_inputs_are_heard_apart_and_turns_change_whose_playing_counts(ports: Callable[[str], Port]) -> None:
    station = Station("Hut pickup", SilentSound("test"))
    station.choose_second("Barn pickup")
    for at_ns in (1, 2, 3):
        ports("Hut pickup").waiting.append(note(60, at_ns))
        ports("Barn pickup").waiting.append(note(70, at_ns))

    first = station.poll(1), station.heard_aside()
    station.play_on(second=True)
    second = station.poll(2), station.heard_aside()
    station.play_on(second=False)
    again = station.poll(3), station.heard_aside()

    assert first == ((note(60, 1),), (note(70, 1),))
    assert second == ((note(70, 2),), (note(60, 2),))
    assert again == ((note(60, 3),), (note(70, 3),))


def test_nothing_of_the_other_input_is_lost_between_two_questions(ports: Callable[[str], Port]) -> None:
    """The window polls more often than it asks a screen to take in what arrived."""
    station = Station("Hut pickup", SilentSound("test"))
    station.choose_second("Barn pickup")
    for at_ns in (1, 2, 3):
        ports("Barn pickup").waiting.append(note(70, at_ns))

    for now_ns in (1, 2, 3):
        station.poll(now_ns)

    assert station.heard_aside() == (note(70, 1), note(70, 2), note(70, 3))
    assert station.heard_aside() == ()


@pytest.mark.usefixtures("ports")
def test_each_input_is_read_as_it_was_set_up(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "remembered.json")
    memory.keep_device("Hut pickup", SetUp(PickupProfile(name="hut")))
    memory.keep_device("Barn pickup", SetUp(PickupProfile(name="barn")))
    station = Station("Hut pickup", SilentSound("test"), memory=memory)
    station.choose_second("Barn pickup")

    names = [station.profile.name]
    station.play_on(second=True)
    names.append(station.profile.name)

    assert names == ["hut", "barn"]


@pytest.mark.usefixtures("ports")
def test_a_port_is_one_input_at_a_time_and_is_closed_when_it_is_none() -> None:
    station = Station("Hut pickup", SilentSound("test"))

    with pytest.raises(MidiInputError, match="Hut pickup is the first input already"):
        station.choose_second("Hut pickup")
    station.choose_second("Barn pickup")
    station.choose_input("Barn pickup")

    assert station.second is None
    assert Port.open == ["Barn pickup"]
    station.close()
    assert Port.open == []


@pytest.mark.usefixtures("ports")
def test_a_second_input_that_cannot_be_had_leaves_everything_as_it_is() -> None:
    station = Station("Hut pickup", SilentSound("test"))
    station.choose_second("Barn pickup")

    with pytest.raises(MidiInputError, match="no MIDI port 'Cave'"):
        station.choose_second("Cave")

    assert station.second is not None
    assert station.second.input_name == "Barn pickup"


@pytest.mark.usefixtures("ports")
def test_a_run_is_played_on_the_input_whose_turn_it_is() -> None:
    station = Station(DEMONSTRATION, SilentSound("test"))
    station.choose_second(SIMULATED)
    station.play_on(second=True)
    assert (station.is_second_playing, station.input_name) == (True, SIMULATED)

    run = station.start_run(RunPlan(LINE, LINE.tempo))
    heard = station.poll(run.zero_ns + 60_000_000_000)
    run.finish(run.zero_ns + 60_000_000_000)

    assert heard
    assert station.heard_aside() == ()
    station.choose_second("")
    assert (station.is_second_playing, station.input_name) == (False, DEMONSTRATION)
