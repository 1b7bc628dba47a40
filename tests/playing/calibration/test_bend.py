"""The bend range: MIDI bytes of an open string that goes on to a fret, and the range that follows.

The values are those of MIDI 1.0: a bend of `value` stands at (value - 8192) / 8192 of the range.
"""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.playing.builders import MS, STANDARD, STRINGS, message, off, on
from trainer.playing.calibration.bend import FRET_TOLERANCE_CENTS, NOT_BENT, REST_NS, USUAL_RANGES, BendStep, snapped
from trainer.playing.decoding import Decoder
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile

OPEN_A, CHANNEL = 45, 5


class Listener:
    """A step behind a decoder, and the time."""

    def __init__(self) -> None:
        self.step = BendStep(STANDARD, STRINGS.bend_range_semitones)
        self._decoder = Decoder(STRINGS)
        self._at_ms = 0.0

    def hear(self, messages: Sequence[StampedMessage], wait_ms: float = 1000) -> BendStep:
        for one in messages:
            for event in self._decoder.feed(one._replace(stamp_ns=one.stamp_ns + round(self._at_ms * MS))):
                self.step.feed(event)
        self._at_ms += messages[-1].stamp_ns / MS + wait_ms
        self.step.advance(round(self._at_ms * MS))
        return self.step


def value_of(semitones: float, bend_range: float) -> int:
    return min(16383, 8192 + round(semitones / bend_range * 8192))


def bend_to(at_ms: float, value: int) -> StampedMessage:
    return message(at_ms, 0xE0 | CHANNEL - 1, value & 0x7F, value >> 7)


