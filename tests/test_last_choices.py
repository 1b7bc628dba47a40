"""The window opens with how the last line was played."""

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

from fractions import Fraction
from pathlib import Path

from trainer.app import Rooms, remembered_choices
from trainer.devices.remembered import LastChoices, Memory
from trainer.devices.sound import SilentSound
from trainer.following.verdict import Pace
from trainer.screens.choices import MOST_PASSES, SLOWEST, Choices
from trainer.screens.home import HomeScreen
from trainer.screens.screen import Command
from trainer.station import DEMONSTRATION, SIMULATED, Station


def station(path: Path) -> Station:
    return Station(SIMULATED, SilentSound("test"), memory=Memory(path))


def test_what_was_chosen_is_offered_at_the_next_start(tmp_path: Path) -> None:
    path = tmp_path / "remembered.json"
    home = Rooms(station(path)).home()
    for command in (Command.DOWN, Command.RIGHT, Command.NEXT_CHOICE, Command.RIGHT, Command.NEXT_CHOICE):
        home.handle(command)
    home.handle(Command.RIGHT)
    assert isinstance(home, HomeScreen)
    chosen = home.selected
    home.handle(Command.CHOOSE)

    again = Rooms(station(path)).home()

    assert chosen is not None
    assert isinstance(again, HomeScreen)
    assert again.selected == chosen
    assert Memory(path).choices == LastChoices(DEMONSTRATION, chosen.name, "free", 5)
    assert again.view().settings == home.view().settings


def test_an_input_that_is_not_there_now_gives_way_to_the_first_one(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "remembered.json")
    memory.keep_choices(LastChoices("Hut pickup", "two-gates", "free", 999, "1/2", hear_line=True))

    choices, selected = remembered_choices(station(tmp_path / "remembered.json"))

    assert selected == "two-gates"
    assert choices == Choices(SIMULATED, Pace.FREE, MOST_PASSES, Fraction(SLOWEST), hear_line=True)


def test_without_a_pickup_f2_says_what_it_needs(tmp_path: Path) -> None:
    home = Rooms(station(tmp_path / "remembered.json")).home()

    page = home.handle(Command.SET_UP)

    assert isinstance(page, HomeScreen)
    assert page.view().notice == "The set-up learns what a pickup sends: choose its port as the input first."
