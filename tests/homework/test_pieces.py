from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import BrokenExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from tests.homework.builders import LINE, OTHER, assignment_of, returned_of, take_of
from trainer.homework import pieces
from trainer.homework.cache import Cache
from trainer.homework.collecting import tables
from trainer.homework.errors import HomeworkError
from trainer.homework.measuring import MeasuredTake, Unused
from trainer.homework.pieces import judged, weakest
from trainer.homework.returned import Returned

LINES = assignment_of().lines
TAKES = tuple(take_of(passes=1, days=days) for days in range(3))


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "judged.sqlite", "program")


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The pieces that were really worked on."""
    done: list[str] = []
    worked = pieces._worked

    def counted(given: tuple[str, pieces._Piece]) -> tuple[str, pieces.Entry]:
        done.append(given[0])
        return worked(given)

    monkeypatch.setattr(pieces, "_worked", counted)
    return done


def test_a_take_is_judged_once_by_one_program(cache: Cache, work: list[str]) -> None:
    first = judged([(LINES, take) for take in (*TAKES, TAKES[0])], cache)
    again = judged([(LINES, take) for take in TAKES], cache)

    assert len(work) == 3
    assert again == first[:3]
    assert first[3] == first[0]
    assert all(isinstance(one, MeasuredTake) for one in first)


def test_other_lines_and_other_bytes_are_judged_anew(cache: Cache, work: list[str]) -> None:
    judged([(LINES, TAKES[0])], cache)

    (other_line,) = judged([(assignment_of(OTHER).lines, TAKES[0])], cache)
    (other_bytes,) = judged([(LINES, TAKES[0] + b"\0")], cache)

    assert len(set(work)) == 3
    assert isinstance(other_line, Unused)
    assert other_bytes.digest != other_line.digest


def test_the_weakest_transition_is_looked_for_once(cache: Cache, work: list[str]) -> None:
    (take,) = judged(
        [(LINES, take_of(passes=8, faults=", ".join(f"late {n * len(LINE.notes) + 9} 45" for n in range(8))))], cache
    )
    assert isinstance(take, MeasuredTake)

    found = weakest([(LINE, (take,)), (LINE, ())], cache)

    assert weakest([(LINE, (take,)), (LINE, ())], cache) == found
    assert len(work) == 3
    assert found[1].words == "not enough yet: 5 more passes"


def test_what_was_judged_before_an_interruption_is_kept(cache: Cache, work: list[str]) -> None:
    class EnoughError(Exception):
        pass

    said: list[tuple[int, int]] = []

    def stop(done: int, of: int) -> None:
        said.append((done, of))
        if done == 2:
            raise EnoughError

    with pytest.raises(EnoughError):
        judged([(LINES, take) for take in TAKES], cache, stop)
    judged([(LINES, take) for take in TAKES], cache, stop)

    assert said == [(0, 3), (1, 3), (2, 3), (0, 1), (1, 1)]
    assert len(work) == 3


def test_a_figure_edited_by_hand_is_noticed_however_much_is_in_the_cache(cache: Cache, work: list[str]) -> None:
    def remarks(file: Returned) -> tuple[str, ...]:
        show = frozenset({(file.assignment.identity, file.tag)})
        (table,) = tables([file], lambda _: (assignment_of(),), "ear", show, cache)
        return table.pupils[0].remarks

    honest = returned_of(*TAKES)
    assert remarks(honest) == ()
    judged_once = len(work)
    edited = replace(honest, figures=(replace(honest.figures[0], clean=90),))

    (remark,) = remarks(edited)

    assert "the file says clean up to 100, 90 of 3 passes clean" in remark
    assert len(work) == judged_once


def test_two_processes_say_what_one_says(cache: Cache, monkeypatch: pytest.MonkeyPatch) -> None:
    wanted = [(LINES, take) for take in TAKES]
    alone = judged(wanted, Cache(None, "program"))
    monkeypatch.setattr(pieces, "processes_for", lambda _takes: 2)

    assert judged(wanted, cache) == alone
    assert cache.known(pieces._Take(*one).key for one in wanted).keys() == {pieces._Take(*one).key for one in wanted}


def test_a_process_that_is_ended_is_told_in_a_sentence_and_what_was_judged_is_kept(
    cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(act: Callable[[object], object], given: Iterable[object], _processes: int) -> Iterator[object]:
        yield act(next(iter(given)))
        raise BrokenExecutor

    monkeypatch.setattr(pieces, "each", broken)

    with pytest.raises(HomeworkError, match="so try again"):
        judged([(LINES, take) for take in TAKES], cache)

    assert len(cache.known(pieces._Take(LINES, take).key for take in TAKES)) == 1
