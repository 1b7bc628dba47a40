from trainer.playing.hearing import Hearing
from trainer.playing.messages import NoteEnd, NoteOnset, StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.theory.tuning import tuning_named

SENSING = b"\xfe"


def test_a_device_that_falls_silent_ends_its_notes_by_time_alone() -> None:
    """MIDI 1.0, active sensing: after 300 ms of silence all notes of such a device end."""
    hearing = Hearing(PickupProfile(), tuning_named("standard"))
    heard = [*hearing.feed(StampedMessage(0, SENSING)), *hearing.feed(StampedMessage(1_000_000, b"\x90\x40\x60"))]

    ended = hearing.advance(2_000_000_000)

    assert [type(event) for event in heard if isinstance(event, NoteOnset)] == [NoteOnset]
    assert any(isinstance(event, NoteEnd) for event in ended)
    assert hearing.oddities["active sensing stopped"] == 1
