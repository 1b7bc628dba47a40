"""Two players with real ports: one calls, the other answers with a slip, and what differs is said."""

import time
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.builders import line, played
from trainer.classroom import Classroom
from trainer.devices.remembered import Memory
from trainer.devices.sound import SilentSound
from trainer.score.tempo import Tempo
from trainer.screens.call import CallScreen
from trainer.screens.screen import Command, Screen
from trainer.station import Station

from ..screens.desk import Page
from .conftest import PlayThrough

pytestmark = pytest.mark.rig

PHRASE = replace(line("two-gates").excerpt(0, 3), tempo=Tempo(Fraction(160)))
SECOND_NS = 1_000_000_000


def until(station: Station, screen: Screen, is_so: Callable[[], bool], seconds: float) -> None:
    """Poll both ports as the window does, until something is so."""
    end_ns = time.perf_counter_ns() + round(seconds * SECOND_NS)
    while time.perf_counter_ns() < end_ns and not is_so():
        now_ns = time.perf_counter_ns()
        screen.update(station.poll(now_ns), now_ns)
        time.sleep(0.01)


def test_a_call_on_one_port_is_answered_on_another_and_judged(play_through: PlayThrough, tmp_path: Path) -> None:
    first = play_through(played(PHRASE, starts_at_ns=0), "Hut")
    second = play_through(played(PHRASE, "miss 1", starts_at_ns=0), "Barn")
    memory = Memory(tmp_path / "remembered.json")
    station = Station("Hut", SilentSound("test"), memory=memory)
    station.choose_second("Barn")
    screen = Classroom(station, build=lambda made: Page(made.title), leave=lambda: Page("list")).call(
        PHRASE, lambda: Page("board")
    )
    assert isinstance(screen, CallScreen)
    until(station, screen, lambda: False, 0.2)

    first.start()
    until(station, screen, lambda: screen.view().turns[1].is_now, 8.0)
    second.start()
    until(station, screen, lambda: any(name == "Enter" for row in screen.view().hints for name, *_ in row), 8.0)
    screen.handle(Command.CHOOSE)

    said = screen.view().words
    station.close()
    missing = PHRASE.notes[1]
    assert said == (f"Note 2: left out, string {missing.course} fret {missing.fret}.",)
    assert Memory(tmp_path / "remembered.json").second_input.endswith(":Barn")
