"""The latency step: a bar on each string, which hits count, and what is taken off afterwards."""

import random
from dataclasses import replace
from statistics import fmean, quantiles

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.playing.builders import MS, STANDARD, decoded, off, on
from tests.set_up_player import SetUpPlayer, carry_through
from trainer.devices.converter import convert
from trainer.devices.converter_style import ConverterStyle
from trainer.devices.performer import Gesture
from trainer.playing.calibration.guide import Guide, StepName
from trainer.playing.calibration.latency import BEAT_NS, BEATS_A_BAR, GOOD_MS, MOST_ROUNDS, LatencyStep
from trainer.playing.calibration.latency_fit import frequency_hz
from trainer.playing.decoding import Decoder
from trainer.playing.messages import NoteOnset
from trainer.playing.notes import NoteTracker
from trainer.playing.profile import PickupProfile
from trainer.theory.technique import Technique

BEAT_MS = BEAT_NS / MS
STARTS_MS = 4000.0
UNANNOUNCED = ConverterStyle(announces_range=False)


def clicked() -> LatencyStep:
    step = LatencyStep(STANDARD)
    step.start(round(STARTS_MS * MS))
    return step


def learned(
    style: ConverterStyle, *, seed: int = 1, sd_ms: float = 5, bias_ms: int = 0, drift_ms_a_beat: float = 0
) -> Guide:
    """A guide whose latency step a simulated player has gone through."""
    guide = Guide(STANDARD, PickupProfile(channel_of_course=style.channel_of_course[:6]), (StepName.LATENCY,))
    player = SetUpPlayer(
        guide,
        style,
        seed=seed,
        timing_sd_ns=round(sd_ms * MS),
        bias_ns=bias_ms * MS,
        drift_ns_a_beat=drift_ms_a_beat * MS,
    )
    carry_through(guide, player)
    return guide


def test_the_bars_go_from_the_lowest_string_to_the_highest_and_back() -> None:
    step = clicked()
    assert step.plan is not None

    bars = [step.plan.course_of_beat(beat) for beat in range(0, 13 * BEATS_A_BAR, BEATS_A_BAR)]

    assert bars == [6, 5, 4, 3, 2, 1, 1, 2, 3, 4, 5, 6, 6]


def test_the_next_string_is_named_before_it_is_due() -> None:
    step = clicked()
    step.advance(round((STARTS_MS - BEAT_MS / 2) * MS) - 1)
    counting = step.prompt
    step.advance(round((STARTS_MS + 3 * BEAT_MS) * MS))

    assert counting == "After the count-in: string 6, open (E2)."
    assert step.prompt == "Now string 6, open (E2). Then string 5."


def test_a_hit_belongs_to_the_nearest_beat_and_counts_once() -> None:
    step = clicked()

    for event in decoded(
        [
            on(STARTS_MS + 12, 40, channel=6),
            off(STARTS_MS + 100, 40, channel=6),
            on(STARTS_MS + 130, 40, channel=6),
            on(STARTS_MS + BEAT_MS - 30, 40, channel=6),
        ]
    ):
        step.feed(event)

    assert step.late_ms[6] == [12.0, -30.0]


@pytest.mark.parametrize(("at_ms", "is_hit"), [(-BEAT_MS / 2, True), (-BEAT_MS / 2 - 0.001, False)])
def test_the_first_beat_begins_half_a_beat_early(at_ms: float, is_hit: bool) -> None:  # noqa: FBT001 - a parameter
    step = clicked()

    for event in decoded([on(STARTS_MS + at_ms, 40, channel=6)]):
        step.feed(event)

    assert bool(step.late_ms[6]) is is_hit


def test_another_string_is_named_and_not_counted() -> None:
    step = clicked()

    for event in decoded([on(STARTS_MS, 45, channel=5)]):
        step.feed(event)

    assert step.remark == "That was string 5; this bar is for string 6."
    assert not any(step.late_ms.values())


def test_a_note_that_was_first_taken_for_its_octave_is_left_out() -> None:
    step = clicked()

    for event in decoded(
        [on(STARTS_MS + 9, 52, channel=6), off(STARTS_MS + 50, 52, channel=6), on(STARTS_MS + 50, 40, channel=6)]
    ):
        step.feed(event)

    assert step.late_ms[6] == []


