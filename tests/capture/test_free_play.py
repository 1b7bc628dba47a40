from fractions import Fraction

import pytest

from trainer.capture.free_play import FEWEST_NOTES, FreePlay, degree_of, name_of
from trainer.devices.simulated_player import simulated_player
from trainer.devices.skill import EXACT
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.scale import key_named
from trainer.theory.tuning import tuning_named

STANDARD = tuning_named("standard")
A_MINOR = key_named("A minor pentatonic")


def note(channel: int, pitch: int, at_ms: int, lasts_ms: int = 200) -> tuple[StampedMessage, StampedMessage]:
    status = 0x90 + channel - 1
    return (
        StampedMessage(at_ms * 1_000_000, bytes((status, pitch, 90))),
        StampedMessage((at_ms + lasts_ms) * 1_000_000, bytes((status, pitch, 0))),
    )


def heard(ear: FreePlay, *notes: tuple[StampedMessage, StampedMessage]) -> FreePlay:
    for message in sorted((one for pair in notes for one in pair), key=lambda one: one.stamp_ns):
        ear.feed(message)
    return ear


def test_a_note_stands_at_once_where_it_is_played_and_ends_when_it_does() -> None:
    ear = FreePlay(PickupProfile(), STANDARD)
    on, off = note(2, 64, 0)

    ear.feed(on)
    sounding = ear.board()
    ear.feed(off)
    ear.advance(900_000_000)
    after = ear.board()

    assert [(one.pitch, one.places, one.is_sounding) for one in sounding.notes] == [(64, (Location(2, 5),), True)]
    assert [one.is_sounding for one in after.notes] == [False]
    assert (sounding.key, sounding.position) == (None, None)


def test_a_played_position_is_told_with_its_key_and_number() -> None:
    line = load_exercise("two-gates")
    plan = RunPlan(line, Tempo(Fraction(90)))
    player = simulated_player(line, plan.tempo, plan.count_in_ns, 0, skill=EXACT, seed=1)
    ear = FreePlay(player.profile, line.tuning)
    for message in player.poll(60_000_000_000):
        ear.feed(message)
    ear.advance(60_000_000_000)

    board = ear.board()

    assert [one.pitch for one in board.notes] == [one.pitch for one in line.notes][-len(board.notes) :]
    assert board.key is not None
    assert board.key.pitch_classes == key_named(line.key).pitch_classes
    assert board.position is not None


def test_a_pickup_that_does_not_tell_strings_apart_leaves_every_place_open() -> None:
    ear = heard(FreePlay(PickupProfile(channel_use=ChannelUse.ONE_CHANNEL), STANDARD), note(1, 64, 0))

    places = ear.board().notes[0].places

    assert places == STANDARD.locations_of(64, 24)
    assert len(places) > 3


def test_a_key_that_is_held_stays_whatever_is_played_then() -> None:
    scale = [note(6, 45 + step, 300 * place) for place, step in enumerate((0, 3, 5, 7, 10, 12, 0))]
    ear = heard(FreePlay(PickupProfile(), STANDARD), *scale)
    first = ear.board().key

    ear.hold_key()
    heard(ear, *[note(3, pitch, 5000 + 300 * place) for place, pitch in enumerate((56, 58, 60, 61, 63, 65, 67, 68))])
    held = ear.board()
    ear.hold_key()

    assert first is not None
    assert (held.key, held.is_held) == (first, True)
    assert ear.board().key != first


def test_a_cleared_board_is_empty_and_guesses_only_from_enough_notes() -> None:
    ear = heard(FreePlay(PickupProfile(), STANDARD), *[note(1, 64 + n, 300 * n) for n in range(FEWEST_NOTES - 1)])
    few = ear.board()

    ear.clear()

    assert few.key is None
    assert ear.board().notes == ()
    assert ear.phrase() == ()


@pytest.mark.parametrize(("pitch", "degree", "name"), [(57, "1", "A"), (60, "b3", "C"), (63, "b5", "D#")])
def test_degrees_and_names_are_those_of_the_key(pitch: int, degree: str, name: str) -> None:
    assert (degree_of(pitch, A_MINOR), name_of(pitch, A_MINOR)) == (degree, name)
