import random
from collections import Counter
from dataclasses import replace
from itertools import pairwise

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.devices.lines import STANDARD, line
from trainer.devices.converter import convert
from trainer.devices.converter_style import STYLES, ConverterStyle, style_named
from trainer.devices.faults import Faults
from trainer.devices.performer import Gesture, perform
from trainer.devices.skill import EXACT, SKILLS, Skill
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.theory.technique import Technique

MS = 1_000_000
START_NS = 1_000 * MS
LINE = "2/5 2/8h 1/5 1/8h 1/10s 1/8o 1/5o 2/8 3/7 3/9s 6/3 6/0o"


def hands(text: str = LINE, skill: Skill = EXACT, passes: int = 1, seed: int = 1) -> tuple[Gesture, ...]:
    exercise = line(text, passes=passes)
    return perform(exercise, exercise.tempo, START_NS, skill, Faults(), random.Random(seed))


def sent(gestures: tuple[Gesture, ...], style: ConverterStyle, seed: int = 1) -> list[str]:
    """What comes after the announcement, as `ms: bytes`."""
    messages = convert(gestures, STANDARD, style, random.Random(seed))
    return [f"{message.stamp_ns // MS}: {message.data.hex(' ')}" for message in messages if message.stamp_ns > 0]


def sounding_pitch(messages: tuple[StampedMessage, ...], channel: int, at_ns: int, semitones: int) -> float | None:
    """The pitch on a channel at a moment, read from the bytes by the MIDI 1.0 figures alone."""
    key: int | None = None
    bend = 8192
    for stamp_ns, data in messages:
        if stamp_ns > at_ns or data[0] & 0x0F != channel - 1 or data[0] >= 0xF0:
            continue
        kind = data[0] & 0xF0
        if kind == 0x90 and data[2] > 0:
            key = data[1]
        elif kind in {0x80, 0x90} and data[1] == key:
            key = None
        elif kind == 0xE0:
            bend = data[1] + 128 * data[2]
    return None if key is None else key + (bend - 8192) / 8192 * semitones


def test_the_bend_style_moves_the_bend_of_the_sounding_note() -> None:
    assert sent(hands("2/5 2/8h 2/10s 1/5"), STYLES["bend"]) == [
        "1000: 91 40 54",
        "1247: e1 4d 49",  # 60 % of the way to +3 semitones
        "1250: e1 00 50",  # 8192 + 8192 * 3 / 12 = 10240
        "1457: e1 2b 55",  # a slide stands on the fret that it passes: +4 is 10923, low seven bits first
        "1500: e1 55 5a",  # +5 is 11605
        "1750: 81 40 40",
        "1750: 90 45 54",
        "2000: 80 45 40",
    ]


def test_a_picked_note_is_in_tune_again_before_it_sounds() -> None:
    messages = sent(hands("2/5 2/8h 2/8"), STYLES["bend"])

    assert messages[3:6] == ["1488: 81 40 40", "1500: e1 00 40", "1500: 91 43 54"]


def test_a_move_beyond_the_bend_range_is_a_new_note_after_the_pinned_bend() -> None:
    style = replace(STYLES["bend"], bend_range_semitones=2)

    assert sent(hands("1/5 1/8s"), style) == [
        "1000: 90 45 54",
        "1180: e0 00 60",
        "1215: e0 7f 7f",
        "1250: 80 45 40",
        "1250: e0 00 40",
        "1250: 90 48 34",
        "1500: 80 48 40",
    ]


def test_a_move_to_the_edge_of_the_bend_range_is_still_a_bend() -> None:
    style = replace(STYLES["bend"], bend_range_semitones=3)

    assert sent(hands("1/5 1/8h"), style)[-2:] == ["1250: e0 7f 7f", "1500: 80 45 40"]


def test_a_slide_may_glide() -> None:
    style = replace(STYLES["bend"], slides_in_steps=False, bend_period_ns=20 * MS)

    bends = [
        words.split(": ")[0] for words in sent(hands("1/5 1/8s"), style) if " e0 " in f" {words} ".replace(":", "")
    ]

    assert bends == ["1165", "1185", "1205", "1225", "1245", "1250"]


def test_the_retrigger_style_sends_a_soft_new_note_without_a_gap() -> None:
    assert sent(hands("1/5 1/8s"), STYLES["retrigger"]) == [
        "1000: 90 45 54",
        "1250: 80 45 40",
        "1250: 90 48 34",
        "1500: 80 48 40",
    ]


def test_the_chromatic_style_sends_every_semitone_passed_in_a_slide_but_not_in_a_hammer_on() -> None:
    messages = sent(hands("1/5 1/8s 1/11h"), STYLES["chromatic"])

    assert [words for words in messages if ": 90" in words] == [
        "1000: 90 45 54",
        "1180: 90 46 34",
        "1215: 90 47 34",
        "1250: 90 48 34",
        "1500: 90 4b 34",
    ]


