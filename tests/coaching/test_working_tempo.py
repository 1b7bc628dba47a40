from dataclasses import replace
from math import exp, log
from random import Random
from statistics import fmean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.coaching.working_tempo import Drift, Estimate, WorkingTempo

from .tempo_players import Kind, Trial, played, trial

STEADY = Kind("steady", widths=(0.03, 0.1))


def trials(kind: Kind, count: int, seed: str) -> list[Trial]:
    random = Random(seed)
    return [trial(kind, random) for _ in range(count)]


def test_the_first_pass_is_asked_at_the_start_to_a_tenth() -> None:
    assert WorkingTempo(83.26).tempo() == 83.3


def test_after_a_clean_pass_far_from_anything_known_the_tempo_rises_by_half_at_most() -> None:
    assert played(WorkingTempo(60), "cccc").tempo() == pytest.approx(60 * 1.5**4, rel=0.001)


def test_after_a_spoiled_pass_it_is_slower() -> None:
    assert played(WorkingTempo(100), "x").tempo() < 80


def test_seven_passes_are_no_figure_and_eight_are() -> None:
    seven = played(WorkingTempo(80), "ccxcxcc")

    assert seven.estimate() is None
    assert seven.words() == "Not enough yet: a working tempo needs 1 more pass."
    assert seven.told(clean=True).estimate() is not None


def test_it_asks_for_exactly_its_passes() -> None:
    over = played(WorkingTempo(80, most_passes=8), "ccxcxccx")

    assert over.is_over
    with pytest.raises(ValueError, match="nothing more is asked"):
        over.tempo()


@pytest.mark.parametrize("start", [19.9, 400.1, float("nan"), float("inf"), -80.0])
def test_a_start_that_cannot_be_asked_is_refused(start: float) -> None:
    with pytest.raises(ValueError, match="expected 20 to 400 quarters a minute"):
        WorkingTempo(start)


@given(st.floats(20, 400), st.text("cx", min_size=8, max_size=20))
@settings(max_examples=25, deadline=None)
def test_whatever_happens_tempi_can_be_asked_and_the_figure_lies_in_its_interval(start: float, outcomes: str) -> None:
    procedure = played(WorkingTempo(start), outcomes)
    estimate = procedure.estimate()

    assert estimate is not None
    assert all(20 <= one.qpm <= 400 for one in procedure.passes)
    rises = [b.qpm / a.qpm for a, b in zip(procedure.passes, procedure.passes[1:], strict=False)]
    assert all(rise <= 1.51 for rise in rises)
    assert estimate.low_qpm < estimate.qpm < estimate.high_qpm


def test_the_same_answers_bring_the_same_questions() -> None:
    assert played(WorkingTempo(77), "ccxcxcxxcc").passes == played(WorkingTempo(77), "ccxcxcxxcc").passes


def test_steady_players_are_met_without_bias_and_held_by_four_intervals_of_five() -> None:
    # 100 trials: the mean's standard error is 0.6 %, that of the share 4 %; the benchmark measures 2,000.
    found = trials(STEADY, 100, "steady")

    held = [one.estimate.low_qpm <= one.truth_qpm <= one.estimate.high_qpm for one in found]
    assert abs(fmean(one.estimate.qpm / one.truth_qpm - 1 for one in found)) <= 0.02
    assert 0.7 <= fmean(held) <= 0.9
    assert fmean(one.estimate.drift is not None for one in found) <= 0.1


@pytest.mark.parametrize(("moves", "drift"), [(log(0.6), Drift.FALLING), (log(1.6), Drift.RISING)])
def test_a_strong_drift_is_said_and_never_the_wrong_way(moves: float, drift: Drift) -> None:
    found = trials(Kind("moving", widths=(0.02, 0.05), moves=moves), 24, "moving")

    said = [one.estimate.drift for one in found]
    assert said.count(drift) >= 12
    assert set(said) <= {drift, None}


def test_a_fall_that_nobody_could_miss_is_said_and_the_figure_is_of_the_middle() -> None:
    procedure = WorkingTempo(100)
    while not procedure.is_over:
        threshold = 125 * exp(-0.4 * len(procedure.passes) / 19)
        procedure = procedure.told(clean=procedure.tempo() <= threshold)
    estimate = procedure.estimate()

    assert estimate is not None
    assert estimate.drift is Drift.FALLING
    assert estimate.qpm == pytest.approx(102, rel=0.08)


def test_the_figure_in_words_says_what_it_is_and_how_sure() -> None:
    steady = Estimate(92.4, 88.1, 97.2, 20)

    assert steady.words() == (
        "Working tempo today: ♩ = 92, clean in four passes of five; "
        "four times in five the true figure lies between 88 and 97."
    )
    assert replace(steady, drift=Drift.FALLING).words().endswith("the figure is of its middle. Rest your hands.")
