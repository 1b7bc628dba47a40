from dataclasses import replace
from datetime import timedelta

import pytest

from tests.builders import line
from tests.progress.builders import FIRST, LAST, a_pass, day_played, facts, line_played, weeks_played
from trainer.coaching.working_tempo import Estimate
from trainer.history.tempo_runs import KeptRun
from trainer.progress.facts import Ears
from trainer.progress.measures import (
    TempoPoint,
    by_place_in_beat,
    by_string,
    is_clean,
    passes_to_working_tempo,
    spots,
    tempo_points,
    then_and_now,
    weeks,
)


def test_a_pass_is_clean_without_misses_within_the_window_and_even() -> None:
    exercise = line()
    clean = a_pass(exercise)
    missed = a_pass(exercise, deviation=lambda _, i: None if i == 4 else 0.0)
    uneven = a_pass(exercise, deviation=lambda _, i: 40.0 * (-1) ** i)

    assert [is_clean(exercise, one) for one in (clean, missed, uneven)] == [True, False, False]


def test_a_day_with_few_passes_has_its_fastest_clean_one_and_no_spread() -> None:
    exercise = line()
    played = line_played(
        [a_pass(exercise, qpm=90), a_pass(exercise, qpm=96), a_pass(exercise, qpm=120, deviation=lambda *_: None)]
    )

    assert tempo_points(played) == (TempoPoint(FIRST, 96.0),)
    assert passes_to_working_tempo(played) == 5


def test_a_day_with_passes_of_both_kinds_has_a_working_tempo_with_its_interval() -> None:
    point = tempo_points(weeks_played().lines[0])[-1]

    assert point.day == LAST
    assert point.low_qpm is not None
    assert point.high_qpm is not None
    assert point.low_qpm < point.qpm < point.high_qpm
    assert point.qpm == pytest.approx(90, rel=0.06)


def test_timing_is_grouped_by_string_as_it_was_planted() -> None:
    exercise = line()
    late = exercise.notes[0].course
    played = a_pass(exercise, deviation=lambda _, i: 12.0 if exercise.notes[i].course == late else -3.0)

    found = by_string(facts(line_played([played])))

    assert {timing.name: timing.mean_ms for timing in found} == {
        f"string {course}": 12.0 if course == late else -3.0 for course in exercise.courses
    }


@pytest.mark.parametrize("ears", [Ears(knows_strings=False), Ears(is_calibrated=False)])
def test_strings_are_not_compared_unless_they_are_known_and_calibrated(ears: Ears) -> None:
    assert by_string(facts(line_played([a_pass(line())], ears=ears))) == ()


def test_timing_is_grouped_by_place_in_the_beat() -> None:
    exercise = line()
    played = a_pass(exercise, deviation=lambda _, i: 9.0 if exercise.notes[i].onset_quarters % 1 == 0 else 0.0)

    means = {timing.name: timing.mean_ms for timing in by_place_in_beat(facts(line_played([played])))}

    assert means.pop("on the beat") == 9.0
    assert set(means.values()) == {0.0}


def test_a_missed_note_is_off_at_its_place_of_the_neck() -> None:
    exercise = line()
    missed = exercise.notes[5]
    played = a_pass(exercise, deviation=lambda _, i: None if i == 5 else 0.0)

    found, with_timing = spots(facts(line_played([played])))

    assert with_timing
    assert {(spot.course, spot.fret): spot.off for spot in found if spot.off} == {(missed.course, missed.fret): 1}
    assert sum(spot.tries for spot in found) == len(exercise.notes)


def test_without_calibration_late_notes_are_not_off_on_the_neck() -> None:
    late = a_pass(line(), deviation=lambda *_: 80.0)

    found, with_timing = spots(facts(line_played([late], ears=Ears(is_calibrated=False))))

    assert (sum(spot.off for spot in found), with_timing) == (0, False)


def test_weeks_without_practice_are_there_too() -> None:
    found = weeks(facts(days=[day_played(FIRST, 10), day_played(FIRST + timedelta(days=8), 20, breaks=2)]))

    assert [(week.minutes, week.breaks) for week in found] == [(10, 1), (20, 2), (0, 0), (0, 0)]


def test_then_and_now_never_share_a_pass() -> None:
    passes = [a_pass(line(), number) for number in range(11)]

    then, now = then_and_now(passes, 20)

    assert (then, now) == (passes[:5], passes[6:])


def test_a_working_tempo_that_a_run_found_is_the_figure_of_its_day() -> None:
    found = Estimate(118.0, 110.0, 126.0, 20)
    run = KeptRun("two-gates", FIRST, found, 3.9, "picked", "working tempo", ())
    other_day = a_pass(line(), 1, day=FIRST + timedelta(days=2))

    points = tempo_points(replace(line_played([a_pass(line()), other_day]), runs=(run,)))

    assert points == (TempoPoint(FIRST, 118.0, 110.0, 126.0), TempoPoint(FIRST + timedelta(days=2), 100.0))
