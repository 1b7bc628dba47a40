from datetime import timedelta
from pathlib import Path

import pytest

from tests.builders import line
from tests.history.builders import NOON, history_of, plan_of, record
from trainer.devices.skill import Skill
from trainer.following.verdict import Pace
from trainer.history.figures import Asked, Break, Verdicts, breaks, days, lines, takes, verdict_counts
from trainer.history.passes import passes_of
from trainer.progress.measures import is_clean
from trainer.theory.technique import Technique


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def test_a_day_is_told_in_minutes_takes_breaks_and_verdicts(tmp_path: Path) -> None:
    record(tmp_path, faults="miss 5", when=NOON, stopped_after_s=30)
    record(tmp_path, faults="late 9 80", when=NOON + minutes(2), stopped_after_s=30)
    record(tmp_path, faults="string 12", when=NOON + minutes(10), stopped_after_s=30)

    with history_of(tmp_path) as history:
        (day,) = days(history)

    assert (day.day, day.takes, day.passes, day.lines, day.breaks) == ("2026-03-14", 3, 6, 1, 1)
    assert day.minutes == pytest.approx(1.5)
    assert day.break_minutes == pytest.approx(7.5)
    assert day.longest_sitting_minutes == pytest.approx(2.5)
    assert day.verdicts == Verdicts(within=189, late=1, wrong_string=1, missed=1)
    assert (day.verdicts.matched, day.verdicts.judged) == (190, 192)


@pytest.mark.parametrize(("rest_s", "count"), [(300, 1), (299, 0)])
def test_five_minutes_are_a_break_and_a_second_less_is_none(tmp_path: Path, rest_s: int, count: int) -> None:
    record(tmp_path, when=NOON, stopped_after_s=30)
    record(tmp_path, when=NOON + timedelta(seconds=30 + rest_s), stopped_after_s=30)

    with history_of(tmp_path) as history:
        found = breaks(history)

    assert len(found) == count
    assert found == ((Break(int(NOON.timestamp()) + 30, 5.0),) if count else ())


def test_a_night_is_no_break(tmp_path: Path) -> None:
    record(tmp_path, when=NOON, stopped_after_s=30)
    record(tmp_path, when=NOON + timedelta(days=1), stopped_after_s=30)

    with history_of(tmp_path) as history:
        assert breaks(history) == ()
        assert [day.day for day in days(history)] == ["2026-03-15", "2026-03-14"]


def test_the_best_clean_tempo_is_the_fastest_click_at_which_a_whole_pass_was_clean(tmp_path: Path) -> None:
    record(tmp_path, plan_of(tempo=100))
    record(tmp_path, plan_of(tempo=112), "miss 5")  # in the first pass; the second is clean
    record(tmp_path, plan_of(tempo=120, passes=1), "late 9 80, late 13 80, late 17 80, late 21 80")
    record(tmp_path, plan_of(tempo=124, passes=1), stopped_after_s=6)
    record(tmp_path, plan_of(tempo=140, passes=1, pace=Pace.FREE))

    with history_of(tmp_path) as history:
        (one,) = lines(history)

    assert (one.name, one.takes, one.passes, one.clean_passes) == ("two-gates", 5, 6, 4)
    assert one.best_clean_tempo_qpm == 112


def test_slides_that_were_not_slid_are_not_clean(tmp_path: Path) -> None:
    slides = [index for index, note in enumerate(line("two-gates-slid").notes) if note.technique is Technique.SLIDE]
    record(
        tmp_path,
        plan_of(line("two-gates-slid"), passes=1),
        ", ".join(f"unslid {index}" for index in slides[:2]),
    )

    with history_of(tmp_path) as history:
        (one,) = lines(history)

    assert (one.clean_passes, one.verdicts.missed, one.verdicts.otherwise) == (0, 0, 2)


@pytest.mark.parametrize("seed", range(2))
def test_the_query_calls_those_passes_clean_that_the_rule_does(tmp_path: Path, seed: int) -> None:
    uneven = Skill(name="uneven", timing_sd_ns=(22 + 2 * seed) * 1_000_000)
    faults = ("", "extra 5", "extra 5, extra 9", "miss 70", "late 40 60, late 44 60, late 48 60, late 52 60")
    for number, what in enumerate(faults):
        when = NOON + minutes(number)
        record(tmp_path, plan_of(tempo=110, passes=4), what, when=when, skill=uneven, seed=10 * seed + number)

    with history_of(tmp_path) as history:
        (counted,) = lines(history)
        told = [is_clean(line(), one) for one in passes_of(history, line(), last=40)]

    assert counted.passes == len(told) == 20
    assert counted.clean_passes == sum(told)
    assert 0 < sum(told) < 20


def test_days_words_and_players_narrow_what_is_counted(tmp_path: Path) -> None:
    for number, (name, player) in enumerate([("two-gates", ""), ("quarry-steps", ""), ("two-gates", "anna")]):
        record(tmp_path, plan_of(line(name), passes=1), when=NOON + timedelta(days=number), player=player)

    with history_of(tmp_path) as history:
        assert [one.name for one in lines(history)] == ["quarry-steps", "two-gates"]
        assert [one.name for one in lines(history, Asked(words=("GATES",)))] == ["two-gates"]
        assert [day.day for day in days(history, Asked(since="2026-03-15"))] == ["2026-03-15"]
        assert [day.day for day in days(history, Asked(until="2026-03-14"))] == ["2026-03-14"]
        assert [day.day for day in days(history, Asked("anna"))] == ["2026-03-16"]
        assert verdict_counts(history, Asked("nobody")) == Verdicts()
        assert history.players() == {"": 2, "anna": 1}
        assert history.played_names() == {"two-gates", "quarry-steps"}
        assert history.played_names("anna") == {"two-gates"}


def test_takes_are_listed_the_newest_first_and_no_more_than_asked_for(tmp_path: Path) -> None:
    for number in range(3):
        record(tmp_path, plan_of(tempo=100 + number, passes=1), when=NOON + minutes(number))

    with history_of(tmp_path) as history:
        listed = takes(history, most=2)

    assert [(take.tempo_qpm, take.passes, take.clean_passes, take.device) for take in listed] == [
        (102, 1, 1, "bench"),
        (101, 1, 1, "bench"),
    ]


def test_a_day_is_the_players_own_and_not_the_worlds(tmp_path: Path) -> None:
    record(tmp_path, when=NOON.replace(hour=0, minute=30))  # an hour ahead: still the day before in Greenwich

    with history_of(tmp_path) as history:
        assert [day.day for day in days(history)] == ["2026-03-14"]
