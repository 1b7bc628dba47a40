from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.coaching.contest import Climb, Contest, Score, score
from trainer.following.assessment import Assessment, TechniqueCount
from trainer.following.tolerance import Tolerance
from trainer.score.tempo import Tempo
from trainer.theory.technique import Technique

from .passes import AS_WRITTEN, LINE, NOTES

PERFECT = replace(AS_WRITTEN, techniques=(TechniqueCount(Technique.SLIDE, 8, 6, 2, 0),))


def with_slips(slips: int) -> Assessment:
    return replace(PERFECT, matched=NOTES - slips, missed=slips)


def test_points_are_the_product_that_the_formula_says() -> None:
    found = score(LINE, with_slips(NOTES // 4), Tempo(Fraction(60)), Tolerance())

    assert found == Score(60.0, clean_notes_a_second=2 * 0.75, evenness=0.8, slurs=0.75)
    assert found.points == 90


def test_slurs_that_the_pickup_does_not_tell_cost_nothing() -> None:
    untold = replace(PERFECT, techniques=(TechniqueCount(Technique.SLIDE, 8, 0, 0, 8),))

    assert score(LINE, untold, Tempo(Fraction(60)), Tolerance()).slurs == 1.0


def test_a_spread_as_wide_as_the_window_gets_no_points() -> None:
    assert score(LINE, replace(PERFECT, spread_ms=50.0), Tempo(Fraction(60)), Tolerance()).points == 0
    assert score(LINE, replace(PERFECT, matched=1, spread_ms=0.0), Tempo(Fraction(60)), Tolerance()).points == 0


def test_the_tempo_rises_pass_by_pass_until_there_are_more_slips_than_allowed() -> None:
    allowed = Climb().slips_allowed(NOTES)
    run, tempi = Contest(LINE, 60.0), []

    for slips in (0, allowed, allowed + 1):
        tempi.append(run.tempo_qpm())
        run = run.after(with_slips(slips))

    assert tempi == [60.0, 63.0, 66.2]
    assert run.is_over
    assert run.remark.endswith(f"{allowed + 1} slips, over {allowed}: the run ends.")
    with pytest.raises(ValueError, match="the run is over"):
        run.tempo_qpm()


def test_in_a_relay_each_tempo_is_played_by_both_and_the_best_pass_of_each_counts() -> None:
    run, seen = Contest(LINE, 60.0, players=2), []

    for slips in (0, 2, 1, 0):
        seen.append((run.turn, run.tempo_qpm()))
        run = run.after(with_slips(slips))

    assert seen == [(1, 60.0), (2, 60.0), (1, 63.0), (2, 63.0)]
    first, second = run.bests
    assert (first, second) == (max(run.scores[::2], key=lambda one: one.points), run.scores[3])
    assert run.words() == f"Best passes: {first.points} + {second.points} = {first.points + second.points} points."
    over = run.after(with_slips(NOTES))
    assert over.is_over


def test_a_relay_has_as_many_passes_for_each_player_and_ends_after_the_fastest_for_both() -> None:
    run = Contest(LINE, 399.0, Climb(most_passes=3), players=2)
    once = run.after(PERFECT).after(PERFECT).after(PERFECT)

    assert not once.is_over
    assert once.after(PERFECT).is_over
    assert run.after(PERFECT).words() == f"Best passes: {run.after(PERFECT).scores[0].points}."


def test_the_best_pass_counts_and_playing_on_adds_nothing() -> None:
    once = Contest(LINE, 60.0).after(PERFECT)
    worse = once.after(with_slips(2))

    assert worse.best == once.best
    assert worse.words() == f"Best pass: {once.scores[0].words()}."


def test_a_pass_that_is_broken_off_ends_the_run_without_points() -> None:
    run = Contest(LINE, 60.0).after(replace(PERFECT, matched=3))

    assert (run.is_over, run.best, run.words()) == (True, None, "No pass is played yet.")


def test_a_run_has_an_end_for_perfect_players_too() -> None:
    run = Contest(LINE, 390.0)
    while not run.is_over:
        run = run.after(PERFECT)

    assert [one.qpm for one in run.scores] == [390.0, 400.0]


def test_settings_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="expected 1 to 25"):
        Climb(rise_percent=30)
