from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.playing.builders import (
    MPE,
    MS,
    ONE,
    STRINGS,
    bend,
    control,
    decoded,
    message,
    off,
    on,
    parameter,
)
from trainer.playing.decoding import Decoder
from trainer.playing.messages import StampedMessage, StringBend, StringEvent, StringOff, StringOn
from trainer.playing.profile import PickupProfile


def test_a_note_on_and_off_are_told_with_their_string() -> None:
    events = decoded([message(1, 0x92, 62, 80), message(2, 0x82, 62, 0)])

    assert events == [StringOn(MS, 3, 3, 62, 80, 0.0, 0), StringOff(2 * MS, 3, 3, 62)]


def test_a_note_on_at_velocity_zero_is_a_note_off_and_no_event_of_its_own() -> None:
    events = decoded([message(1, 0x90, 64, 80), message(2, 0x90, 64, 0), message(3, 0x90, 65, 80)])

    assert events == [
        StringOn(MS, 1, 1, 64, 80, 0.0, 0),
        StringOff(2 * MS, 1, 1, 64),
        StringOn(3 * MS, 1, 1, 65, 80, 0.0, 1),
    ]


def test_the_order_of_strings_and_the_basic_channel_come_from_the_profile() -> None:
    reversed_from_11 = replace(STRINGS, channel_of_course=(16, 15, 14, 13, 12, 11))

    events = decoded([on(0, 40, channel=11), on(0, 64, channel=16)], reversed_from_11)

    assert [(event.channel, event.course) for event in events] == [(11, 6), (16, 1)]


def test_a_note_on_an_unknown_channel_is_counted_and_told_without_a_string() -> None:
    decoder = Decoder(replace(STRINGS, channel_of_course=(1, 2, 3, 4, 5, 6)))

    events = decoder.feed(on(0, 64, channel=9))

    assert events == (StringOn(0, 9, None, 64, 90, 0.0, 0),)
    assert decoder.counts == {"note on an unknown channel": 1}


def test_one_channel_for_all_strings_leaves_the_string_unknown_and_is_not_odd() -> None:
    decoder = Decoder(ONE)

    assert decoder.feed(on(0, 64)) == (StringOn(0, 1, None, 64, 90, 0.0, 0),)
    assert decoder.counts == {}


def test_a_bend_that_came_before_its_note_stands_when_the_note_begins() -> None:
    cents = (74 * 128 + 85 - 8192) / 8192 * 1200

    assert decoded([message(0, 0xE0, 85, 74), on(1, 60)]) == [
        StringBend(0, 1, 1, cents),
        StringOn(MS, 1, 1, 60, 90, cents, 0),
    ]


def test_the_bend_range_announced_on_one_channel_counts_for_that_channel() -> None:
    events = decoded([*parameter(0, 0, 24, channel=2), message(1, 0xE0, 0, 0), message(1, 0xE1, 0, 0)])

    assert events == [StringBend(MS, 1, 1, -1200.0), StringBend(MS, 2, 2, -2400.0)]


def test_data_entry_after_the_null_parameter_or_another_parameter_changes_no_range() -> None:
    other = [control(0, 101, 0), control(0, 100, 1), control(0, 6, 5)]
    unregistered = [control(0, 101, 0), control(0, 100, 0), control(0, 99, 1), control(0, 6, 7)]

    events = decoded([*parameter(0, 0, 24), control(0, 6, 3), *other, *unregistered, message(1, 0xE0, 0, 0)])

    assert events == [StringBend(MS, 1, 1, -2400.0)]


def test_a_range_may_come_with_cents_and_parameter_numbers_in_either_order() -> None:
    announced = [control(0, 100, 0), control(0, 101, 0), control(0, 6, 2), control(0, 38, 50)]

    assert decoded([*announced, message(1, 0xE0, 0, 0)]) == [StringBend(MS, 1, 1, -250.0)]


def test_a_range_beyond_96_semitones_is_counted_and_left_out() -> None:
    decoder = Decoder(STRINGS)
    for item in parameter(0, 0, 97):
        decoder.feed(item)

    assert decoder.feed(message(1, 0xE0, 0, 0)) == (StringBend(MS, 1, 1, -1200.0),)
    assert decoder.counts["bend range out of 0..96"] == 1


@pytest.mark.parametrize("mode", [120, 123, 124, 125, 126, 127])
def test_all_notes_off_and_the_mode_messages_end_what_sounds_on_their_channel(mode: int) -> None:
    events = decoded([on(0, 60), on(0, 64), on(0, 50, channel=2), control(1, mode, 0)])

    assert events[3:] == [StringOff(MS, 1, 1, 60), StringOff(MS, 1, 1, 64)]


def test_reset_all_controllers_centres_the_bend_and_keeps_its_range() -> None:
    events = decoded([*parameter(0, 0, 24), message(0, 0xE0, 0, 0), control(1, 121, 0), message(2, 0xE0, 0, 0)])

    assert [event.bend_cents for event in events if isinstance(event, StringBend)] == [-2400.0, 0.0, -2400.0]


def test_a_sender_of_active_sensing_that_falls_silent_for_over_330_ms_lets_its_notes_go() -> None:
    decoder = Decoder(STRINGS)
    decoder.feed(message(0, 0xFE))
    decoder.feed(on(100, 60))

    assert decoder.advance(430 * MS) == ()
    assert decoder.advance(430 * MS + 1) == (StringOff(430 * MS, 1, 1, 60),)
    assert decoder.counts["active sensing stopped"] == 1


