"""A share of the long run at every commit, and the guard itself, which has to see what it is there for."""

import socket
from pathlib import Path

import pytest

from tests.fuzzing.bending import Edit
from tests.fuzzing.guarding import Guard, StrayError, TooSlowError
from tests.fuzzing.reading import Target
from tests.fuzzing.running import bent, run, try_case
from tests.fuzzing.targets import TARGETS

CASES = 2000
_PARTS = sum(target.share for target in TARGETS)


@pytest.fixture(scope="module")
def guard(tmp_path_factory: pytest.TempPathFactory) -> Guard:
    return Guard(tmp_path_factory.mktemp("fuzzing") / "case")


def by_name(target: Target) -> str:
    return target.name


@pytest.mark.parametrize("target", TARGETS, ids=by_name)
def test_whatever_is_in_it_is_read_or_refused(target: Target, guard: Guard) -> None:
    cases = CASES * target.share // _PARTS + 1

    tally = run(target, cases, 1, guard)

    assert tally.smallest == {}
    assert tally.cases == cases


@pytest.mark.parametrize("target", TARGETS, ids=by_name)
def test_the_valid_ones_are_read(target: Target, guard: Guard) -> None:
    for number in range(len(target.seeds())):
        assert try_case(target, (number, []), guard)


@pytest.mark.parametrize("target", TARGETS, ids=by_name)
def test_edits_change_what_is_read(target: Target) -> None:
    seeds = target.seeds()

    changed = [
        bent(target, (number, [Edit(number, 7 * number, number)])) != seeds[number % len(seeds)] for number in range(60)
    ]

    assert sum(changed) > 40


def unbent(value: str, _edit: Edit, _seeds: object) -> str:
    return value


def longer(value: str, _edit: Edit, _seeds: object) -> str:
    return value + "x"


def reading(work: object) -> Target:
    return Target("bench", lambda: ("",), unbent, work, ())  # type: ignore[arg-type]  # any work


def test_a_case_that_writes_elsewhere_is_seen(guard: Guard, tmp_path: Path) -> None:
    def write_elsewhere(_value: str, folder: Path) -> None:
        (folder / "inside").write_text("here")
        (folder.parent.parent / tmp_path.name / "outside").write_text("there")

    with pytest.raises(StrayError, match="outside"):
        try_case(reading(write_elsewhere), (0, []), guard)


def test_a_case_that_calls_anybody_is_seen(guard: Guard) -> None:
    def call(_value: str, _folder: Path) -> None:
        with socket.socket() as line:
            line.bind(("127.0.0.1", 0))

    with pytest.raises(StrayError, match=r"socket\.bind"):
        try_case(reading(call), (0, []), guard)


def test_a_case_that_computes_for_ever_is_stopped(guard: Guard, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.fuzzing.guarding.LONGEST_CASE_S", 0.05)

    def compute(_value: str, _folder: Path) -> None:
        while True:
            pass

    with pytest.raises(TooSlowError):
        try_case(reading(compute), (0, []), guard)


def test_a_finding_is_told_once_with_its_smallest_case(guard: Guard) -> None:
    def stumble(value: str, _folder: Path) -> None:
        if len(value) > 2:
            raise ZeroDivisionError("three is too much")

    target = Target("bench", lambda: ("",), longer, stumble, ())

    tally = run(target, 60, 1, guard)

    (what,) = tally.found
    assert what.startswith("ZeroDivisionError in test_fuzzing.py:stumble")
    assert len(tally.smallest[what][1]) == 3
    assert tally.cases >= 60