def test_mpe_pins_the_strings_to_member_channels_and_bends_before_each_note() -> None:
    messages = convert(hands("2/5 1/5"), STANDARD, STYLES["mpe"], random.Random(1))

    announced = [message.data.hex(" ") for message in messages if message.stamp_ns == 0]
    assert announced[:6] == ["b0 65 00", "b0 64 06", "b0 06 06", "b0 26 00", "b0 65 7f", "b0 64 7f"]
    assert announced[6:12] == ["b1 65 00", "b1 64 00", "b1 06 30", "b1 26 00", "b1 65 7f", "b1 64 7f"]
    assert [message.data.hex(" ") for message in messages if message.stamp_ns > 0] == [
        "e2 00 40",
        "92 40 54",
        "82 40 40",
        "e1 00 40",
        "91 45 54",
        "81 45 40",
    ]


def test_a_keyboard_plays_all_on_one_channel_and_announces_nothing() -> None:
    messages = convert(hands(), STANDARD, STYLES["keyboard"], random.Random(1))

    assert {message.data[0] for message in messages} == {0x90, 0x80}
    assert len([message for message in messages if message.data[0] == 0x90]) == 12


def test_strings_may_be_on_any_channels_in_any_order() -> None:
    style = replace(STYLES["retrigger"], channel_of_course=(16, 15, 14, 13, 12, 11))

    messages = sent(hands("1/5 6/3"), style)

    assert [words.split()[1] for words in messages] == ["9f", "8f", "9a", "8a"]


def test_tracking_takes_a_constant_and_some_periods_of_the_string() -> None:
    style = replace(STYLES["bend"], latency_ns=3 * MS, latency_cycles=2.0)

    messages = convert(hands("6/0 1/0"), STANDARD, style, random.Random(1))

    stamps = [message.stamp_ns for message in messages if message.data[0] & 0xF0 == 0x90]
    # E2 = 82.407 Hz, E4 = 329.628 Hz: two periods are 24.270 and 6.067 ms
    assert stamps == [pytest.approx(START_NS + 27_270_000, abs=1000), pytest.approx(START_NS + 259_067_000, abs=1000)]


def test_a_string_stays_in_order_when_its_next_note_is_tracked_sooner() -> None:
    low = Gesture(START_NS, START_NS + 5 * MS, 6, 0, Technique.PICK, 80)
    high = Gesture(START_NS + 5 * MS, START_NS + 100 * MS, 6, 24, Technique.PICK, 80)

    messages = sent((low, high), replace(STYLES["retrigger"], latency_cycles=3.0))

    # Three periods of E2 are 36.4 ms: the low note is only known when the high one has begun.
    assert messages == ["1036: 95 28 50", "1036: 85 28 40", "1036: 95 40 50", "1109: 85 40 40"]


def test_a_note_off_may_be_a_note_on_of_velocity_zero() -> None:
    style = replace(STYLES["retrigger"], offs_as_velocity_zero=True)

    assert sent(hands("1/5"), style) == ["1000: 90 45 54", "1250: 90 45 00"]


def test_a_fixed_velocity_is_the_same_for_all_notes() -> None:
    style = replace(STYLES["retrigger"].with_slips(), fixed_velocity=100)

    messages = convert(hands(passes=20), STANDARD, style, random.Random(1))

    assert {message.data[2] for message in messages if message.data[0] & 0xF0 == 0x90} == {100}


@pytest.mark.parametrize("name", STYLES)
@given(seed=st.integers(0, 2**32))
@settings(max_examples=15, deadline=None)
def test_every_style_sounds_each_gesture_at_its_pitch_when_it_was_made(name: str, seed: int) -> None:
    style = STYLES[name]
    gestures = hands(skill=SKILLS["stumbling"], passes=3, seed=seed)

    messages = convert(gestures, STANDARD, style, random.Random(seed))

    for place, gesture in enumerate(gestures):
        same_string = [other for other in gestures[place + 1 :] if other.course == gesture.course]
        if same_string and same_string[0].onset_ns - same_string[0].travel_ns <= gesture.onset_ns:
            continue  # it gives way at once
        if style.channel_use is ChannelUse.ONE_CHANNEL and any(
            abs(other.onset_ns - gesture.onset_ns) < 300 * MS for other in gestures if other.index is None
        ):
            continue  # two notes on one channel: the reader above follows one only
        channel = style.channel_of_course[gesture.course - 1]
        pitch = sounding_pitch(messages, channel, gesture.onset_ns, style.bend_range_semitones)
        assert pitch == pytest.approx(STANDARD.open_pitches[gesture.course - 1] + gesture.fret, abs=0.01)


