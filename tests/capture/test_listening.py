from trainer.capture.listening import PhraseListener
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.score.library import load_exercise
from trainer.theory.technique import Technique

from .builders import MS, STANDARD, phrase_of


def test_every_note_of_a_picked_line_is_heard_at_its_place() -> None:
    exercise = load_exercise("two-gates")

    phrase = phrase_of(exercise)

    assert [(note.course, note.pitch) for note in phrase] == [(note.course, note.pitch) for note in exercise.notes]


def test_a_slide_as_a_grace_is_one_note_that_knows_where_it_began() -> None:
    exercise = load_exercise("quarry-steps")

    phrase = phrase_of(exercise)

    slides = [(note.pitch, note.slid_from) for note in phrase if note.technique is Technique.SLIDE]
    assert len(phrase) == len(exercise.notes)
    assert slides == [
        (note.pitch, exercise.tuning.pitch_at(note.slide_from)) for note in exercise.notes if note.slide_from
    ]


def test_a_note_that_is_never_ended_ends_with_the_last_message() -> None:
    listener = PhraseListener(PickupProfile(), STANDARD)

    listener.feed(StampedMessage(0, bytes([0x90, 69, 90])))
    listener.feed(StampedMessage(500 * MS, bytes([0x91, 64, 90])))
    listener.feed(StampedMessage(900 * MS, bytes([0x81, 64, 0])))

    assert [(note.pitch, note.offset_ns) for note in listener.finish()] == [(69, 900 * MS), (64, 900 * MS)]


def test_odd_messages_are_counted_and_do_no_harm() -> None:
    listener = PhraseListener(PickupProfile(), STANDARD)

    listener.feed(StampedMessage(0, b"\x90"))

    assert listener.finish() == ()
    assert listener.oddities == {"malformed message": 1}
