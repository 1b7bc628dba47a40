"""What is heard of literal streams: onsets, ends, latency, and that asking the clock changes nothing."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.playing.builders import (
    MPE,
    MS,
    ONE,
    STANDARD,
    STRINGS,
    bend,
    decoded,
    notes,
    off,
    on,
    played,
)
from trainer.playing.decoding import Decoder
from trainer.playing.messages import (
    NoteEnd,
    NoteOnset,
    NotePassed,
    PlayedEvent,
    StampedMessage,
    TechniqueHeard,
)
from trainer.playing.notes import NoteTracker
from trainer.playing.profile import PickupProfile
from trainer.theory.technique import Technique


def test_a_picked_note_is_known_at_once_and_ends_at_its_note_off() -> None:
    assert played([on(10, 66, 80), off(200, 66)]) == [
        NoteOnset(0, 0, 10 * MS, 10 * MS, 1, 66, 80),
        TechniqueHeard(0, Technique.PICK, 10 * MS),
        NoteEnd(0, 200 * MS),
    ]


def test_a_note_gives_way_to_the_next_one_on_its_string_when_its_note_off_is_missing() -> None:
    said = played([on(0, 66), on(300, 68)])

    assert [event for event in said if isinstance(event, NoteEnd)] == [NoteEnd(0, 300 * MS)]


def test_a_late_note_off_of_an_earlier_key_does_not_end_the_present_note() -> None:
    said = played([on(0, 66), on(300, 68), off(310, 66), off(500, 68)])

    assert [event for event in said if isinstance(event, NoteEnd)] == [NoteEnd(0, 300 * MS), NoteEnd(1, 500 * MS)]


def test_a_single_bend_step_followed_by_silence_becomes_a_note_of_its_carrier_20_ms_later() -> None:
    said = played([on(0, 66), bend(300, 200)])

    assert said[2:] == [
        NoteEnd(0, 300 * MS),
        NoteOnset(1, 0, 300 * MS, 320 * MS, 1, 68, 90, arrived_as_bend=True),
        TechniqueHeard(1, Technique.HAMMER, 400 * MS),
    ]


@pytest.mark.parametrize(("held_ms", "heard"), [(19.9, 1), (20, 2)])
def test_a_bend_that_arrives_is_a_note_from_20_ms_on(held_ms: float, heard: int) -> None:
    assert len(notes(played([on(0, 66), bend(300, 200), off(300 + held_ms, 66)]))) == heard


@pytest.mark.parametrize(("cents", "heard"), [(164, 1), (165.1, 2), (234.9, 2), (236, 1)])
def test_a_bend_arrives_within_35_cents_of_a_semitone(cents: float, heard: int) -> None:
    assert len(notes(played([on(0, 66), bend(300, cents)]))) == heard


def test_bending_back_to_the_carriers_own_pitch_is_a_note_again() -> None:
    said = played([on(0, 66), bend(300, 200), bend(600, 0)])

    assert notes(said) == [(0, 66, "pick"), (300, 68, "hammer"), (600, 66, "pull")]


def test_a_note_on_over_a_standing_bend_sounds_where_the_bend_puts_it() -> None:
    said = played([bend(0, 200, channel=2, semitones=48), on(10, 66, channel=2)], MPE)

    assert said[:1] == [NoteOnset(0, 0, 10 * MS, 16 * MS, 1, 68, 90)]


def test_a_bend_left_over_from_the_last_note_and_centred_after_the_note_on_is_not_heard() -> None:
    said = played([bend(0, 200), on(10, 66), bend(12, 0)])

    assert notes(said) == [(10, 66, "pick")]


def test_a_key_sounded_a_little_out_of_tune_is_still_that_key() -> None:
    assert notes(played([bend(0, -64), on(10, 66)])) == [(10, 66, "pick")]


def test_no_bend_makes_a_note_below_the_open_string() -> None:
    assert notes(played([on(0, 65), bend(300, -200)])) == [(0, 65, "pick")]


def test_a_string_that_the_tuning_lacks_is_heard_without_a_string() -> None:
    assert played([on(0, 35, channel=7)])[:1] == [NoteOnset(0, 0, 0, 0, None, 35, 90)]


def test_keys_that_share_a_channel_sound_together_and_their_technique_is_not_measurable() -> None:
    said = played([on(0, 60), on(100, 64), off(200, 60), off(300, 64)], ONE)

    assert said == [
        NoteOnset(0, 0, 0, 0, None, 60, 90),
        TechniqueHeard(0, None, 0),
        NoteOnset(1, 1, 100 * MS, 100 * MS, None, 64, 90),
        TechniqueHeard(1, None, 100 * MS),
        NoteEnd(0, 200 * MS),
        NoteEnd(1, 300 * MS),
    ]


def test_latency_is_a_constant_and_some_cycles_of_the_pitch_that_sounded() -> None:
    late = replace(STRINGS, latency_ns=4 * MS, latency_cycles=2.0)

    said = played([on(100, 40, channel=6), on(100, 64)], late)

    onsets = [event.onset_ns for event in said if isinstance(event, NoteOnset)]
    cycles_ms = [2000 / (440 * math.pow(2, (pitch - 69) / 12)) for pitch in (40, 64)]
    assert onsets == [pytest.approx((96 - each) * MS, abs=1) for each in cycles_ms]


def test_a_bend_that_becomes_a_note_late_may_be_said_after_a_later_one_of_another_string() -> None:
    said = played([on(0, 66), bend(300, 200), on(310, 60, channel=2)])

    onsets = [event for event in said if isinstance(event, NoteOnset)]
    assert [(event.heard, event.onset_ns / MS, event.pitch) for event in onsets] == [
        (0, 0, 66),
        (1, 310, 60),
        (2, 300, 68),
    ]


cents_near_semitones = st.builds(
    lambda semitone, off_by: 100 * semitone + off_by,
    st.integers(-7, 7),
    st.sampled_from([0, 5, -12, 30, 34, 36, -36, 50, 64, 66]),
)
steps_ms = st.one_of(st.sampled_from([0, 3, 5, 6, 19, 20, 21, 35, 45, 60, 70, 79, 80, 81]), st.integers(0, 400))
an_item = st.tuples(
    steps_ms,
    st.sampled_from(["on", "off", "bend", "bend", "bend"]),
    st.integers(1, 2),
    st.integers(60, 67),
    st.sampled_from([5, 40, 70, 90]),
    cents_near_semitones,
)
streams = st.lists(an_item, max_size=40)
Item = tuple[int, str, int, int, int, float]


def _messages(items: list[Item], start_ms: float = 0) -> list[StampedMessage]:
    at_ms, stream = start_ms, []
    for step_ms, kind, channel, pitch, velocity, cents in items:
        at_ms += step_ms
        if kind == "on":
            stream.append(on(at_ms, pitch, velocity, channel))
        elif kind == "off":
            stream.append(off(at_ms, pitch, channel))
        else:
            stream.append(bend(at_ms, cents, channel))
    return stream


def _asked_often(stream: list[StampedMessage], profile: PickupProfile, every_ns: int) -> list[PlayedEvent]:
    """The same as `played`, with the clock asked all the time."""
    tracker, decoder, now_ns, said = NoteTracker(profile, STANDARD), Decoder(profile), 0, list[PlayedEvent]()
    for item in stream:
        while now_ns < item.stamp_ns:
            said += tracker.advance(now_ns)
            now_ns += every_ns
        for event in decoder.feed(item):
            said += tracker.feed(event)
    return said + list(tracker.advance(10**13))


@given(streams, st.sampled_from([1, 7, 16]), st.sampled_from([STRINGS, ONE]))
def test_what_is_said_does_not_depend_on_how_often_the_clock_is_asked(
    items: list[Item], every_ms: int, profile: PickupProfile
) -> None:
    stream = _messages(items)

    assert _asked_often(stream, profile, every_ms * MS) == played(stream, profile)


@given(streams, st.integers(0, 10**6))
def test_a_shift_of_all_stamps_shifts_all_times_and_changes_nothing_else(items: list[Item], shift_ms: int) -> None:
    shifted = played(_messages(items, shift_ms))

    assert [_moved(event, shift_ms * MS) for event in played(_messages(items))] == shifted


def _moved(event: PlayedEvent, by_ns: int) -> PlayedEvent:
    match event:
        case NoteOnset():
            return replace(event, onset_ns=event.onset_ns + by_ns, known_ns=event.known_ns + by_ns)
        case NoteEnd():
            return replace(event, offset_ns=event.offset_ns + by_ns)
        case NotePassed() | TechniqueHeard():
            return replace(event, known_ns=event.known_ns + by_ns)


@given(streams)
def test_every_note_is_numbered_in_order_has_a_fate_and_ends_at_most_once(items: list[Item]) -> None:
    said = played(_messages(items))

    onsets = [event.heard for event in said if isinstance(event, NoteOnset)]
    ends = [event.heard for event in said if isinstance(event, NoteEnd)]
    told = [event.heard for event in said if isinstance(event, TechniqueHeard)]
    passed = [event.heard for event in said if isinstance(event, NotePassed)]
    assert onsets == list(range(len(onsets)))
    assert len(set(ends)) == len(ends)
    assert len(set(told)) == len(told)
    assert len(set(passed)) == len(passed)
    assert set(told) | set(passed) == set(onsets)


@given(streams)
def test_every_note_on_is_heard_and_nothing_is_known_before_it_began(items: list[Item]) -> None:
    stream = _messages(items)

    onsets = [event for event in played(stream) if isinstance(event, NoteOnset)]

    ordinals = [event.event for event in onsets if not event.arrived_as_bend]
    assert sorted(ordinals) == list(range(sum(item.data[0] & 0xF0 == 0x90 for item in stream)))
    assert all(event.onset_ns <= event.known_ns for event in onsets)


def test_fifteen_hundred_bends_a_second_are_no_more_than_one_note() -> None:
    flood = [bend(i / 1.5, 30 * math.sin(i / 40)) for i in range(1, 3000)]

    assert len(notes(played([on(0, 66), *flood]))) == 1
    assert len(decoded(flood)) > 2000
