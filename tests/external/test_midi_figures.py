"""Bytes on the wire against published figures.

Sources: MIDI 1.0 Detailed Specification 4.2 (pitch bend: two data bytes, the low seven bits first, centre 2000H;
registered parameter 0,0 = pitch bend sensitivity in semitones and cents, selected by controllers 101 and 100, set by
controllers 6 and 38, switched off by 127, 127; note-on velocity 0 = note-off); RP-053, MIDI Polyphonic Expression
(registered parameter 0,6 = MPE configuration; afterwards 2 semitones on the master, 48 on members; a master's bend adds
to its members'). The bend values below were worked out by hand from `value = 8192 + semitones / range * 8192`, rounded
to the nearest; where the published tables of receivers stop at +-2 and +-24 semitones, no further source is claimed.
mido's encoder serves as a second opinion for the byte order.
"""

import math

import mido
import pytest

from tests.playing.builders import MPE, STANDARD, STRINGS, bend, control, decoded, message, notes, on, played
from trainer.playing.messages import NoteOnset, StringBend
from trainer.playing.notes import NoteTracker
from trainer.playing.profile import PickupProfile

HAND_WORKED = [
    # range, semitones, value, low byte, high byte
    (12, 1, 8875, 43, 69),
    (12, 2, 9557, 85, 74),
    (12, 3, 10240, 0, 80),
    (12, -2, 6827, 43, 53),
    (24, 2, 8875, 43, 69),
    (24, 3, 9216, 0, 72),
    (48, 2, 8533, 85, 66),
]


@pytest.mark.parametrize(("semitones_range", "semitones", "value", "low", "high"), HAND_WORKED)
def test_a_bend_of_whole_semitones_is_heard_from_the_bytes_of_the_specification(
    semitones_range: int, semitones: int, value: int, low: int, high: int
) -> None:
    assert low + 128 * high == value
    assert mido.Message("pitchwheel", pitch=value - 8192).bytes() == [0xE0, low, high]

    announced = [control(0, 101, 0), control(0, 100, 0), control(0, 6, semitones_range), control(0, 38, 0)]
    told = decoded([*announced, control(0, 101, 127), control(0, 100, 127), message(1, 0xE0, low, high)])

    half_a_step_cents = semitones_range * 100 / 8192 / 2
    assert isinstance(told[0], StringBend)
    assert told[0].bend_cents == pytest.approx(100 * semitones, abs=half_a_step_cents + 1e-9)


def test_full_scale_upwards_is_one_step_short_of_the_range_and_downwards_all_of_it() -> None:
    two = PickupProfile(bend_range_semitones=2.0)

    told = decoded([message(0, 0xE0, 0x7F, 0x7F), message(1, 0xE0, 0, 0), message(2, 0xE0, 0, 0x40)], two)

    cents = [event.bend_cents for event in told if isinstance(event, StringBend)]
    assert cents == [pytest.approx(199.98, abs=0.005), -200.0, 0.0]


@pytest.mark.parametrize(("assumed", "semitones"), [(2, 1 / 3), (24, 4.0)])
def test_a_range_that_is_wrong_misreads_two_semitones_as_the_arithmetic_says(assumed: int, semitones: float) -> None:
    told = decoded([message(0, 0xE0, 85, 74)], PickupProfile(bend_range_semitones=float(assumed)))

    assert isinstance(told[0], StringBend)
    assert told[0].bend_cents == pytest.approx(100 * semitones, abs=0.2)


def test_the_null_parameter_ends_the_setting_of_the_range() -> None:
    closed = [control(0, 101, 0), control(0, 100, 0), control(0, 101, 127), control(0, 100, 127), control(0, 6, 24)]

    told = decoded([*closed, message(1, 0xE0, 0, 0)])

    assert [event.bend_cents for event in told if isinstance(event, StringBend)] == [-1200.0]


def test_the_mpe_configuration_message_sets_2_semitones_on_the_master_and_48_on_members() -> None:
    configured = [control(0, 101, 0), control(0, 100, 6), control(0, 6, 6)]

    told = decoded([*configured, message(1, 0xE0, 0, 0), message(1, 0xE0, 0, 0x40), message(1, 0xE1, 0, 0)], MPE)

    assert [event.bend_cents for event in told if isinstance(event, StringBend)] == [-200.0, 0.0, -4800.0]


def test_an_upper_zone_lies_below_its_master_on_channel_16() -> None:
    configured = [control(0, number, value, channel=16) for number, value in ((101, 0), (100, 6), (6, 2))]

    told = decoded([*configured, *(message(1, 0xE0 | channel - 1, 0, 0) for channel in (16, 15, 14, 13))])

    assert [event.bend_cents for event in told if isinstance(event, StringBend)] == [-200.0, -5000.0, -5000.0, -1200.0]


def test_the_same_pitch_may_sound_on_two_strings_at_once() -> None:
    said = notes(played([on(0, 64, channel=2), on(10, 64, channel=3)], MPE))

    assert [pitch for _, pitch, _ in said] == [64, 64]


@pytest.mark.parametrize(
    ("pitch", "cycle_ms"), [(40, 12.13), (45, 9.09), (50, 6.81), (55, 5.10), (59, 4.05), (64, 3.03)]
)
def test_one_cycle_of_each_open_string_is_the_latency_of_equal_temperament(pitch: int, cycle_ms: float) -> None:
    """Equal temperament at A4 = 440 Hz (ISO 16): E2 82.41 Hz ... E4 329.63 Hz."""
    tracker = NoteTracker(PickupProfile(latency_cycles=1.0), STANDARD)
    course = STANDARD.open_pitches.index(pitch) + 1

    onsets = tracker.feed(decoded([on(100, pitch, channel=course)])[0])

    assert isinstance(onsets[0], NoteOnset)
    assert (100e6 - onsets[0].onset_ns) / 1e6 == pytest.approx(cycle_ms, abs=0.01)
    assert math.isclose(cycle_ms, 1000 / (440 * 2 ** ((pitch - 69) / 12)), rel_tol=2e-3)


def test_the_builders_of_these_tests_write_the_same_bytes_as_mido() -> None:
    assert list(bend(0, 200).data) == mido.Message("pitchwheel", pitch=9557 - 8192).bytes()
    assert list(on(0, 60, 90, 3).data) == mido.Message("note_on", note=60, velocity=90, channel=2).bytes()
    assert STRINGS.bend_range_semitones == 12
