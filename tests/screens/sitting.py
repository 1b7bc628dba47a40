"""A sitting at the program's own screens on an accelerated clock: takes one after the other, kept, in the history.

Everything is the program's but three things: the clock, which goes on by a frame when a frame is over; the window,
which is SDL's driver `dummy`; and the sound, which is silent. The simulated player plays on the MIDI bytes path.
"""

import time
from collections.abc import Callable
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path
from types import TracebackType
from typing import Self
from unittest.mock import patch

from tests.screens.desk import FRAME_NS

import pygame  # isort: skip  # after the desk, which chooses the driver

from trainer.app import Rooms
from trainer.devices.remembered import Memory
from trainer.devices.skill import SKILLS
from trainer.devices.sound import SilentSound
from trainer.history.keeping import HistoryKeeper
from trainer.history.opening import history_path
from trainer.history.store import History
from trainer.run import RunPlan
from trainer.screens.practice import PracticeScreen
from trainer.screens.result import ResultScreen
from trainer.screens.screen import Command, Screen
from trainer.station import SIMULATED, Simulation, Station

LOOKED_AT_S = 3.0
"""How long the result of a take is looked at."""


class Sitting:
    """`plan` is played again and again; `frame_ns` is how far the clock goes on in a frame."""

    def __init__(
        self, place: Path, plan: RunPlan, size: tuple[int, int] = (1280, 720), frame_ns: int = FRAME_NS
    ) -> None:
        self.now_ns = 1_000_000_000
        self.frames = 0
        self._place = place
        self._plan = plan
        self._size = size
        self._frame_ns = frame_ns
        self._takes = 0

    def __enter__(self) -> Self:
        self._stack = ExitStack()
        self._stack.enter_context(patch.object(time, "perf_counter_ns", lambda: self.now_ns))
        self._stack.enter_context(patch("trainer.station.datetime", self._calendar()))
        takes = self._place / "takes"
        self._surface = pygame.display.set_mode(self._size)
        self._station = Station(
            SIMULATED,
            SilentSound("it is a test"),
            simulation=Simulation(SKILLS["learning"]),
            takes_folder=takes,
            memory=Memory(self._place / "remembered.json"),
        )
        self._station.history = HistoryKeeper(history_path(takes), takes)
        self._stack.callback(self._station.close)
        self.rooms = Rooms(self._station)
        self.screen: Screen = self.rooms.practice(self._plan)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._stack.close()

    def take(self, in_frame: Callable[[], None] = lambda: None) -> None:
        """Play one take to its end, look at its result, and begin the next."""
        self._takes += 1
        while isinstance(self.screen, PracticeScreen):
            self.frame()
            in_frame()
        assert isinstance(self.screen, ResultScreen), self.screen
        for _ in range(round(LOOKED_AT_S * 1e9 / self._frame_ns)):
            self.frame()
            in_frame()
        following = self.screen.handle(Command.CHOOSE)
        assert following is not None
        self.screen = following

    def frame(self) -> None:
        """One frame of the window's loop."""
        self.now_ns += self._frame_ns
        self.frames += 1
        self.screen = self.screen.update(self._station.poll(self.now_ns), self.now_ns)
        self.screen.draw(self._surface, self.now_ns)
        pygame.display.flip()

    def kept_takes(self) -> int:
        """How many takes are in the history by the time that the program has ended."""
        assert self._station.history is not None
        self._station.history.close(patience_s=60)
        takes = self._place / "takes"
        with History.open(history_path(takes), takes) as history:
            return len(history.take_ids())

    def _calendar(self) -> type[datetime]:
        """Today's date and the sitting's own time of day."""
        begun = datetime(2026, 3, 14, 17, 0, tzinfo=UTC)

        class Calendar(datetime):
            @classmethod
            def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override] # a plain date is enough
                return (begun + timedelta(microseconds=self.now_ns // 1000)).astimezone(tz)

        return Calendar
