"""From the list to the board, to call and answer, to a relay and to two lines, by keys, on two stand-in ports."""

import time
from pathlib import Path

import pytest

from trainer.app import Rooms
from trainer.devices.recording import takes_folder
from trainer.devices.remembered import LastChoices, Memory
from trainer.devices.simulated_player import simulated_player
from trainer.devices.sound import SilentSound
from trainer.homework.assignment import ENDING
from trainer.score.library import load_exercise
from trainer.screens.beside import BesideScreen
from trainer.screens.board import BoardScreen
from trainer.screens.builder import BuilderScreen
from trainer.screens.call import CallScreen
from trainer.screens.contest import ContestScreen
from trainer.screens.home import HomeScreen
from trainer.screens.screen import Command, Screen
from trainer.station import Station

from .test_station import Port

LINE = load_exercise("two-gates")
PORTS = ("Hut pickup", "Barn pickup")


@pytest.fixture
def station(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Station:
    """A station on the first of two ports, on which a line was chosen last."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    monkeypatch.setattr("trainer.station.MidiInput", Port)
    monkeypatch.setattr("trainer.devices.seat.MidiInput", Port)
    monkeypatch.setattr("trainer.station.input_names", lambda: PORTS)
    memory = Memory()
    memory.keep_choices(LastChoices(PORTS[0], LINE.name))
    memory.keep_welcomed()
    return Station(PORTS[0], SilentSound("test"), takes_folder=takes_folder(), memory=memory)


def until(screen: Screen, is_so: type[Screen] | str, station: Station) -> Screen:
    """Let frames pass until a screen, or a word on the board, is there."""
    for _ in range(2000):
        now_ns = time.perf_counter_ns()
        screen = screen.update(station.poll(now_ns), now_ns)
        if isinstance(is_so, str):
            assert isinstance(screen, BoardScreen)
            if is_so in "".join(words for words, _ in screen.view().said):
                return screen
        elif isinstance(screen, is_so):
            return screen
        time.sleep(0.005)
    raise AssertionError(is_so)


def played_on_the_board(station: Station) -> Screen:
    home = Rooms(station).home()
    board = home.handle(Command.BOARD)
    assert isinstance(board, BoardScreen)
    player = simulated_player(LINE.excerpt(0, 5), LINE.tempo, 0, time.perf_counter_ns() - 10_000_000_000)
    board.update(player.poll(time.perf_counter_ns()), time.perf_counter_ns())
    return board


def test_a_phrase_of_the_board_is_handed_out_written_down_and_set_over_the_line(station: Station) -> None:
    board = played_on_the_board(station)

    board.handle(Command.KEEP)
    until(board, "Handed out", station)
    handed = sorted(path.suffix for path in takes_folder().with_name("handouts").iterdir())
    board.handle(Command.BESIDE)
    beside = until(board, BesideScreen, station)
    assert isinstance(beside, BesideScreen)
    over = [line.title for line in beside.lines]
    back = beside.handle(Command.BACK)
    assert back is board
    board.handle(Command.CHOOSE)

    assert handed == [".pdf", ENDING]
    assert over == ["From the board", LINE.title]
    assert isinstance(until(board, BuilderScreen, station), BuilderScreen)


def test_the_ways_of_a_class_lead_there_and_back(station: Station) -> None:
    rooms = Rooms(station)

    board = rooms.home().handle(Command.BOARD)
    assert board is not None
    board.handle(Command.SECOND_INPUT)
    call = board.handle(Command.BACKING)
    assert isinstance(call, CallScreen)
    assert [turn.who for turn in call.view().turns] == list(PORTS)
    again = call.handle(Command.BACK)
    assert again is board
    assert isinstance(again, BoardScreen)
    home = again.handle(Command.BACK)
    assert isinstance(home, HomeScreen)
    contest = home.handle(Command.CONTEST)
    assert isinstance(contest, ContestScreen)
    contest.handle(Command.PACE)
    assert contest.contest.players == 2
    beside = rooms.home().handle(Command.BESIDE)

    assert isinstance(beside, BesideScreen)
    upper, lower = beside.lines
    assert (upper.title, lower.family) == ("Two gates", LINE.name)
