"""What is said, and what is left unsaid."""

from dataclasses import replace

import pytest

from trainer.coaching.telling import Hearing, verdict_sentence, withheld
from trainer.coaching.transitions import Transition, Weakness, Weighing
from trainer.score.library import load_exercise

LINE = load_exercise("two-gates")
LATE = Transition(11, 12, 25.2, (14.6, 35.8), 12.0, 6, 0, 6, 125.0, rank=1, is_weak=True)
CALIBRATED, UNCALIBRATED = Hearing(knows_delays=True), Hearing()
KEYBOARD = Hearing(knows_strings=False)


def said(hearing: Hearing = CALIBRATED, **figures: object) -> str:
    weak = replace(LATE, **figures)  # type: ignore[arg-type]  # fields by name
    return verdict_sentence(LINE, Weighing(6, (weak,), 13.0), hearing)


def test_a_late_transition_is_told_with_its_places_and_figures() -> None:
    assert said() == (
        "From note 11 to 12 (string 3 fret 9 to string 2 fret 17, bar 2) you come 25 ms late (95 %: 15 to 36), "
        "20% of the interval, over the last 6 passes."
    )


def test_an_unsteady_one_is_held_against_the_others() -> None:
    assert "you are unsteady: a spread of 29 ms, 13 ms on your other transitions" in said(
        kind=Weakness.UNSTEADY, spread_ms=29.0
    )


def test_one_that_fails_is_counted() -> None:
    assert "the second note was missed, wrong or not begun as written 4 of 6 times" in said(
        kind=Weakness.FAILING, misses=4
    )


def test_failures_of_a_late_one_are_told_too() -> None:
    assert "; it was missed, wrong or not begun as written 3 of 6 times" in said(misses=3)


def test_where_strings_are_unknown_only_pitches_are_told() -> None:
    sentence = said(KEYBOARD)

    assert "(E4 to E5, bar 2)" in sentence
    assert "string" not in sentence
    assert "nothing is said of strings" in str(withheld(KEYBOARD))


def test_where_delays_are_unknown_a_string_change_is_told_with_that_doubt() -> None:
    assert "part of it may be the pickup's" in said(UNCALIBRATED)
    assert "part of it may be" not in said(CALIBRATED)
    assert "part of it may be" not in said(UNCALIBRATED, from_index=10, to_index=11)
    assert "strings are not compared" in str(withheld(UNCALIBRATED))
    assert withheld(CALIBRATED) is None


@pytest.mark.parametrize(
    ("passes", "sentence"),
    [
        (0, "Not enough yet: 0 passes heard, 5 more are needed before anything can be called weak."),
        (4, "Not enough yet: 4 passes heard, 1 more is needed before anything can be called weak."),
    ],
)
def test_few_passes_are_not_enough(passes: int, sentence: str) -> None:
    assert verdict_sentence(LINE, Weighing(passes, (), None), CALIBRATED) == sentence
