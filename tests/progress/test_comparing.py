from datetime import date, timedelta

from trainer.progress.comparing import month_before, tempo_before_words
from trainer.progress.measures import TempoPoint
from trainer.score.library import load_exercise

TODAY = date(2026, 6, 30)
LINE = load_exercise("two-gates")


def point(days_ago: int, qpm: float = 80, *, is_working: bool = True) -> TempoPoint:
    day = TODAY - timedelta(days=days_ago)
    return TempoPoint(day, qpm, qpm - 4, qpm + 4) if is_working else TempoPoint(day, qpm)


def test_the_working_tempo_nearest_to_thirty_days_ago_stands_for_a_month_ago() -> None:
    points = [point(63), point(62), point(33), point(28), point(28, is_working=False), point(21), point(20)]

    assert month_before(points, TODAY) == point(28)
    assert month_before([point(21)], TODAY) == point(21)
    assert month_before([point(20), point(63), point(30, is_working=False)], TODAY) is None


def test_the_sentence_says_when_and_with_which_interval() -> None:
    assert tempo_before_words(LINE, [point(30, 84)], TODAY) == (
        "A month ago, on 31 May: ♩ = 84, between 80 and 88 (2.8 notes a second)."
    )


def test_without_a_month_ago_the_last_one_is_told_and_without_any_that_there_is_none() -> None:
    recent = tempo_before_words(LINE, [point(4), point(0)], TODAY)

    assert recent.startswith("Last measured on 26 Jun: ♩ = 80")
    assert recent.endswith("There is none of a month ago.")
    assert tempo_before_words(LINE, [point(0)], TODAY) == "No working tempo of an earlier day is kept."
