"""The whole way through a set-up, with a simulated player who does what is asked."""

from dataclasses import replace

import pytest

from tests.playing.builders import MS, STANDARD, parameter
from tests.set_up_player import SetUpPlayer, carry_through
from trainer.devices.converter_style import STYLES, ConverterStyle
from trainer.playing.calibration.guide import Guide, StepName, steps_named
from trainer.playing.calibration.strings import StringStep
from trainer.playing.profile import ChannelUse, PickupProfile

UNANNOUNCED = ConverterStyle(announces_range=False)
CHANNELS = (StepName.STRINGS, StepName.BEND)


def led(style: ConverterStyle, steps: tuple[StepName, ...] = CHANNELS, seed: int = 1) -> Guide:
    guide = Guide(STANDARD, None, steps)
    carry_through(guide, SetUpPlayer(guide, style, seed=seed, timing_sd_ns=4 * MS))
    return guide


def test_a_device_with_the_slips_of_a_real_one_is_learned_whole() -> None:
    style = replace(UNANNOUNCED, channel_of_course=(16, 15, 14, 13, 12, 11), bend_range_semitones=24).with_slips()

    profiles = [led(style, tuple(StepName), seed).profile for seed in range(12)]

    assert {profile.channel_of_course for profile in profiles} == {(16, 15, 14, 13, 12, 11)}
    assert {profile.bend_range_semitones for profile in profiles} == {24.0}
    assert all(profile.latency_ns == pytest.approx(4 * MS, abs=3.5 * MS) for profile in profiles)
    assert all(profile.latency_cycles == pytest.approx(1.5, abs=0.5) for profile in profiles)


@pytest.mark.parametrize("bend_range", [1, 2, 3, 5, 7, 12, 18, 24, 36, 48])
def test_every_bend_range_is_learned_when_nothing_announces_it(bend_range: int) -> None:
    guide = led(replace(UNANNOUNCED, bend_range_semitones=bend_range))

    assert guide.profile.bend_range_semitones == bend_range


@pytest.mark.parametrize("style", ["retrigger", "chromatic"])
def test_converters_that_do_not_bend_to_a_fret_keep_their_range(style: str) -> None:
    guide = led(replace(STYLES[style], announces_range=False))

    assert guide.profile.bend_range_semitones == PickupProfile().bend_range_semitones
    assert guide.findings[StepName.BEND][0].startswith("Bend range: this device begins a new note")


def test_an_mpe_device_that_announces_its_zone_needs_no_bend() -> None:
    guide = led(STYLES["mpe"])

    assert guide.profile.channel_use is ChannelUse.MPE
    assert guide.profile.channel_of_course == (2, 3, 4, 5, 6, 7)
    assert guide.findings[StepName.BEND] == ("Bend range: 48 semitones, as the device itself announces.",)


def test_a_keyboard_or_a_device_on_one_channel_is_recognised() -> None:
    guide = led(STYLES["keyboard"])

    assert guide.profile.channel_use is ChannelUse.ONE_CHANNEL
    assert "does not separate strings" in guide.findings[StepName.STRINGS][0]


def test_a_range_announced_while_the_strings_are_learned_is_not_forgotten() -> None:
    guide = Guide(STANDARD, None, CHANNELS)
    for message in parameter(0, 0, 24, channel=3):
        guide.feed(message)

    guide.enough()

    assert guide.is_finished
    assert guide.profile.bend_range_semitones == 24


def test_steps_that_were_not_wanted_leave_what_was_known() -> None:
    known = PickupProfile(channel_of_course=(16, 15, 14, 13, 12, 11), bend_range_semitones=24.0)
    style = replace(UNANNOUNCED, channel_of_course=known.channel_of_course, latency_cycles=2.0)
    guide = Guide(STANDARD, known, (StepName.LATENCY,))

    carry_through(guide, SetUpPlayer(guide, style))

    assert replace(known, name="set-up", title=guide.profile.title) == replace(
        guide.profile, latency_ns=0, latency_cycles=0.0
    )
    assert guide.profile.latency_cycles == pytest.approx(2.0, abs=0.01)


def test_a_step_can_be_begun_anew() -> None:
    guide = Guide(STANDARD)
    assert isinstance(guide.step, StringStep)
    guide.step.channel_of_course[6] = 3

    guide.again()

    assert isinstance(guide.step, StringStep)
    assert guide.step.channel_of_course == {}


def test_steps_are_named_in_any_order_and_the_nearest_word_is_offered() -> None:
    assert steps_named("latency, strings") == (StepName.STRINGS, StepName.LATENCY)
    with pytest.raises(ValueError, match="'latancy' is no step of the set-up; did you mean 'latency'"):
        steps_named("latancy")
    with pytest.raises(ValueError, match="no step was named"):
        steps_named(" , ")