def test_too_few_hits_are_not_enough_yet_and_change_nothing() -> None:
    step, before = clicked(), PickupProfile(latency_ns=7)
    for event in decoded([on(STARTS_MS, 40, channel=6)]):
        step.feed(event)

    step.enough()

    assert step.applied_to(before) == before
    (finding,) = step.findings
    assert finding == (
        "Latency: not enough yet: 8 hits on each string are needed, there are 1 on string 6, 0 on string 5, "
        "0 on string 4, 0 on string 3, 0 on string 2, 0 on string 1. It stays as it was."
    )


def test_a_steady_player_needs_one_round_and_an_unsteady_one_more() -> None:
    steady, unsteady = (Guide(STANDARD, None, (StepName.LATENCY,)) for _ in range(2))

    seconds = [
        carry_through(guide, SetUpPlayer(guide, UNANNOUNCED, timing_sd_ns=sd_ms * MS)) / 1e9
        for guide, sd_ms in ((steady, 2), (unsteady, 12))
    ]

    round_s = 12 * BEATS_A_BAR * BEAT_NS / 1e9
    assert seconds[0] == pytest.approx(4 + round_s, abs=1)
    assert 4 + 2 * round_s < seconds[1] <= 4 + MOST_ROUNDS * round_s + 1


def test_hits_that_scatter_too_far_change_nothing_and_say_so() -> None:
    guide = learned(UNANNOUNCED, sd_ms=60)

    assert (guide.profile.latency_ns, guide.profile.latency_cycles) == (0, 0)
    assert "so that it is known only to within" in guide.findings[StepName.LATENCY][0]
    assert guide.findings[StepName.LATENCY][0].endswith("It stays as it was.")


def test_a_player_who_gets_later_all_the_time_does_not_look_like_a_difference_between_strings() -> None:
    style = replace(UNANNOUNCED, latency_cycles=2.0)

    steady, drifting = learned(style, sd_ms=0.5), learned(style, sd_ms=0.5, drift_ms_a_beat=0.1)

    assert steady.profile.latency_cycles == pytest.approx(2.0, abs=0.05)
    assert drifting.profile.latency_cycles == pytest.approx(2.0, abs=0.15)


def test_what_the_player_is_ahead_of_the_click_is_not_taken_for_the_device() -> None:
    guide = learned(replace(UNANNOUNCED, latency_ns=4 * MS, latency_cycles=1.5), sd_ms=4, bias_ms=-25)

    assert guide.profile.latency_ns == 0
    assert guide.profile.latency_cycles == pytest.approx(1.5, abs=0.4)
    assert "you play before the click" in guide.findings[StepName.LATENCY][1]


def test_it_is_said_that_a_habit_cannot_be_told_from_the_constant() -> None:
    guide = learned(replace(UNANNOUNCED, latency_ns=8 * MS, latency_cycles=1.5), sd_ms=4)

    assert "a click cannot tell these apart" in guide.findings[StepName.LATENCY][1]


@settings(max_examples=20, deadline=None)
@given(
    constant_ms=st.floats(0, 10),
    cycles=st.floats(1, 3),
    sd_ms=st.floats(2, 7),
    seed=st.integers(0, 10_000),
)
def test_the_uncertainty_said_at_the_end_is_as_small_as_promised(
    constant_ms: float, cycles: float, sd_ms: float, seed: int
) -> None:
    style = replace(UNANNOUNCED, latency_ns=round(constant_ms * MS), latency_cycles=cycles, latency_sd_ns=600_000)
    guide = Guide(STANDARD, None, (StepName.LATENCY,))
    step = guide.step
    assert isinstance(step, LatencyStep)

    carry_through(guide, SetUpPlayer(guide, style, seed=seed, timing_sd_ns=round(sd_ms * MS)))

    rounds = len(step.late_ms[6]) / 8
    assert step.fit is not None
    assert step.fit.uncertainty_ms <= GOOD_MS or rounds == MOST_ROUNDS


def test_after_compensation_99_of_100_onsets_lie_within_3_ms_for_1_to_3_cycles() -> None:
    chance, errors_ms = random.Random(7), []
    for seed in range(60):
        constant_ms, cycles, sd_ms = chance.uniform(0, 10), chance.uniform(1, 3), chance.uniform(2, 7)
        style = replace(UNANNOUNCED, latency_ns=round(constant_ms * MS), latency_cycles=cycles, latency_sd_ns=600_000)
        guide = learned(style, seed=seed, sd_ms=sd_ms)
        errors_ms += onset_errors_ms(style, guide.profile, seed)

    assert len(errors_ms) == 60 * 6 * 5
    assert quantiles((abs(error_ms) for error_ms in errors_ms), n=100)[98] <= 3.0
    assert abs(fmean(errors_ms)) <= 0.5


