"""Which string arrives on which channel: MIDI bytes of plucked open strings, and what is concluded from them."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.playing.builders import MS, STANDARD, STRINGS, off, on
from trainer.playing.calibration.strings import FIXED_VELOCITY_PLUCKS, PLUCK_NS, StringStep
from trainer.playing.decoding import Decoder
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import ChannelUse, PickupProfile

REVERSED_FROM_11 = (16, 15, 14, 13, 12, 11)
APART_MS = 1000.0
LOWEST_FIRST = tuple(reversed(STANDARD.courses))


def heard(messages: Sequence[StampedMessage], *, has_zone: bool = False, wait_ms: float = APART_MS) -> StringStep:
    """The step after these messages and a silence."""
    step, decoder = StringStep(STANDARD), Decoder(STRINGS)
    step.has_zone = has_zone
    for message in messages:
        for event in decoder.feed(message):
            step.feed(event)
    step.advance(messages[-1].stamp_ns + round(wait_ms * MS))
    return step


def plucks(*places: tuple[int, int], velocities: Sequence[int] = (80, 93, 71)) -> list[StampedMessage]:
    """(pitch, channel) plucked one after the other."""
    messages = []
    for number, (pitch, channel) in enumerate(places):
        at_ms = 1 + number * APART_MS
        velocity = velocities[number % len(velocities)]
        messages += [on(at_ms, pitch, velocity, channel), off(at_ms + 700, pitch, channel)]
    return messages


def open_strings(channel_of_course: Sequence[int], times: int = 2) -> list[tuple[int, int]]:
    """Each open string, lowest first, so many times."""
    return [
        (STANDARD.open_pitches[course - 1], channel_of_course[course - 1])
        for course in LOWEST_FIRST
        for _ in range(times)
    ]


def test_strings_on_channels_in_reverse_from_11_are_learned() -> None:
    step = heard(plucks(*open_strings(REVERSED_FROM_11)))

    assert step.is_finished
    assert step.applied_to(PickupProfile()) == PickupProfile(channel_of_course=REVERSED_FROM_11)
    assert step.findings == ("Each string has its own channel: strings 1 to 6 arrive on 16 15 14 13 12 11.",)


@given(st.permutations(range(1, 17)))
def test_any_order_of_any_channels_is_learned(channels: list[int]) -> None:
    step = heard(plucks(*open_strings(channels[:6])))

    assert step.applied_to(PickupProfile()).channel_of_course == tuple(channels[:6])


def test_it_asks_from_the_lowest_string_to_the_highest_twice_each() -> None:
    step, asked = StringStep(STANDARD), []
    for message in plucks(*open_strings(REVERSED_FROM_11)):
        asked.append(step.prompt)
        for event in Decoder(STRINGS).feed(message):
            step.feed(event)
        step.advance(message.stamp_ns + PLUCK_NS + 1)

    assert asked[0] == "Pluck string 6, open (E2), and let it ring."
    assert asked[2] == "Pluck string 6 once more, open (E2), and let it ring."
    assert asked[4] == "Pluck string 5, open (A2), and let it ring."
    assert asked[-2] == "Pluck string 1 once more, open (E4), and let it ring."
    assert step.prompt == ""


def test_a_device_on_one_channel_does_not_separate_strings_and_says_so_after_three() -> None:
    step = heard(plucks(*open_strings([1] * 6)[:6]))

    assert step.is_finished
    assert step.applied_to(PickupProfile()) == PickupProfile(channel_use=ChannelUse.ONE_CHANNEL, channel_of_course=())
    assert step.findings[0].startswith("All strings arrive on channel 1: this device does not separate strings.")


def test_two_strings_that_share_a_channel_are_named() -> None:
    step = heard(plucks(*open_strings((3, 3, 4, 5, 6, 7))))

    assert not step.separates
    assert step.applied_to(PickupProfile()).channel_use is ChannelUse.ONE_CHANNEL
    assert step.findings[0].startswith("Some strings share a channel: strings 1 and 2 on 3.")


def test_another_channel_for_each_pluck_means_that_channels_rotate() -> None:
    step = heard(plucks(*((40, channel) for channel in (2, 3, 4, 5))))

    assert step.is_finished
    assert step.applied_to(PickupProfile()).channel_use is ChannelUse.ONE_CHANNEL
    assert step.findings[0].startswith("This device gives a note any free channel")


def test_one_pluck_that_strays_to_another_channel_is_asked_again() -> None:
    places = open_strings((1, 2, 3, 4, 5, 6))
    step = heard(plucks((40, 6), (40, 5), (40, 6), *places))

    assert step.channel_of_course[6] == 6


def test_a_zone_that_brings_a_fretted_note_on_its_strings_channel_is_pinned() -> None:
    step = heard(plucks(*open_strings((2, 3, 4, 5, 6, 7)), (45, 7), (45, 7)), has_zone=True)

    assert step.applied_to(PickupProfile()) == PickupProfile(
        channel_use=ChannelUse.MPE, channel_of_course=(2, 3, 4, 5, 6, 7)
    )


def test_a_zone_that_goes_by_the_pitch_and_not_by_the_string_is_found_out() -> None:
    open_only = heard(plucks(*open_strings((2, 3, 4, 5, 6, 7))), has_zone=True)
    step = heard(plucks(*open_strings((2, 3, 4, 5, 6, 7)), (45, 6), (45, 6)), has_zone=True)

    assert open_only.prompt == "Pluck string 6, fret 5 (A2), and let it ring."
    assert step.is_finished
    assert not step.separates


def test_a_wrong_string_is_named_and_changes_nothing() -> None:
    step = heard(plucks((45, 5)))

    assert step.remark == "That was A2, string 5. String 6 (E2) is wanted."
    assert step.asked == (6, 0)
    assert step.channel_of_course == {}


@pytest.mark.parametrize(
    ("pitch", "words"),
    [(39, "D#2, a semitone below E2"), (38, "D2, 2 semitones below E2"), (41, "F2, a semitone above E2")],
)
def test_a_string_that_is_off_twice_by_the_same_is_out_of_tune(pitch: int, words: str) -> None:
    step = heard(plucks((pitch, 6), (pitch, 6)))

    assert step.remark == (f"String 6 is {words}: tune it, or choose the tuning that you play (standard is chosen).")


def test_an_octave_on_the_attack_and_what_sounds_along_belong_to_the_pluck() -> None:
    octave = [on(1, 52, 90, channel=6), off(40, 52, channel=6), on(40, 40, 90, channel=6)]
    sympathetic = [on(60, 45, 12, channel=5)]
    step = heard([*octave, *sympathetic])

    assert step.remark == "String 6 arrived on channel 6."


@pytest.mark.parametrize(("after_ns", "is_taken"), [(PLUCK_NS, True), (PLUCK_NS + 1, False)])
def test_a_pluck_lasts_to_its_limit_and_no_longer(after_ns: int, is_taken: bool) -> None:  # noqa: FBT001 - a parameter
    late = StampedMessage(MS + after_ns, bytes((0x95, 40, 90)))
    step = heard([on(1, 52, 90, channel=6), late], wait_ms=0.0)
    step.advance(MS + PLUCK_NS + 1)

    assert (step.remark == "String 6 arrived on channel 6.") is is_taken


def test_one_velocity_for_all_plucks_is_a_fixed_one() -> None:
    same = heard(plucks(*open_strings((1, 2, 3, 4, 5, 6)), velocities=(96,)))
    varied = heard(plucks(*open_strings((1, 2, 3, 4, 5, 6)), velocities=(96, 97)))

    assert FIXED_VELOCITY_PLUCKS == 12
    assert same.applied_to(PickupProfile()).fixed_velocity
    assert not varied.applied_to(PickupProfile()).fixed_velocity


def test_a_step_left_off_changes_nothing() -> None:
    step = heard(plucks((40, 6), (40, 6)))
    before = PickupProfile(name="before", channel_of_course=(6, 5, 4, 3, 2, 1))

    step.enough()

    assert step.applied_to(before) == before
    assert step.findings == ("Strings: not learned; they stay as they were.",)


def test_six_equal_plucks_do_not_unlearn_a_fixed_velocity() -> None:
    step = heard(plucks(*open_strings([1] * 6)[:6], velocities=(96,)))

    assert step.applied_to(PickupProfile(fixed_velocity=True)).fixed_velocity
    assert not step.applied_to(PickupProfile()).fixed_velocity


def test_a_louder_string_that_sounds_along_is_not_taken_for_the_one_asked() -> None:
    step = heard([on(1, 40, 60, channel=6), on(20, 45, 110, channel=5)])

    assert step.remark == "String 6 arrived on channel 6."
