from datetime import date, timedelta

from trainer.score.daily import line_of_the_day

DAYS = [(date(2026, 11, 25) + timedelta(days)).isoformat() for days in range(20)]


def test_the_line_of_a_day_is_the_same_whenever_it_is_made() -> None:
    assert line_of_the_day("2026-11-25") == line_of_the_day("2026-11-25")


def test_days_have_lines_of_their_own_that_can_be_played_and_are_neither_short_nor_long() -> None:
    lines = [line_of_the_day(day) for day in DAYS]

    assert len({tuple(line.notes) for line in lines}) == len(DAYS)
    assert [line.name for line in lines if not 16 <= len(line.notes) <= 96] == []
    assert [line.name for line in lines if line.tuning.name != "standard"] == []
    assert lines[0].title == "Line of 2026-11-25"