def onset_errors_ms(style: ConverterStyle, profile: PickupProfile, seed: int) -> list[float]:
    """How far compensated onsets lie from when the strings were plucked, over the neck."""
    places = [(course, fret) for course in STANDARD.courses for fret in (0, 3, 5, 9, 12)]
    return [
        (onset.onset_ns - (number + 1) * BEAT_NS) / MS
        for number, onset in enumerate(onsets(style, profile, places, BEAT_NS, seed))
    ]


def onsets(
    style: ConverterStyle, profile: PickupProfile, places: list[tuple[int, int]], apart_ns: int, seed: int = 1
) -> list[NoteOnset]:
    """The onsets heard when these (course, fret) are picked evenly, the first after one interval."""
    gestures = [
        Gesture((n + 1) * apart_ns, (n + 2) * apart_ns - 20 * MS, course, fret, Technique.PICK, 90)
        for n, (course, fret) in enumerate(places)
    ]
    decoder, tracker = Decoder(profile), NoteTracker(profile, STANDARD)
    messages = convert(gestures, STANDARD, style, random.Random(seed))
    said = [each for one in messages for event in decoder.feed(one) for each in tracker.feed(event)]
    return [each for each in said if isinstance(each, NoteOnset)]


# "string_latency_artefact" of the evenness vectors: a perfect line of 16ths at 120, heard two cycles late each on a low
# string, two between and a high one; lateness in ms above that of the high string, and the tempo that a fit then reads.
ARTEFACT_MS, ARTEFACT_QPM = (18, 18, 14, 14, 10, 10, 0, 0), 122.7113
SIXTEENTH_NS = 125 * MS
# E2, G2 (string 6 fret 3), B2 (string 5 fret 2) and E4 open: two cycles put them 18.2, 14.3 and 10.1 ms behind E4.
ARTEFACT_PLACES = [(6, 0), (6, 0), (6, 3), (6, 3), (5, 2), (5, 2), (1, 0), (1, 0)]


def fitted_qpm(onsets_ms: list[float]) -> float:
    """The tempo of the straight line through the onsets of 16ths."""
    slope_ms = float(np.polyfit(range(len(onsets_ms)), onsets_ms, 1)[0])
    return 15_000 / slope_ms


def test_a_perfect_120_that_reads_as_122_7_reads_as_120_after_the_set_up() -> None:
    style = replace(UNANNOUNCED, latency_ns=3 * MS, latency_cycles=2.0)
    profile = learned(style, sd_ms=0).profile

    raw = [onset.onset_ns / MS for onset in onsets(style, PickupProfile(), ARTEFACT_PLACES, SIXTEENTH_NS)]
    told = [onset.onset_ns / MS for onset in onsets(style, profile, ARTEFACT_PLACES, SIXTEENTH_NS)]

    late_ms = [raw_ms - (n + 1) * 125 for n, raw_ms in enumerate(raw)]
    assert [each - late_ms[-1] for each in late_ms] == pytest.approx(ARTEFACT_MS, abs=0.5)
    assert fitted_qpm(raw) == pytest.approx(ARTEFACT_QPM, abs=0.1)
    assert fitted_qpm(told) == pytest.approx(120.0, abs=0.02)


def test_the_artefact_as_tabled_reads_as_tabled_and_vanishes_with_what_a_jittery_player_taught() -> None:
    style = replace(UNANNOUNCED, latency_ns=3 * MS, latency_cycles=2.0)
    cycles = [learned(style, sd_ms=5, seed=seed).profile.latency_cycles for seed in range(20)]
    tabled = [125.0 * n + late_ms for n, late_ms in enumerate(ARTEFACT_MS)]

    read = [
        fitted_qpm(
            [on_ms - each * (1000 / frequency_hz(pitch)) for on_ms, pitch in zip(tabled, pitches(), strict=True)]
        )
        for each in cycles
    ]

    assert fitted_qpm(tabled) == pytest.approx(ARTEFACT_QPM, abs=1e-4)
    assert fmean(read) == pytest.approx(120.0, abs=0.2)
    assert max(abs(each - 120) for each in read) <= 0.7


def pitches() -> list[int]:
    return [STANDARD.open_pitches[course - 1] + fret for course, fret in ARTEFACT_PLACES]
