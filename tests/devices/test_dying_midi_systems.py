from tests.devices.midi_stand_ins import MS, OFF, ON, Clock, System, opened, play, poll_for, silenced
from trainer.devices.midi_input import CHECK_NS, RETRY_NS, MidiInput
from trainer.devices.pulse import BEAT_NS, LOST_AFTER


def mortal(*ports: str) -> tuple[System, MidiInput, Clock]:
    system = System(list(ports), can_die=True)
    return system, *opened(system)


def test_a_system_that_dies_is_said_left_and_entered_again_when_it_is_back() -> None:
    system, midi_input, clock = mortal("Pickup")
    play(system, clock, 1 * MS, ON, 0.0)
    poll_for(midi_input, clock, 2 * BEAT_NS)
    dead = list(system.clients)
    system.log.clear()

    system.die()
    ended = poll_for(midi_input, clock, (LOST_AFTER + 1) * BEAT_NS)
    status, is_connected, log = midi_input.status, midi_input.is_connected, list(system.log)
    system.start_again("Keys", "Pickup")
    poll_for(midi_input, clock, RETRY_NS + CHECK_NS)
    play(system, clock, clock.now_ns + 1 * MS, OFF, 0.0)
    heard = poll_for(midi_input, clock, 100 * MS)

    assert status == "The MIDI system does not answer any more. Start it again: Pickup is taken up by itself."
    assert not is_connected
    assert log[0] == "delete"  # the old client goes before a new one is tried
    assert ended == silenced(ended[0].stamp_ns)
    assert midi_input.status == "Pickup is back."
    assert [message.data for message in heard] == [bytes(OFF)]
    assert len(system.clients) == 1
    assert system.clients[0] not in dead


def test_a_system_that_was_stopped_and_started_between_two_beats_is_entered_again() -> None:
    system, midi_input, clock = mortal("Pickup")
    poll_for(midi_input, clock, 2 * BEAT_NS)

    deaf = system.clients[0]
    deaf.callback = None  # the new server does not know the old client
    poll_for(midi_input, clock, (LOST_AFTER + 1) * BEAT_NS)

    assert deaf not in system.clients
    assert (midi_input.status, midi_input.is_connected) == ("Pickup is back.", True)


def test_a_system_that_dies_while_the_port_is_unplugged_is_noticed_too() -> None:
    system, midi_input, clock = mortal("Pickup")
    system.ports = []
    poll_for(midi_input, clock, 2 * BEAT_NS)
    status = midi_input.status

    system.die()
    poll_for(midi_input, clock, (LOST_AFTER + 1) * BEAT_NS)
    status_when_dead = midi_input.status
    system.start_again("Pickup")
    poll_for(midi_input, clock, RETRY_NS + CHECK_NS)

    assert status == "Pickup has gone. Plug it in again: it is taken up by itself."
    assert status_when_dead.startswith("The MIDI system does not answer any more.")
    assert (midi_input.status, midi_input.is_connected) == ("Pickup is back.", True)


def test_when_a_system_dies_every_input_leaves_it_before_the_first_enters_it_again() -> None:
    system = System(["Pickup", "Keys"], can_die=True)
    drivers, clock = system.drivers(), Clock()
    first, second = MidiInput("Pickup", drivers, clock), MidiInput("Keys", drivers, clock)
    for midi_input in (first, second):
        poll_for(midi_input, clock, 2 * BEAT_NS)
    system.log.clear()

    system.die()
    poll_for(first, clock, (LOST_AFTER + 1) * BEAT_NS)
    log = list(system.log)
    system.start_again("Pickup", "Keys")
    for midi_input in (first, second):
        poll_for(midi_input, clock, RETRY_NS + CHECK_NS)

    assert log[:2] == ["delete", "delete"]
    assert [midi_input.status for midi_input in (first, second)] == ["Pickup is back.", "Keys is back."]


def test_a_system_that_carries_no_beats_is_never_taken_for_dead() -> None:
    system, midi_input, clock = mortal("Pickup")
    system.carries = False

    poll_for(midi_input, clock, 10 * BEAT_NS)

    assert (midi_input.status, midi_input.is_connected) == ("Pickup is connected.", True)
    assert system.log.count("connect") == 2  # to list and to listen


def test_a_player_who_is_heard_shows_that_the_system_lives_though_beats_are_lost() -> None:
    system, midi_input, clock = mortal("Pickup")
    poll_for(midi_input, clock, 2 * BEAT_NS)
    system.log.clear()

    for _ in range(3 * LOST_AFTER):
        system.carries = True
        play(system, clock, clock.now_ns + 1 * MS, ON, 0.1)
        system.carries = False
        poll_for(midi_input, clock, BEAT_NS)

    assert (midi_input.status, system.log) == ("Pickup is connected.", [])


def test_beats_are_no_messages() -> None:
    _, midi_input, clock = mortal("Pickup")

    assert poll_for(midi_input, clock, 5 * BEAT_NS) == []
