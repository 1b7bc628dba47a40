"""A visitor to the program's rooms, with keys, a mouse and files to drop, but without a window."""

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("SDL_AUDIODRIVER", "dummy")

import threading
import time
from pathlib import Path
from typing import Protocol

import pygame

from trainer.app import Rooms
from trainer.devices.recording import takes_folder
from trainer.devices.sound import SilentSound
from trainer.screens.screen import Action, Command, Screen, action_of
from trainer.station import SIMULATED, Station
from trainer.tablature.glyphs import Rect

SIZE = (1280, 720)


class Worded(Protocol):
    """A screen that says where its texts are."""

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]: ...


class Visitor:
    """Goes through the rooms as the window would lead, an event and a frame at a time."""

    def __init__(self) -> None:
        self.station = Station(SIMULATED, SilentSound("it is switched off"), takes_folder=takes_folder())
        self.rooms = Rooms(self.station)
        self.screen: Screen = self.rooms.home()
        self._surface = pygame.Surface(SIZE)
        self.frame()

    def close(self) -> None:
        self.screen.handle(Command.QUIT)
        self.rooms.homeworkroom.close()
        self.settle()
        self.station.close()

    def frame(self) -> None:
        self.screen = self.rooms.homeworkroom.lead(self.screen.update((), time.perf_counter_ns()))

    def settle(self) -> None:
        """Wait for whatever is judged beside the frames."""
        for thread in threading.enumerate():
            if thread.name == "homework":
                thread.join()

    def press(self, *keys: int, mod: int = 0) -> None:
        for key in keys:
            self._event(pygame.event.Event(pygame.KEYDOWN, key=key, unicode="", mod=mod))

    def write(self, text: str) -> None:
        for sign in text:
            self._event(pygame.event.Event(pygame.KEYDOWN, key=0, unicode=sign, mod=0))

    def letter(self, sign: str) -> None:
        """A key that is a command where letters are no text."""
        self._event(pygame.event.Event(pygame.KEYDOWN, key=ord(sign), unicode=sign, mod=0))

    def click(self, words: str) -> None:
        """Press the first text that begins with some words."""
        self.screen.draw(self._surface, time.perf_counter_ns())
        area = next(area for text, area in self.placed if text.startswith(words))
        middle = (area.left_px + area.right_px) / 2, (area.top_px + area.bottom_px) / 2
        self._event(pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=middle))

    def drop(self, *paths: Path) -> None:
        """Drop files, all in one frame."""
        for path in paths:
            self.rooms.homeworkroom.drop(str(path))
        self.frame()

    @property
    def placed(self) -> list[tuple[str, Rect]]:
        worded: Worded = self.screen  # type: ignore[assignment]  # every screen that is asked here has texts
        return worded.texts(SIZE)

    @property
    def words(self) -> str:
        """All that is read on the screen, once nothing is being judged."""
        assert self.placed
        for _ in range(2):  # where nothing was in the files, all that came before is read
            self.settle()
            self.frame()
        return " ".join(text for text, _ in self.placed)

    def _event(self, event: pygame.event.Event) -> None:
        action = action_of(event, takes_text=self.screen.takes_text)
        assert action is not None, event
        self.act(action)

    def act(self, action: Action) -> None:
        """What an event asks for; whoever leaves the program is back on the list at once."""
        self.screen = self.screen.handle(action) or self.rooms.home()
        self.frame()
