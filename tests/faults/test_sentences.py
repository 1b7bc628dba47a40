"""What the screen says after each fault of a live take: what happened, and what to do.

One table; each fault is brought about, and its sentence looked for on the screen. What faults of files and of the
history say stands in `test_full_disk` and in tests/history.
"""

from collections.abc import Callable, Iterator

import pytest

from tests.devices.midi_stand_ins import Clock, System, poll_for
from tests.devices.test_sound import Card, port_audio_on
from tests.screens.desk import Page
from trainer.devices.midi_input import CHECK_NS, MidiInput
from trainer.devices.pulse import BEAT_NS, LOST_AFTER
from trainer.devices.sound import SilentSound, Sound
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.run import Run, RunPlan
from trainer.score.library import load_exercise
from trainer.screens.look import Look, look_of, wear
from trainer.screens.practice import PracticeScreen
from trainer.station import SIMULATED, Station

EXERCISE = load_exercise("two-gates")
PLAN = RunPlan(EXERCISE, EXERCISE.tempo)


def station_on(midi_input: MidiInput | None, sound: Sound | None = None) -> Station:
    station = Station(SIMULATED, sound or SilentSound("it is switched off"))
    station._seat.source = midi_input
    return station


def on_system(system: System) -> tuple[Station, MidiInput, Clock]:
    clock = Clock()
    midi_input = MidiInput("Pickup", system.drivers(), clock)
    poll_for(midi_input, clock, 2 * BEAT_NS)
    return station_on(midi_input), midi_input, clock


def unplugged() -> str:
    system = System(["Pickup"])
    station, midi_input, clock = on_system(system)
    system.ports = []
    poll_for(midi_input, clock, 2 * CHECK_NS)
    return station.trouble


def held_by_another() -> str:
    return on_system(System(["Pickup"], busy={"Pickup"}))[0].trouble


def dead_system() -> str:
    system = System(["Pickup"], can_die=True)
    station, midi_input, clock = on_system(system)
    system.die()
    poll_for(midi_input, clock, (LOST_AFTER + 2) * BEAT_NS)
    return station.trouble


def lost_card() -> str:
    card = Card()
    station = station_on(None, port_audio_on(card))
    assert station.trouble == ""
    card.active = False
    return station.trouble


def unknown_channel() -> str:
    run = run_of_line()
    run.update((StampedMessage(1, bytes((0x9E, 64, 100))),), 2)
    return run.trouble or ""


FAULTS: dict[str, tuple[Callable[[], str], str]] = {
    "port unplugged": (unplugged, "Pickup has gone. Plug it in again: it is taken up by itself."),
    "port held by another program": (
        held_by_another,
        "Pickup cannot be opened (error creating the port). Close what else uses it: it is tried again and again.",
    ),
    "MIDI system dead": (
        dead_system,
        "The MIDI system does not answer any more. Start it again: Pickup is taken up by itself.",
    ),
    "sound card gone": (
        lost_card,
        "test card is gone: nothing is heard. Plug it in and choose it again in the room of the sound.",
    ),
    "notes on unknown channels": (
        unknown_channel,
        "1 note on channels that the pickup's profile does not name: set the pickup up (F2).",
    ),
}


def run_of_line() -> Run:
    return Run(PLAN, zero_ns=0, profile=PickupProfile(channel_of_course=(1, 2, 3, 4, 5, 6)))


@pytest.fixture
def usual_look() -> Iterator[None]:
    yield
    wear(Look())


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_says_what_happened_and_what_to_do(fault: str) -> None:
    bring_about, sentence = FAULTS[fault]

    assert bring_about() == sentence


@pytest.mark.usefixtures("usual_look")
@pytest.mark.parametrize("text_percent", [100, 130])
@pytest.mark.parametrize("size", [(1920, 1080), (1280, 720), (1024, 640)])
@pytest.mark.parametrize("fault", FAULTS)
def test_the_sentence_stands_whole_at_the_foot_of_the_line_and_the_way_to_the_keys_beside_it(
    fault: str, size: tuple[int, int], text_percent: int
) -> None:
    _, sentence = FAULTS[fault]
    wear(look_of("dark", text_percent))
    screen = PracticeScreen(
        PLAN,
        start_run=lambda _plan, _now_ns: run_of_line(),
        status=lambda: "Pickup is connected.",
        trouble=lambda: sentence,
        show_result=lambda _outcome: Page("result"),
        leave_to=lambda: Page("list"),
    )
    screen.update((), 1)

    texts = [text for text, _ in screen.texts(size)]

    assert sentence in texts
    assert "F1" in texts
    assert screen.view(1).is_troubled


def test_an_input_that_is_heard_is_no_trouble_and_silence_that_was_chosen_is_none() -> None:
    station, _, _ = on_system(System(["Pickup"]))

    assert (station.trouble, station.status) == ("", "No sound. Pickup is connected.")
