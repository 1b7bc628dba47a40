import doctest
from dataclasses import replace
from fractions import Fraction

import pytest

from tests.following.builders import EIGHT_UP, MS, folded, line_of, played, said_of
from trainer.following import assessment
from trainer.following.assessment import Assessment, PassFigures, TechniqueCount, Transition, assess
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import (
    Extra,
    Match,
    Missed,
    Slip,
    TechniqueResult,
    TechniqueVerdict,
    Verdict,
    WrongNote,
)
from trainer.score.exercise import Exercise
from trainer.theory.technique import Technique

QUARTERS = line_of(EIGHT_UP[:4], step=Fraction(1))
"""Four notes, 500 ms apart."""


def matched(index: int, late_ms: float, *, heard: int | None = None) -> Match:
    deviation_ns = round(late_ms * MS)
    return Match(index if heard is None else heard, index, index * 500 * MS + deviation_ns, deviation_ns, settled=True)


def assessed(*verdicts: Verdict, exercise: Exercise = QUARTERS, pass_length: int | None = None) -> Assessment:
    ledger = folded(verdicts)
    return assess(exercise, ledger, tempo=exercise.tempo, tolerance=Tolerance(), pass_length=pass_length)


def test_the_examples_in_the_module_hold() -> None:
    failed, tried = doctest.testmod(assessment)

    assert (failed, tried) == (0, 5)


def test_every_written_note_is_counted_once_by_its_latest_attempt() -> None:
    figures = assessed(
        matched(0, 0),
        WrongNote(1, 1, Slip.PITCH, 0, 0, settled=True),
        WrongNote(2, 2, Slip.STRING, 0, 0, settled=True),
        Missed(3, 2, 0, settled=True),
        Extra(4, 0, charged=True, settled=True),
        Extra(5, 0, charged=False, settled=True),
    )

    counts = (figures.matched, figures.wrong_pitch, figures.wrong_string, figures.missed, figures.extra)
    assert counts == (1, 1, 1, 1, 1)
    assert figures.uncharged == 1


def test_nothing_played_has_no_figures() -> None:
    figures = assessed()

    assert (figures.matched, figures.bias_ms, figures.spread_ms, figures.evenness_ms) == (0, None, None, None)


def test_bias_is_the_median_and_spread_the_standard_deviation_of_the_deviations() -> None:
    figures = assessed(matched(0, -10), matched(1, 20), matched(2, 20), matched(3, 30))

    assert figures.bias_ms == 20
    assert figures.spread_ms == pytest.approx(15)


def test_a_pass_that_is_steadily_slower_is_even() -> None:
    figures = assessed(matched(0, 0), matched(1, 30), matched(2, 60), matched(3, 90))

    assert figures.evenness_ms == pytest.approx(0, abs=1e-9)


def test_evenness_is_the_residual_of_the_intervals() -> None:
    figures = assessed(matched(0, 0), matched(1, 10), matched(2, 0))

    assert figures.evenness_ms == pytest.approx(10)


def test_the_hit_window_includes_its_edge() -> None:
    figures = assessed(matched(0, 50), matched(1, -50), matched(2, 50.000001))

    assert figures.within_window == 2


def test_the_hit_window_is_half_the_interval_where_notes_are_close() -> None:
    fast = line_of(EIGHT_UP[:3], step=Fraction(1, 8))
    ledger = folded([Match(0, 0, 31_250_000, 31_250_000, settled=True), Match(1, 1, 0, 31_250_001, settled=True)])

    figures = assess(fast, ledger, tempo=fast.tempo, tolerance=Tolerance())

    assert figures.within_window == 1


def test_a_transition_gathers_the_passes_into_a_steady_and_an_unsteady_part() -> None:
    line = line_of(EIGHT_UP[:3], step=Fraction(1))
    twice = replace(line.repeated(2), notes=line.repeated(2).notes)
    second_ns = twice.tempo.ns(twice.notes[3].onset_quarters)
    verdicts = [
        Match(0, 0, 0, 0, settled=True),
        Match(1, 1, 520 * MS, 20 * MS, settled=True),
        Match(2, 2, 1000 * MS, 0, settled=True),
        Match(3, 3, second_ns, 0, settled=True),
        Match(4, 4, second_ns + 540 * MS, 40 * MS, settled=True),
        Match(5, 5, second_ns + 1000 * MS, 0, settled=True),
    ]

    figures = assessed(*verdicts, exercise=twice, pass_length=3)

    assert figures.transitions == (
        Transition(0, 1, mean_late_ms=pytest.approx(30), spread_ms=pytest.approx(10), misses=0, attempts=2),
        Transition(1, 2, mean_late_ms=pytest.approx(-30), spread_ms=pytest.approx(10), misses=0, attempts=2),
    )
    assert [figures_of_pass.matched for figures_of_pass in figures.passes] == [3, 3]


def test_each_pass_has_figures_of_its_own() -> None:
    line = line_of(EIGHT_UP[:2], step=Fraction(1))
    twice = line.repeated(2)
    verdicts = [matched(0, 10), matched(1, 10), Missed(2, 1, 0, settled=True), Missed(3, 1, 0, settled=True)]

    figures = assessed(*verdicts, exercise=twice, pass_length=2)

    assert figures.passes == (
        PassFigures(2, 0, 0, 0, bias_ms=10, spread_ms=0, evenness_ms=None),
        PassFigures(0, 0, 0, 2, bias_ms=None, spread_ms=None, evenness_ms=None),
    )
    assert figures.transitions == (Transition(0, 1, mean_late_ms=0, spread_ms=None, misses=1, attempts=2),)


def test_techniques_are_counted_on_matched_notes() -> None:
    hammered = replace(QUARTERS.notes[1], technique=Technique.HAMMER)
    line = replace(QUARTERS, notes=(QUARTERS.notes[0], hammered, *QUARTERS.notes[2:]))
    verdicts: list[Verdict] = [matched(0, 0), matched(1, 0), matched(2, 0)]
    verdicts += [
        TechniqueVerdict(0, 0, Technique.PICK, Technique.PICK, TechniqueResult.AS_WRITTEN),
        TechniqueVerdict(1, 1, Technique.HAMMER, Technique.PICK, TechniqueResult.OTHERWISE),
        TechniqueVerdict(2, 2, Technique.PICK, None, TechniqueResult.NOT_MEASURABLE),
    ]

    figures = assessed(*verdicts, exercise=line)

    assert figures.techniques == (
        TechniqueCount(Technique.PICK, written=3, as_written=1, otherwise=0, not_measurable=1),
        TechniqueCount(Technique.HAMMER, written=1, as_written=0, otherwise=1, not_measurable=0),
    )


def test_a_line_played_exactly_is_perfect() -> None:
    line = line_of(EIGHT_UP)

    figures = assessed(*said_of(line, played(line)), exercise=line)

    assert (figures.matched, figures.within_window, figures.missed, figures.extra) == (8, 8, 0, 0)
    assert (figures.bias_ms, figures.spread_ms, figures.evenness_ms) == (0, 0, 0)


def test_at_ones_own_pace_there_is_a_spread_but_no_bias() -> None:
    ledger = folded([matched(index, 5) for index in range(4)])

    figures = assess(QUARTERS, ledger, tempo=QUARTERS.tempo, tolerance=Tolerance(), is_timed=False)

    assert figures.bias_ms is None
    assert figures.passes[0].bias_ms is None
    assert figures.spread_ms == 0
