"""Kept takes that are gone through, for pictures and tests: from real files, which the simulated player has played."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from tests.kept_takes import keep_take
from trainer.devices.sound import SilentSound
from trainer.playing.take import read_take
from trainer.replaying import replay_screen
from trainer.score.serial import exercise_from_dict
from trainer.screens.review import ReviewScreen
from trainer.screens.screen import Action
from trainer.sounds.endless import Buffer

FRAME_NS = 16_666_667
FIRST_FAULTS = "miss 3, late 5 28, fret 9, early 11 34, string 13, unslid 16"
SECOND_FAULTS = "late 2 16, late 4 21, string 6, miss 8, early 12 19, fret 14"


class HeardSound(SilentSound):
    """An output whose buffers are looked at; each is heard at once."""

    is_audible = True

    def __init__(self, now: Callable[[], int]) -> None:
        super().__init__("it is switched off")
        self._now = now
        self.buffers: list[Buffer] = []
        self.stops = 0

    def start(self, buffer: Buffer) -> int:
        self.buffers.append(buffer)
        return self._now()

    def stop(self) -> None:
        self.stops += 1


class Watched:
    """A take of one pass, and the files beside it, watched frame by frame."""

    def __init__(self, folder: Path, *, others: tuple[Path, ...] = (), shows_other: bool = False) -> None:
        self.path = min(folder.glob("*.mid"))
        take = read_take(self.path)
        assert take.header is not None
        self.now_ns = 5_000_000_000
        self.sound = HeardSound(lambda: self.now_ns)
        line = exercise_from_dict(dict(take.header.exercise))
        screen = replay_screen(
            take, take.header, line, sound=self.sound, others=others, shows_other=shows_other, path=self.path
        )
        assert isinstance(screen, ReviewScreen)
        self.screen = screen

    def watch(self, seconds: float) -> None:
        for _ in range(round(seconds * 60)):
            self.now_ns += FRAME_NS
            self.screen.update((), self.now_ns)

    def given(self, *actions: Action) -> None:
        for action in actions:
            self.screen.handle(action)


def keep_two(folder: Path, name: str = "two-gates-slid") -> tuple[Path, Path]:
    """Two takes of one line, with slips of their own."""
    keep_take(folder, name, tempo=60, passes=1, faults=FIRST_FAULTS)
    keep_take(folder, name, minutes=30, tempo=66, passes=1, faults=SECOND_FAULTS)
    one, other = sorted(folder.glob("*.mid"))
    return one, other


def reviewed(seconds: float, *actions: Action, shows_other: bool = False) -> ReviewScreen:
    """A take after some seconds and some actions, with another take of the line at hand."""
    with tempfile.TemporaryDirectory() as place:
        _, other = keep_two(Path(place))
        watched = Watched(Path(place), others=(other,), shows_other=shows_other)
        watched.watch(seconds)
        watched.given(*actions)
        watched.screen.update((), watched.now_ns)
        return watched.screen
