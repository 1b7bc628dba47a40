"""What arrives, as lines of text."""

import math

from tests.playing.builders import MS, STANDARD, STRINGS, bend, off, on
from trainer.monitor import Monitor
from trainer.playing.messages import StampedMessage


def _lines(messages: list[StampedMessage], until_ms: int = 3000) -> list[str]:
    """What is said of heard notes, without the messages themselves."""
    lines = Monitor(STRINGS, STANDARD).lines(tuple(messages), until_ms * MS)
    return [line.strip() for line in lines if "channel" not in line]


def test_a_heard_note_is_told_with_its_place_and_how_it_was_begun() -> None:
    assert _lines([on(0, 66), off(300, 66)]) == ["note 0: F#4 on string 1, fret 2", "note 0: pick"]


def test_a_string_bend_is_told_in_words_when_the_note_ends() -> None:
    rise = [bend(200 + 5 * i, 4 * i) for i in range(1, 51)]

    assert _lines([on(0, 66), *rise, off(900, 66)])[-1] == "note 0: bent up by 200 cents"


def test_vibrato_is_told_in_words_when_the_note_ends() -> None:
    shaken = [bend(200 + 5 * i, 30 * math.sin(2 * math.pi * i / 40)) for i in range(200)]

    assert _lines([on(0, 66), *shaken, off(1300, 66)])[-1].startswith("note 0: vibrato of 5.0 Hz, ")


def test_what_may_be_one_of_two_is_named() -> None:
    stream = [on(0, 67, 90), off(300, 67), on(300, 69, 55), off(700, 69)]

    assert _lines(stream)[-1] == "note 1: hammer or slide, which of them is not measurable"
