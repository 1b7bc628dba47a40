"""A relay played on two simulated inputs of a station, by the clock of the station."""

import time
from pathlib import Path

import pytest

from trainer.contestroom import Contestroom
from trainer.devices.recording import takes_folder
from trainer.devices.sound import SilentSound
from trainer.playing.take import TakeHeader, read_take
from trainer.practiceroom import Practiceroom
from trainer.score.library import load_exercise
from trainer.screens.contest import ContestScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command, Screen
from trainer.station import SIMULATED, Station

from .screens.desk import FRAME_NS, Page

LINE = load_exercise("two-gates").excerpt(0, 3)


@pytest.fixture
def station(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Station:
    """A station with a second input, on which Ben plays."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    station = Station(SIMULATED, SilentSound("test"), takes_folder=takes_folder())
    station.choose_second(SIMULATED)
    station.second_player = "Ben"
    return station


def played_through(station: Station, screen: Screen, contest: Screen) -> None:
    """Let a pass go by, faster than it sounds."""
    assert isinstance(screen, PracticeScreen)
    now_ns = time.perf_counter_ns()
    while screen is not contest:
        now_ns += FRAME_NS
        screen = screen.update(station.poll(now_ns), now_ns)


def headers() -> list[TakeHeader]:
    found = [read_take(path).header for path in sorted(takes_folder().glob("*.mid"))]
    return [header for header in found if header is not None]


def test_each_pass_of_a_relay_is_played_and_kept_on_the_input_of_whose_turn_it_is(station: Station) -> None:
    room = Contestroom(station, Practiceroom(station, comparison=lambda _line: None), leave=lambda: Page("list"))
    contest = room.contest(LINE)
    assert isinstance(contest, ContestScreen)
    contest.handle(Command.PACE)

    seconds = []
    for _ in range(2):
        playing = contest.handle(Command.PAUSE)
        assert playing is not None
        seconds.append(station.is_second_playing)
        played_through(station, playing, contest)

    assert seconds == [False, True]
    assert not station.is_second_playing
    assert [(header.turn, header.player) for header in sorted(headers(), key=lambda one: one.turn)] == [
        *((1, ""), (2, "Ben")),
    ]
    assert len({header.contest for header in headers()}) == 1


def test_a_pass_that_is_left_gives_the_turn_back(station: Station) -> None:
    room = Contestroom(station, Practiceroom(station, comparison=lambda _line: None), leave=lambda: Page("list"))
    contest = room.contest(LINE)
    contest.handle(Command.PACE)
    first = contest.handle(Command.PAUSE)
    assert first is not None
    played_through(station, first, contest)
    second = contest.handle(Command.PAUSE)
    assert second is not None
    assert station.is_second_playing

    assert second.handle(Command.BACK) is contest
    assert not station.is_second_playing
