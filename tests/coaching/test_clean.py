from dataclasses import replace
from fractions import Fraction

from trainer.coaching.clean import Cleanness, CleanRule, cleanness, notes_a_second, window_of
from trainer.following.assessment import Assessment, TechniqueCount
from trainer.following.tolerance import Tolerance
from trainer.score.tempo import Tempo
from trainer.theory.technique import Technique

from .passes import AS_WRITTEN, LINE, NOTES

TEMPO = Tempo(Fraction(80))
PERFECT = AS_WRITTEN


CLEAN = Cleanness(is_clean=True)


def spoiled(*reasons: str) -> Cleanness:
    return Cleanness(is_clean=False, reasons=reasons)


def judged(figures: Assessment) -> Cleanness | None:
    return cleanness(LINE, figures, TEMPO, Tolerance())


def test_a_pass_as_written_is_clean() -> None:
    assert judged(PERFECT) == CLEAN


def test_one_missed_note_spoils_a_pass() -> None:
    assert judged(replace(PERFECT, matched=NOTES - 1, missed=1)) == spoiled("1 missed")


def test_the_spread_may_be_half_the_window_and_no_more() -> None:
    assert judged(replace(PERFECT, spread_ms=25.0)) == CLEAN
    assert judged(replace(PERFECT, spread_ms=25.1)) == spoiled("spread 25 ms, over 25")


def test_at_a_fast_tempo_the_window_is_half_an_interval_and_the_spread_a_quarter() -> None:
    fast = Tempo(Fraction(400))

    assert window_of(LINE, fast, Tolerance()) == 37.5
    assert cleanness(LINE, replace(PERFECT, spread_ms=19.0), fast, Tolerance()) == spoiled("spread 19 ms, over 19")


def test_nine_notes_of_ten_must_come_within_the_window() -> None:
    assert judged(replace(PERFECT, within_window=29)) == CLEAN
    assert judged(replace(PERFECT, within_window=28)) == spoiled("28 of 32 notes within 50 ms, 29 are needed")


def test_one_doubtful_technique_and_one_note_more_spoil_nothing_and_two_do() -> None:
    slides = TechniqueCount(Technique.SLIDE, written=4, as_written=2, otherwise=1, not_measurable=1)

    assert judged(replace(PERFECT, techniques=(slides,), extra=1)) == CLEAN
    assert judged(replace(PERFECT, techniques=(replace(slides, otherwise=2),), extra=2)) == spoiled(
        "2 not begun as written", "2 notes that nobody wrote"
    )


def test_a_wrong_note_and_a_wrong_string_are_named() -> None:
    figures = replace(PERFECT, matched=NOTES - 3, wrong_pitch=1, wrong_string=2)

    assert judged(figures) == spoiled("1 wrong", "2 on another string")
    assert spoiled("1 wrong").words() == "not clean: 1 wrong"


def test_a_pass_that_was_broken_off_is_not_judged() -> None:
    assert judged(replace(PERFECT, matched=NOTES - 1)) is None


def test_the_rule_is_said_with_the_lines_own_figures() -> None:
    assert CleanRule().words(LINE, TEMPO, Tolerance()) == (
        "Clean at ♩ = 80: no note missed or wrong, at most 1 note that nobody wrote and 1 not begun as written, "
        "90% of the notes within 50 ms of the click, spread at most 25 ms."
    )


def test_notes_a_second_compare_eighths_at_120_with_sixteenths_at_60() -> None:
    halved = replace(LINE, notes=tuple(replace(note, onset_quarters=note.onset_quarters / 2) for note in LINE.notes))

    assert notes_a_second(LINE, 120) == notes_a_second(halved, 60) == 4.0


def test_a_chord_counts_once_and_a_single_onset_has_no_rate() -> None:
    chord = replace(LINE, notes=(LINE.notes[0], LINE.notes[0]))

    assert notes_a_second(chord, 100) == 0.0