def hammered(value: int, held_ms: float = 900) -> list[StampedMessage]:
    """The open A string, its bend moved to `value` by a finger, and let go."""
    ends_ms = 301 + held_ms
    return [
        on(1, OPEN_A, channel=CHANNEL),
        bend_to(298, (8192 + value) // 2),
        bend_to(301, value),
        off(ends_ms, OPEN_A, channel=CHANNEL),
        bend_to(ends_ms, 8192),
    ]


def begun_anew(fret: int) -> list[StampedMessage]:
    """The open A string, and a new note where the finger is put down."""
    return [
        on(1, OPEN_A, channel=CHANNEL),
        off(300, OPEN_A, channel=CHANNEL),
        on(300, OPEN_A + fret, 55, channel=CHANNEL),
        off(1200, OPEN_A + fret, channel=CHANNEL),
    ]


@pytest.mark.parametrize(("value", "bend_range"), [(12288, 24), (10923, 36), (10240, 48), (16364, 12)])
def test_fret_12_measures_a_range_that_it_does_not_fill(value: int, bend_range: int) -> None:
    step = Listener().hear(hammered(value))

    assert step.is_finished
    assert step.range_semitones == bend_range
    assert step.findings == (f"Bend range: {bend_range} semitones.",)


@pytest.mark.parametrize(("bend_range", "frets"), [(12, (12, 5)), (5, (12, 5, 2)), (2, (12, 5, 2, 1))])
def test_at_the_end_of_the_scale_a_nearer_fret_is_asked(bend_range: int, frets: tuple[int, ...]) -> None:
    listener = Listener()

    asked = []
    while not listener.step.is_finished:
        asked.append(listener.step.fret)
        listener.hear(hammered(value_of(listener.step.fret, bend_range)))

    assert tuple(asked) == frets
    assert listener.step.range_semitones == bend_range


def test_a_range_of_one_semitone_is_what_is_left() -> None:
    listener = Listener()
    for _ in range(4):
        listener.hear(hammered(16383))

    assert listener.step.range_semitones == 1
    assert listener.step.findings == ("Bend range: 1 semitone.",)


def test_a_move_wider_than_the_range_begins_anew_and_a_nearer_fret_tells_the_range() -> None:
    listener = Listener()
    listener.hear(begun_anew(12))
    assert "Once more" in listener.step.remark
    listener.hear(begun_anew(12))

    step = listener.hear(hammered(value_of(5, 7)))

    assert step.range_semitones == 7


def test_a_device_that_begins_every_fret_anew_keeps_its_range() -> None:
    listener = Listener()
    for fret in (12, 12, 5, 5, 2, 2, 1, 1):
        listener.hear(begun_anew(fret))
    before = PickupProfile(bend_range_semitones=24.0)

    assert listener.step.is_finished
    assert listener.step.applied_to(before) == before
    assert listener.step.findings == (NOT_BENT,)


def test_notes_for_every_semitone_on_the_way_are_one_arrival() -> None:
    climb = [on(1, OPEN_A, channel=CHANNEL)]
    climb += [on(300 + 10 * fret, OPEN_A + fret, 50, channel=CHANNEL) for fret in range(1, 13)]
    step = Listener().hear(climb)

    assert step.fret == 12
    assert step.remark.startswith("A new note began at A3.")


def test_an_unusual_range_is_taken_when_it_was_measured_twice() -> None:
    listener = Listener()
    listener.hear(hammered(value_of(12, 18)))
    assert listener.step.remark == "That would be a range of 18.0 semitones. Once more, to be sure: fret 12."

    step = listener.hear(hammered(value_of(12, 18)))

    assert step.range_semitones == 18
    assert step.findings[0].startswith("Bend range: 18 semitones, measured twice. That is unusual")


def test_an_announced_range_is_believed() -> None:
    step = Listener().step

    step.announced(24.0)

    assert step.is_finished
    assert step.applied_to(PickupProfile()) == PickupProfile(bend_range_semitones=24.0)
    assert step.findings == ("Bend range: 24 semitones, as the device itself announces.",)


def test_a_note_let_go_too_soon_is_asked_again() -> None:
    held_ms = REST_NS / MS
    too_short = Listener().hear(hammered(12288, held_ms - 1))
    long_enough = Listener().hear(hammered(12288, held_ms))

    assert too_short.remark == "The note ended before fret 12 was heard. Hold it a little longer."
    assert not too_short.is_finished
    assert long_enough.range_semitones == 24


def test_a_tail_that_runs_astray_is_no_fret() -> None:
    step = Listener().hear(
        [
            on(1, OPEN_A, channel=CHANNEL),
            bend_to(640, 12000),
            off(700, OPEN_A, channel=CHANNEL),
            bend_to(700, 8192),
        ]
    )

    assert not step.is_finished


def test_a_string_bent_by_an_octave_is_never_thought_of_when_the_open_string_only_sounds() -> None:
    step = Listener().hear([on(1, OPEN_A, channel=CHANNEL), bend_to(20, 8192 + 30), off(2000, OPEN_A, channel=CHANNEL)])

    assert not step.is_finished


@given(st.sampled_from([r for r in USUAL_RANGES if r > 12]), st.floats(-1, 1))
def test_a_fret_within_the_tolerance_snaps_to_the_usual_range(bend_range: int, part: float) -> None:
    cents = part * (FRET_TOLERANCE_CENTS - 0.001)

    assert snapped((12 + cents / 100) / bend_range, 12) == bend_range


@pytest.mark.parametrize("side", [-1, 1])
def test_a_fret_past_the_tolerance_does_not_snap(side: int) -> None:
    cents = side * (FRET_TOLERANCE_CENTS + 0.001)

    assert snapped((12 + cents / 100) / 24, 12) is None


def test_an_open_string_slightly_out_of_tune_is_no_fret_on_a_device_known_to_bend_little() -> None:
    listener = Listener()
    for _ in range(3):
        listener.hear(hammered(16383))
    sharp = [on(1, OPEN_A, channel=CHANNEL), bend_to(20, 8192 + 330), bend_to(700, 12288)]

    step = listener.hear([*sharp, off(1500, OPEN_A, channel=CHANNEL)])

    assert step.range_semitones == 2
    assert step.findings == ("Bend range: 2 semitones.",)
