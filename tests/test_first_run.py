"""The first minutes, and inputs that come and go: ports are a list here, and what is listened to only has a name."""

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

from pathlib import Path

import pygame
import pytest

from tests.screens.set_up_desk import SetUpDesk
from trainer.app import Rooms
from trainer.devices.remembered import Memory, SetUp
from trainer.devices.sound import SilentSound
from trainer.playing.calibration.guide import StepName
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.screens.home import HomeScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command, Pressed, Screen
from trainer.screens.set_up import SetUpScreen
from trainer.screens.welcome import WelcomeScreen
from trainer.station import SIMULATED, Station

SIZE = (1280, 720)
S_NS = 1_000_000_000
PORTS: list[str] = []


class Port:
    """An input that says nothing."""

    opened: list[str]

    def __init__(self, name: str) -> None:
        self.name = name
        Port.opened.append(name)

    @property
    def status(self) -> str:
        return f"{self.name} is {'connected' if self.name in PORTS else 'gone'}."

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:  # noqa: ARG002 - nothing comes
        return ()

    def close(self) -> None:
        Port.opened.append(f"not {self.name}")


@pytest.fixture(autouse=True)
def plugs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[str]:
    """What is plugged in."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    monkeypatch.setattr("trainer.station.input_names", lambda: tuple(PORTS))
    monkeypatch.setattr("trainer.station.MidiInput", Port)
    Port.opened = []
    PORTS.clear()
    return PORTS


class Start:
    """The program as it starts, with what it remembers."""

    def __init__(self, path: Path) -> None:
        self.station = Station(None, SilentSound("test"), memory=Memory(path / "remembered.json"))
        self.rooms = Rooms(self.station)
        self.screen: Screen = self.rooms.first()
        self.now_ns = 0

    def ask(self, command: Command) -> Screen:
        following = self.screen.handle(command)
        assert following is not None
        self.screen = following
        return following

    def wait(self, seconds: float) -> Screen:
        self.now_ns += round(seconds * 1e9)
        self.screen = self.screen.update((), self.now_ns)
        return self.screen

    @property
    def remembered(self) -> str:
        assert self.station.memory is not None
        return Memory(self.station.memory.path).choices.input_name


def seconds_to_the_first_note(screen: Screen) -> float:
    assert isinstance(screen, PracticeScreen)
    return screen.view(0).starts_at_ns / 1e9


def test_with_a_pickup_one_key_leads_to_the_first_note_within_twenty_seconds(plugs: list[str], tmp_path: Path) -> None:
    plugs.append("Hut pickup")
    start = Start(tmp_path)

    playing = start.ask(Command.CHOOSE)

    assert (start.station.input_name, start.remembered) == ("Hut pickup", "Hut pickup")
    assert seconds_to_the_first_note(playing) <= 20


def test_without_one_a_key_leads_to_the_first_note_too_and_a_pickup_that_comes_later_is_taken_up(
    plugs: list[str], tmp_path: Path
) -> None:
    start = Start(tmp_path)
    playing = start.ask(Command.CHOOSE)
    assert (start.station.input_name, start.remembered) == (SIMULATED, "")
    assert seconds_to_the_first_note(playing) <= 20
    plugs.append("Hut pickup")
    start.screen = start.rooms.home()
    home = start.wait(2)

    start.ask(Command.CHOOSE)

    assert isinstance(home, HomeScreen)
    assert (start.station.input_name, start.remembered) == ("Hut pickup", "Hut pickup")


def test_a_bass_that_was_set_up_in_the_terminal_begins_with_a_line_for_a_bass(plugs: list[str], tmp_path: Path) -> None:
    plugs.append("Hut pickup")
    Memory(tmp_path / "remembered.json").keep_device("Hut pickup", SetUp(PickupProfile(), tuning="bass"))
    start = Start(tmp_path)
    assert isinstance(start.screen, WelcomeScreen)

    words = [text for text, _ in start.screen.texts(SIZE)]
    playing = start.ask(Command.CHOOSE)

    assert any("The first line is Cart track" in text for text in words)
    assert isinstance(playing, PracticeScreen)
    assert start.station.memory is not None
    assert start.station.memory.choices.exercise_name == "cart-track"


def test_a_pickup_that_is_plugged_in_while_the_first_page_stands_is_chosen(plugs: list[str], tmp_path: Path) -> None:
    start = Start(tmp_path)
    start.wait(0)
    plugs.append("Hut pickup")
    start.wait(1)

    start.ask(Command.CHOOSE)

    assert start.station.input_name == "Hut pickup"


def test_the_whole_set_up_and_the_way_to_the_first_note_take_less_than_two_minutes(
    plugs: list[str], tmp_path: Path
) -> None:
    plugs.extend(["Barn pickup", "Hut pickup"])
    start = Start(tmp_path)
    assert isinstance(start.screen, WelcomeScreen)
    start.screen.handle(Command.DOWN)
    assert isinstance(start.ask(Command.SET_UP), SetUpScreen)
    desk = SetUpDesk()  # a simulated newcomer does what this screen asks for
    desk.until(lambda guide: guide.name is StepName.LATENCY)
    desk.press(Command.CHOOSE)
    desk.until(lambda guide: guide.is_finished)

    home = start.ask(Command.BACK)
    assert isinstance(home, HomeScreen)
    while not (home.view().ahead and home.view().ahead[0].key):
        start.wait(0.02)
    playing = start.ask(Command.GO_ON)

    assert (start.station.input_name, start.remembered) == ("Hut pickup", "Hut pickup")
    assert desk.now_ns / S_NS + seconds_to_the_first_note(playing) < 120


def test_a_pickup_that_is_away_is_played_on_again_when_it_is_back(plugs: list[str], tmp_path: Path) -> None:
    plugs.append("Hut pickup")
    Start(tmp_path).ask(Command.CHOOSE)
    plugs[:] = ["Barn pickup"]
    start = Start(tmp_path)
    start.ask(Command.CHOOSE)
    away = start.station.input_name, start.remembered
    plugs.append("Hut pickup")
    start.screen = start.rooms.home()
    start.wait(2)

    start.ask(Command.CHOOSE)

    assert away == ("Barn pickup", "Hut pickup")
    assert (start.station.input_name, start.remembered) == ("Hut pickup", "Hut pickup")


def test_a_device_that_goes_takes_no_other_with_it(plugs: list[str], tmp_path: Path) -> None:
    plugs.extend(["Barn pickup", "Hut pickup"])
    start = Start(tmp_path)
    start.screen.handle(Command.DOWN)
    start.ask(Command.CHOOSE)
    opened = list(Port.opened)
    plugs.remove("Barn pickup")

    start.screen = start.rooms.home()
    start.wait(2)
    start.ask(Command.CHOOSE)

    assert start.station.status.endswith("Hut pickup is connected.")
    assert opened == Port.opened


def test_the_set_up_is_gone_through_by_the_mouse_alone() -> None:
    desk, surface = SetUpDesk(), pygame.Surface(SIZE)

    def press(words: str) -> Screen | None:
        desk.screen.draw(surface, desk.now_ns)
        area = dict(desk.screen.texts(SIZE))[words]
        return desk.screen.handle(Pressed((area.left_px + area.right_px) / 2, (area.top_px + area.bottom_px) / 2))

    press("tuning")
    assert desk.guide.tuning.name == "e-flat"
    desk.press(Command.LEFT)
    desk.until(lambda guide: guide.name is StepName.LATENCY)
    press("start the click")
    desk.until(lambda guide: guide.is_finished)
    press("keep")

    assert len(desk.kept) == 1
