"""Judging many takes again is stopped in the middle, as a user does, and gone on with."""

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing, suppress
from pathlib import Path
from random import Random

import pytest

from tests.benchmarks.history import fill
from trainer.history.judged import JudgedTake
from trainer.history.opening import transaction
from trainer.history.rejudging import changes_by_today, rejudge, takes_to_judge
from trainer.history.store import History

ROOT = Path(__file__).parents[2]
TAKES = 6
GIVES_UP_AFTER_S = 60.0


@pytest.fixture(scope="module")
def years(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A player's place with takes that another ear has judged."""
    place = tmp_path_factory.mktemp("years")
    with History.open(place / "history.db", place / "takes") as history:
        fill(history, TAKES, Random(1), lines=2)
        with transaction(history.connection):
            history.connection.execute("UPDATE ears SET fingerprint = 'another ear'")
    return place


@pytest.fixture
def place(years: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return shutil.copytree(years, tmp_path / "copy")


def opened(place: Path) -> History:
    return History.open(place / "history.db", place / "takes")


def said(history: History) -> list[JudgedTake]:
    return [history.judged(take_id) for take_id in history.take_ids()]


def start(place: Path) -> "subprocess.Popen[str]":
    command = [sys.executable, "-m", "trainer", "rejudge", "--processes", "1"]
    environment = os.environ | {"BOXWALK_DATA": str(place)}
    return subprocess.Popen(
        command,
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=_heed_interrupts,  # noqa: PLW1509 - it calls nothing that another thread could hold
    )


def _heed_interrupts() -> None:
    """A shell that runs these tests in its background would have the program ignore them."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def wait_until_some_are_judged(place: Path) -> None:
    deadline = time.monotonic() + GIVES_UP_AFTER_S
    with closing(sqlite3.connect(f"file:{place / 'history.db'}?mode=ro", uri=True)) as looking:
        while time.monotonic() < deadline:
            with suppress(sqlite3.OperationalError):  # it is being written
                if looking.execute("SELECT count(*) FROM changes").fetchone()[0]:
                    return
            time.sleep(0.02)
    raise AssertionError("nothing was judged")


def test_ctrl_c_stops_it_and_another_call_goes_on_to_what_one_go_gives(years: Path, place: Path) -> None:
    process = start(place)
    wait_until_some_are_judged(place)
    process.send_signal(signal.SIGINT)
    _, words = process.communicate(timeout=GIVES_UP_AFTER_S)
    with opened(place) as history:
        left = takes_to_judge(history)
    _, rest = start(place).communicate(timeout=GIVES_UP_AFTER_S)

    assert process.returncode == 2, words
    assert f"stopped; {len(left)} takes are still to be judged" in words
    assert 0 < len(left) < TAKES
    assert rest == ""
    whole = shutil.copytree(years, place.parent / "whole")
    with opened(place) as stopped, opened(whole) as in_one_go:
        rejudge(in_one_go, takes_to_judge(in_one_go), processes=2)
        assert said(stopped) == said(in_one_go)
        assert changes_by_today(stopped) == changes_by_today(in_one_go)


def test_several_processes_are_stopped_in_the_middle_and_what_is_done_is_kept(place: Path) -> None:
    told = []

    def interrupt_after_three() -> None:
        told.append(1)
        if len(told) == 3:
            raise KeyboardInterrupt

    with opened(place) as history:
        with pytest.raises(KeyboardInterrupt):
            rejudge(history, takes_to_judge(history), interrupt_after_three, processes=2)

        assert len(takes_to_judge(history)) == TAKES - 3
        assert changes_by_today(history).takes == 3


def test_two_programs_at_once_judge_each_take_and_neither_fails(place: Path) -> None:
    both = [start(place), start(place)]
    answers = [process.communicate(timeout=GIVES_UP_AFTER_S) for process in both]

    assert [(process.returncode, words) for process, (_, words) in zip(both, answers, strict=True)] == [(0, "")] * 2
    with opened(place) as history:
        assert takes_to_judge(history) == ()
        assert changes_by_today(history).takes == TAKES
