from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.coaching.ladder import Ladder
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.working_tempo import WorkingTempo
from trainer.devices.tempo_player import clean_chance, faults_at
from trainer.following.assessment import Assessment
from trainer.score.tempo import Tempo

from .passes import AS_WRITTEN, LINE, NOTES

CLEAN = replace(AS_WRITTEN, uncharged=0, spread_ms=8.0, evenness_ms=8.0)
MISSED = replace(CLEAN, matched=NOTES - 1, missed=1)
BROKEN_OFF = replace(CLEAN, matched=NOTES - 5)


def after(sitting: TempoSitting, *figures: Assessment) -> TempoSitting:
    for one in figures:
        sitting = sitting.after(one)
    return sitting


def test_a_clean_pass_is_told_to_the_procedure_and_said() -> None:
    sitting = after(TempoSitting(LINE, WorkingTempo(80.5)), CLEAN)

    assert sitting.procedure.passes == WorkingTempo(80.5).told(clean=True).passes
    assert sitting.remark == "Pass 1 at ♩ = 80.5: clean."


def test_why_a_pass_was_not_clean_is_said() -> None:
    assert after(TempoSitting(LINE, Ladder(80)), CLEAN, MISSED).remark == "Pass 2 at ♩ = 80: not clean: 1 missed."


def test_a_pass_that_was_broken_off_is_asked_again() -> None:
    sitting = after(TempoSitting(LINE, WorkingTempo(80)), CLEAN, BROKEN_OFF)

    assert len(sitting.judged) == 1
    assert sitting.remark == "That pass was broken off and does not count."


def test_a_rest_is_due_after_every_fifth_pass_and_not_at_the_end() -> None:
    sitting = TempoSitting(LINE, Ladder(80, most_passes=10))
    due = []
    while not sitting.is_over:
        sitting = sitting.after(CLEAN)
        due.append(sitting.is_rest_due)

    assert due == [False] * 4 + [True] + [False] * 5


def test_the_tempo_asked_is_exact() -> None:
    assert TempoSitting(LINE, WorkingTempo(83.3)).tempo() == Tempo(Fraction(833, 10))


def test_the_figure_is_said_in_notes_a_second_too() -> None:
    sitting = after(TempoSitting(LINE, WorkingTempo(100)), *[CLEAN, CLEAN, MISSED, CLEAN] * 5)
    estimate = sitting.estimate

    assert estimate is not None
    assert sitting.words().startswith(f"Working tempo today: ♩ = {estimate.qpm:.0f}")
    assert f" In notes a second: {estimate.qpm / 30:.1f}, between " in sitting.words()


def test_a_ladder_has_no_working_tempo() -> None:
    sitting = after(TempoSitting(LINE, Ladder(80)), CLEAN, CLEAN, CLEAN)

    assert sitting.estimate is None
    assert sitting.words() == "Clean 3 times in a row up to ♩ = 80."


def test_the_simulated_player_is_clean_four_times_in_five_at_its_working_tempo() -> None:
    random = Random(5)
    spoiled = [bool(faults_at(LINE, 100, 100, random).planted) for _ in range(2000)]

    assert abs(sum(spoiled) / 2000 - 0.2) < 0.03
    assert clean_chance(60, 100) > 0.99
    assert clean_chance(160, 100) < 0.01
