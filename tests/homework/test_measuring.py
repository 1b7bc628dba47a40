from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.homework.builders import LINE, OTHER, assignment_of, lines_of, measured_take, take_of
from trainer.homework.line import line_digest
from trainer.homework.measuring import (
    Fastest,
    Unused,
    clean_at_least,
    fastest_clean,
    figures_of,
    measured,
    working_tempo,
)
from trainer.homework.returned import Figures
from trainer.score.serial import exercise_to_dict


def test_passes_are_clean_one_by_one() -> None:
    length = len(LINE.notes)

    take = measured_take(LINE, take_of(passes=3, faults=f"miss {length + 4}"))

    assert take.clean == (True, False, True)
    assert (take.line, take.quarters_per_minute, take.is_simulated) == (line_digest(LINE), Fraction(100), False)


def test_a_note_that_nobody_wrote_spoils_the_pass_it_falls_in_and_no_other() -> None:
    length = len(LINE.notes)
    faults = ", ".join(f"extra {length + index}" for index in range(2, 10, 2))

    take = measured_take(LINE, take_of(passes=3, faults=faults))

    assert take.clean == (True, False, True)


def test_the_fastest_clean_tempo_says_how_many_passes_at_it_were_clean() -> None:
    length = len(LINE.notes)
    slow, fast = take_of(tempo=80), take_of(tempo=110, days=1, faults=f"miss {length + 4}")
    takes = [measured_take(LINE, data) for data in (slow, fast)]

    assert fastest_clean(takes) == Fastest(Fraction(110), clean=1, passes=2)
    assert (clean_at_least(takes, Fraction(80)), clean_at_least(takes, Fraction(81))) == (3, 1)
    assert fastest_clean([measured_take(LINE, take_of(passes=1, faults="miss 4"))]) is None


def test_figures_of_no_take_are_zero() -> None:
    assert figures_of("x", []) == Figures("x", 0, 0, None, 0)


def test_limits_in_the_header_of_a_take_are_not_believed() -> None:
    honest = measured_take(LINE, take_of(passes=1, faults="late 2 90, late 4 90, late 6 90"))
    wide: dict[str, Any] = {"tolerance": {"hit_ns": 10**12, "hit_share_of_interval": 99.0}}

    edited = measured_take(LINE, take_of(passes=1, faults="late 2 90, late 4 90, late 6 90", **wide))

    assert honest.clean == edited.clean == (False,)


def test_a_take_under_another_name_counts_and_one_of_another_form_does_not() -> None:
    lines = lines_of(assignment_of(LINE))
    other_form = replace(LINE, notes=LINE.notes[:-1])

    assert measured_take(LINE, take_of(replace(LINE, name="mine"))).clean == (True, True)
    assert measured(lines, take_of(other_form)) == Unused(
        measured(lines, take_of(other_form)).digest, "is of another line, or of another form of this one"
    )
    assert isinstance(measured(lines, take_of(OTHER)), Unused)


def test_a_loop_of_a_stretch_counts_towards_the_minutes_and_not_as_passes() -> None:
    take = measured_take(LINE, take_of(LINE.excerpt(2, 7), first_note=2, last_note=7))

    assert (take.clean, take.passes) == ((), ())
    assert take.played_ms > 1000


def test_what_is_said_to_be_a_stretch_and_is_none_does_not_count() -> None:
    taken = measured(lines_of(assignment_of(LINE)), take_of(LINE.excerpt(2, 7), first_note=3, last_note=8))

    assert isinstance(taken, Unused)


def test_at_the_players_own_pace_no_tempo_is_clean() -> None:
    take = measured_take(LINE, take_of(passes=1, pace="free"))

    assert take.clean == (None,)
    assert fastest_clean([take]) is None


def test_a_pass_that_was_broken_off_does_not_count() -> None:
    take = measured_take(LINE, take_of(passes=1, asked_passes=3))

    assert take.clean == (True,)


@pytest.mark.parametrize(
    "header",
    [
        {"asked_passes": 10**9},
        {"asked_passes": 201},
        {"quarters_per_minute": Fraction(1, 10**9)},
        {"quarters_per_minute": Fraction(10**17)},
        {"starts_at_ns": 10**30},
        {"exercise": {}},
        {"exercise": exercise_to_dict(LINE) | {"length_quarters": "1e999999999"}},
        {"first_note": 10**12, "last_note": 10**12 + len(LINE.notes) - 1},
        {"first_note": 5, "last_note": 2},
    ],
)
def test_absurd_headers_make_a_take_that_does_not_count(header: dict[str, Any]) -> None:
    assert isinstance(measured(lines_of(assignment_of(LINE)), take_of(**header)), Unused)


@pytest.mark.parametrize("data", [b"", b"MThd", bytes(200), b"MThd\0\0\0\6\0\0\0\1\0\x60MTrk\xff\xff\xff\xff"])
def test_what_is_no_take_does_not_count(data: bytes) -> None:
    assert isinstance(measured(lines_of(assignment_of(LINE)), data), Unused)


def test_a_working_tempo_is_only_told_between_tempi_that_were_played() -> None:
    clean = [measured_take(LINE, take_of(tempo=tempo, days=tempo)) for tempo in (80, 90, 100, 110)]
    spoiled = [
        measured_take(LINE, take_of(tempo=tempo, days=tempo, faults=f"miss 3, miss {len(LINE.notes) + 3}"))
        for tempo in (120, 130)
    ]

    told = working_tempo([*clean, *spoiled])

    assert told is not None
    assert 105 <= told.qpm <= 120
    assert working_tempo(clean) is None
    assert working_tempo([*clean[:3], spoiled[0]][:3]) is None
