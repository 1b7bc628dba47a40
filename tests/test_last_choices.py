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
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command
from trainer.screens.tour import TourScreen
from trainer.screens.welcome import WelcomeScreen
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


def test_an_input_that_is_not_there_now_gives_way_to_the_first_one_and_is_not_forgotten(tmp_path: Path) -> None:
    path = tmp_path / "remembered.json"
    Memory(path).keep_choices(LastChoices("Hut pickup", "two-gates", "free", 999, "1/2", hear_line=True))
    desk = station(path)

    choices, selected = remembered_choices(desk)
    home = Rooms(desk).home()
    home.handle(Command.DOWN)

    assert selected == "two-gates"
    assert choices == Choices("Hut pickup", Pace.FREE, MOST_PASSES, Fraction(SLOWEST), hear_line=True)
    assert isinstance(home, HomeScreen)
    assert home.input.name in desk.input_choices()
    assert Memory(path).choices.input_name == "Hut pickup"


def test_without_a_pickup_f2_says_what_it_needs(tmp_path: Path) -> None:
    home = Rooms(station(tmp_path / "remembered.json")).home()

    page = home.handle(Command.SET_UP)

    assert isinstance(page, HomeScreen)
    assert page.view().notice == "The set-up learns what a pickup sends: choose its port as the input first."


def test_a_newcomer_sees_the_cautions_once_and_plays_the_first_line_by_one_key(tmp_path: Path) -> None:
    path = tmp_path / "remembered.json"
    welcome = Rooms(station(path)).first()
    assert isinstance(welcome, WelcomeScreen)
    words = [text for text, _ in welcome.texts((1280, 720))]

    playing = welcome.handle(Command.CHOOSE)

    assert any("Pain, numbness" in line for line in words)
    assert any("First stones" in line for line in words)
    assert isinstance(playing, PracticeScreen)
    assert isinstance(Rooms(station(path)).first(), HomeScreen)
    assert Memory(path).choices.exercise_name == "first-stones"


def test_the_first_page_leads_to_the_list_the_set_up_and_the_tour(tmp_path: Path) -> None:
    welcome = Rooms(station(tmp_path / "remembered.json")).first()

    told = welcome.handle(Command.SET_UP)

    assert isinstance(told, HomeScreen)
    assert "choose its port" in told.view().notice
    guided = welcome.handle(Command.TOUR)
    assert isinstance(guided, TourScreen)
    assert guided.handle(Command.BACK) is welcome
    assert isinstance(welcome.handle(Command.BACK), HomeScreen)