@given(seed=st.integers(0, 2**32), name=st.sampled_from(sorted(STYLES)))
@settings(max_examples=40, deadline=None)
def test_whatever_slips_the_messages_are_valid_sorted_and_repeatable(seed: int, name: str) -> None:
    style = replace(STYLES[name].with_slips(), clock_period_ns=20 * MS, vibrato_cents=30.0)
    gestures = hands(skill=SKILLS["stumbling"], passes=4, seed=seed)

    messages = convert(gestures, STANDARD, style, random.Random(seed))

    assert [mido.Message.from_bytes(message.data).bytes() for message in messages] == [list(m.data) for m in messages]
    stamps = [message.stamp_ns for message in messages]
    assert stamps == sorted(stamps)
    assert stamps[0] >= 0
    assert messages == convert(gestures, STANDARD, style, random.Random(seed))


def on_and_off(messages: tuple[StampedMessage, ...]) -> Counter[str]:
    return Counter({0x90: "on", 0x80: "off", 0xE0: "bend"}.get(message.data[0] & 0xF0, "") for message in messages)


def test_each_slip_comes_about_as_often_as_the_style_says() -> None:
    gestures = hands("1/5 1/5 1/5 1/5", passes=250)
    plain = STYLES["retrigger"]

    def counted(**slips: float) -> Counter[str]:
        return on_and_off(convert(gestures, STANDARD, replace(plain, **slips), random.Random(2)))  # type: ignore[arg-type] # rates only

    # four standard deviations of a binomial count round 100 of 1000 are 38
    assert counted()["on"] == counted()["off"] == 1000
    assert 1062 <= counted(octave_rate=0.1)["on"] <= 1138
    assert counted(octave_rate=0.1)["on"] == counted(octave_rate=0.1)["off"]
    assert 1062 <= counted(duplicate_rate=0.1)["on"] <= 1138
    assert counted(duplicate_rate=0.1)["off"] == 1000
    assert 862 <= counted(missing_off_rate=0.1)["off"] <= 938
    assert 1062 <= counted(ghost_rate=0.1)["on"] <= 1138
    assert 1062 <= counted(sympathetic_rate=0.1)["on"] <= 1138


def test_an_octave_slip_is_corrected_within_60_ms() -> None:
    messages = sent(hands("1/5"), replace(STYLES["bend"], octave_rate=1.0))

    first, off, corrected, _ = (words.split(": ") for words in messages)
    assert (first, off[1], corrected[1]) == (["1000", "90 51 54"], "80 51 40", "90 45 54")
    assert off[0] == corrected[0]
    assert 1020 <= int(corrected[0]) <= 1060


def test_false_tails_stay_in_the_last_60_ms() -> None:
    messages = convert(
        hands("1/5 2/5 1/5 2/5", passes=5), STANDARD, replace(STYLES["bend"], false_tail_rate=1.0), random.Random(1)
    )

    offs = [(m.stamp_ns, m.data[0] & 0x0F) for m in messages if m.data[0] & 0xF0 == 0x80]
    ons = {(m.stamp_ns, m.data[0] & 0x0F) for m in messages if m.data[0] & 0xF0 == 0x90}
    astray = [
        (m.stamp_ns, m.data[0] & 0x0F)
        for m in messages
        if m.data[0] & 0xF0 == 0xE0 and (m.stamp_ns, m.data[0] & 0x0F) not in ons
    ]
    assert len(astray) >= 20
    assert all(any(c == channel and 0 <= off_ns - at_ns <= 60 * MS for off_ns, c in offs) for at_ns, channel in astray)


def test_a_ghost_is_short_soft_and_on_a_silent_string() -> None:
    gestures = hands("1/5 1/8", passes=50)

    messages = convert(gestures, STANDARD, replace(STYLES["retrigger"], ghost_rate=0.5), random.Random(1))

    ghosts = [m for m in messages if m.data[0] & 0xF0 == 0x90 and m.data[0] & 0x0F != 0]
    assert len(ghosts) > 20
    assert all(m.data[2] <= 16 for m in ghosts)


def test_active_sensing_never_leaves_300_ms_between() -> None:
    messages = convert(hands(), STANDARD, replace(STYLES["bend"], active_sensing=True), random.Random(1))

    stamps = [message.stamp_ns for message in messages if message.data == b"\xfe"]
    assert max(later - earlier for earlier, later in pairwise(stamps)) <= 300 * MS


def test_a_style_can_take_a_pickups_channels_range_and_latency() -> None:
    profile = PickupProfile(
        channel_of_course=(6, 5, 4, 3, 2, 1), bend_range_semitones=24.0, latency_ns=2 * MS, latency_cycles=1.5
    )

    style = STYLES["bend"].like(profile)

    assert style.profile == replace(profile, name="bend", title="Simulated converter, bend style")


def test_too_few_channels_for_the_strings_are_refused() -> None:
    with pytest.raises(ValueError, match="4 channels for 6 strings"):
        convert((), STANDARD, replace(STYLES["bend"], channel_of_course=(1, 2, 3, 4)), random.Random(1))


def test_an_unknown_style_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(ValueError, match="no converter style is called 'cromatic'; did you mean 'chromatic'"):
        style_named("cromatic")