def test_the_next_message_after_such_a_silence_first_ends_the_notes() -> None:
    events = decoded([message(0, 0xFE), on(100, 60), on(900, 62)])

    assert events[1:] == [StringOff(430 * MS, 1, 1, 60), StringOn(900 * MS, 1, 1, 62, 90, 0.0, 1)]


def test_silence_without_active_sensing_ends_nothing() -> None:
    assert len(decoded([on(100, 60), on(9000, 62)])) == 2


def test_clock_system_exclusive_and_broken_messages_do_no_harm_and_are_counted() -> None:
    decoder = Decoder(STRINGS)
    odd = [b"\xf8", b"\xf0\x7e\x7f\xf7", b"", b"\x40\x40", b"\x90\x40", b"\x90\x40\x90", b"\xd0\x10", b"\x80\x3c\x00"]

    assert [decoder.feed(StampedMessage(0, data)) for data in odd] == [()] * len(odd)
    assert decoder.counts == {
        "system message": 2,
        "malformed message": 4,
        "message of no use": 1,
        "end of a note that did not sound": 1,
    }


def test_time_that_runs_backwards_is_counted_and_held() -> None:
    decoder = Decoder(STRINGS)
    decoder.feed(on(5, 60))

    assert decoder.feed(off(3, 60)) == (StringOff(5 * MS, 1, 1, 60),)
    assert decoder.counts == {"time ran backwards": 1}


def test_an_mpe_member_has_48_semitones_and_its_masters_bend_is_added() -> None:
    events = decoded([on(0, 60, channel=2), message(1, 0xE1, 0, 0), message(2, 0xE0, 0, 0)], MPE)

    assert events[1:] == [
        StringBend(MS, 2, 1, -4800.0),
        StringBend(2 * MS, 1, None, -200.0),
        StringBend(2 * MS, 2, 1, -5000.0),
    ]


def test_a_range_sent_to_one_mpe_member_counts_for_all_of_the_zone() -> None:
    zone = parameter(0, 6, 3, channel=1)

    events = decoded([*zone, *parameter(0, 0, 24, channel=2), message(1, 0xE3, 0, 0), message(1, 0xE4, 0, 0)], MPE)

    assert [event.bend_cents for event in events if isinstance(event, StringBend)] == [-2400.0, -4800.0]


def test_an_mpe_configuration_ends_the_notes_of_its_zone_and_resets_its_ranges() -> None:
    before = [*parameter(0, 0, 24, channel=2), on(0, 60, channel=2), on(0, 50, channel=12)]

    events = decoded([*before, *parameter(1, 6, 6, channel=1), message(2, 0xE1, 0, 0)], MPE)

    assert events[2:] == [StringOff(MS, 2, 1, 60), StringOff(MS, 12, 11, 50), StringBend(2 * MS, 2, 1, -4800.0)]


def test_all_notes_off_on_a_master_ends_its_whole_zone() -> None:
    events = decoded([on(0, 60, channel=2), on(0, 64, channel=3), control(1, 123, 0, channel=1)], MPE)

    assert events[2:] == [StringOff(MS, 2, 1, 60), StringOff(MS, 3, 2, 64)]


def test_an_mpe_configuration_elsewhere_than_on_1_or_16_is_counted() -> None:
    decoder = Decoder(MPE)
    for item in parameter(0, 6, 3, channel=5):
        decoder.feed(item)

    assert decoder.counts["MPE configuration that means nothing"] == 1


status_heavy = st.lists(st.one_of(st.integers(0x80, 0xFF), st.integers(0, 127), st.sampled_from([0, 6, 100, 101, 127])))


@given(st.lists(st.tuples(st.integers(-50, 400), status_heavy), max_size=60), st.sampled_from([STRINGS, ONE, MPE]))
def test_no_bytes_whatsoever_raise_and_stamps_leave_in_order(
    stream: list[tuple[int, list[int]]], profile: PickupProfile
) -> None:
    decoder, at_ms, events = Decoder(profile), 0, list[StringEvent]()

    for step_ms, data in stream:
        at_ms += step_ms
        events += decoder.feed(StampedMessage(at_ms * MS, bytes(data)))

    stamps = [event.stamp_ns for event in events]
    assert stamps == sorted(stamps)


@given(st.lists(st.tuples(st.sampled_from([0x80, 0x90]), st.integers(60, 63), st.integers(0, 2)), max_size=40))
def test_every_end_that_is_told_belongs_to_a_note_that_sounded(stream: list[tuple[int, int, int]]) -> None:
    sounding: set[int] = set()

    for event in decoded([message(i, *data) for i, data in enumerate(stream)]):
        if isinstance(event, StringOn):
            sounding.add(event.pitch)
        elif isinstance(event, StringOff):
            assert event.pitch in sounding
            sounding.remove(event.pitch)


def test_bends_of_a_silent_member_are_not_repeated_when_its_master_bends() -> None:
    assert decoded([message(0, 0xE0, 0, 0)], MPE) == [StringBend(0, 1, None, -200.0)]


def test_the_same_bend_again_says_nothing() -> None:
    assert len(decoded([bend(0, 50), bend(1, 50)])) == 1
