"""The room of the sound, joined to a station: what is set there is how the next line sounds."""

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

from pathlib import Path

import pytest

from tests.devices.test_outputs import MS, Card
from trainer.app import Rooms
from trainer.devices.outputs import Outlet
from trainer.devices.remembered import Memory
from trainer.devices.sound import SilentSound
from trainer.playing.calibration.output_offset import BEAT_NS
from trainer.playing.messages import StampedMessage
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command
from trainer.screens.sound import ROWS, SoundScreen
from trainer.screens.sound_ways import Row
from trainer.sounds.click_way import Thinning
from trainer.sounds.endless import Playable
from trainer.sounds.samples import RATE, sample_of
from trainer.station import SIMULATED, Station


class Hall:
    """The window's rooms with one card, without the window."""

    def __init__(self, folder: Path) -> None:
        self.card = Card()
        self.path = folder / "remembered.json"
        self.station = Station(SIMULATED, Outlet(self.card), memory=Memory(self.path))
        self.rooms = Rooms(self.station)

    def sound(self) -> SoundScreen:
        room = self.rooms.home().handle(Command.SOUND)
        assert isinstance(room, SoundScreen)
        return room


@pytest.fixture
def hall(tmp_path: Path) -> Hall:
    return Hall(tmp_path)


def go_to(room: SoundScreen, row: Row) -> None:
    for _ in range(ROWS.index(row)):
        room.handle(Command.DOWN)


def test_what_is_set_is_how_the_next_line_sounds_and_is_remembered(hall: Hall) -> None:
    room = hall.sound()

    room.handle(Command.RIGHT)  # the click: only on 1
    home = room.handle(Command.BACK)
    assert home is not None
    practice = home.handle(Command.CHOOSE)
    assert isinstance(practice, PracticeScreen)
    practice.update((), 0)
    practice.handle(Command.QUIT)

    assert Memory(hall.path).sound.mix.click.thinning is Thinning.ONE
    plan = practice._plan
    bar = plan.count_in_ns * RATE // 1_000_000_000
    beat = int(bar / plan.exercise.meter.beats)
    (played,) = hall.card.played
    assert played[bar : bar + 100].any()
    assert not played[bar + beat : bar + beat + 100].any()


def test_the_line_is_demonstrated_with_what_was_chosen_at_the_tempo_that_is_set(hall: Hall) -> None:
    room = hall.sound()
    go_to(room, Row.HEARD)

    for _ in range(3):
        room.handle(Command.RIGHT)
    room.handle(Command.LISTEN)
    sounding = hall.card.started_at_ns
    room.handle(Command.LISTEN)

    (played,) = hall.card.played
    assert isinstance(played, Playable)
    line = room.ways.line
    passes = 600_000_000_000 // line.tempo.ns(line.length_quarters)
    assert len(played) == sample_of(passes * line.length_quarters, line.tempo) + 4 * RATE // 10
    assert sounding is not None
    assert hall.card.started_at_ns is None


def test_the_offset_found_by_playing_moves_the_next_take(hall: Hall) -> None:
    room = hall.sound()
    go_to(room, Row.OFFSET)
    room.handle(Command.CHOOSE)

    for beat in range(14):
        stamp_ns = 1_000 * MS + beat * BEAT_NS + 48 * MS
        room.update((StampedMessage(stamp_ns, bytes((0x90 | beat % 2, 64 - 5 * (beat % 2), 90))),), stamp_ns)
    room.handle(Command.CHOOSE)

    assert hall.station.sound.start(hall.card.played[0]) == 1_048 * MS
    assert Memory(hall.path).sound.offsets_ms == {"Hut card": 48.0}


def test_without_a_card_the_room_says_so_and_nothing_breaks(tmp_path: Path) -> None:
    station = Station(SIMULATED, SilentSound("no card"), memory=Memory(tmp_path / "remembered.json"))
    room = Rooms(station).home().handle(Command.SOUND)
    assert isinstance(room, SoundScreen)

    for _ in ROWS:
        for command in (Command.RIGHT, Command.LISTEN, Command.CHOOSE, Command.LISTEN, Command.DOWN):
            assert room.handle(command) is room
        room.update((), 0)

    assert any("No sound" in text for text, _ in room.texts((1280, 720)))
