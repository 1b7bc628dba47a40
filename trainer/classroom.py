"""The room of a class: the board, on which whatever is played appears, and call and answer on two inputs.

Joins the screens with what they need of the outside: inputs, sound, and the folders of what is handed out.
"""

import secrets
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

from trainer.answering import CallAndAnswer, Player, line_of
from trainer.capture.free_play import FreePlay
from trainer.capture.listening import PhraseNote
from trainer.capture.writing import Asked, CaptureError, Writing, captured
from trainer.devices.errand import errand
from trainer.devices.remembered import KeptRoom, Memory
from trainer.homework.errors import HomeworkError
from trainer.homework.handing_out import hand_out
from trainer.keeping import KeepingError
from trainer.score.exercise import Exercise
from trainer.screens.beside import BesideDoors, BesideScreen
from trainer.screens.board import BoardScreen
from trainer.screens.board_doors import BoardDoors
from trainer.screens.call import CallDoors, Caller, CallScreen
from trainer.screens.room_size import Room
from trainer.screens.screen import Screen
from trainer.sheets.errors import SheetError
from trainer.sounds.stems import Stem
from trainer.station import Station
from trainer.theory.tuning import Tuning

FROM_THE_BOARD = "From the board"


class Classroom:
    """Makes the screens; `build(line)` is where a line is varied and kept, `leave()` the list."""

    def __init__(self, station: Station, *, build: Callable[[Exercise], Screen], leave: Callable[[], Screen]) -> None:
        self._station = station
        self._build = build
        self._leave = leave

    def board(self, tuning: Tuning, line: Exercise) -> Screen:
        """Whatever is played on the chosen input, on neck and staff; `line` is what calls when nobody does."""
        station, memory = self._station, self._station.memory
        ear = FreePlay(station.profile, tuning)
        for message in station.announced():
            ear.feed(message)

        def line_of_phrase(phrase: tuple[PhraseNote, ...]) -> Exercise | str:
            try:
                return captured(phrase, Asked(tuning, title=FROM_THE_BOARD)).exercise
            except CaptureError as error:
                return f"Nothing to write down: {error}."

        return BoardScreen(
            ear,
            BoardDoors(
                status=lambda: station.status,
                write_down=lambda phrase: errand(lambda: line_of_phrase(phrase)),
                build=self._build,
                hand_out=handed_out,
                hear=self._hear,
                hush=station.sound.stop,
                leave=self._leave,
                call=lambda board: self.call(line, lambda: board),
                next_second=station.next_second,
                second_ear=lambda: self._second_ear(tuning),
                aside=station.heard_aside,
                beside=lambda played, board: self.beside(played, [line], lambda: board),
                keep_room=lambda room: (
                    None if memory is None else memory.keep_room(KeptRoom(room.distance_m, room.height_m))
                ),
            ),
            room=kept_room(memory),
        )

    def _second_ear(self, tuning: Tuning) -> FreePlay | None:
        """Hears the second input, if there is one or one is remembered."""
        station = self._station
        station.take_up_second()
        if station.second is None:
            return None
        station.heard_aside()  # what was played before nobody asked for
        ear = FreePlay(station.second.profile, tuning)
        for message in station.second.announced():
            ear.feed(message)
        return ear

    def call(self, line: Exercise, leave: Callable[[], Screen]) -> Screen:
        """Call and answer, by the bars of a line or by who plays."""
        station = self._station
        trouble = station.take_up_second()

        def begin(caller: Caller, silence_ns: int) -> CallAndAnswer:
            station.heard_aside()  # what was played before is no part of it
            first, second = Player(station.profile, station.announced()), station.second
            other = None if second is None else Player(second.profile, second.announced())
            if caller is Caller.LINE:
                other = other or first
            return CallAndAnswer(first, other, line.tuning, silence_ns, write_beside)

        return CallScreen(
            line,
            CallDoors(
                begin=begin,
                aside=station.heard_aside,
                inputs=lambda: (station.device, "" if station.second is None else station.second.device),
                next_second=station.next_second,
                hear=self._hear,
                hush=station.sound.stop,
                status=lambda: station.status,
                leave=leave,
            ),
            trouble,
        )

    def beside(self, line: Exercise, others: Sequence[Exercise], leave: Callable[[], Screen]) -> Screen:
        """A line over one of some others."""
        doors = BesideDoors(lambda one: self._hear(one, 1), self._station.sound.stop, leave)
        return BesideScreen(line, others, doors)

    def _hear(self, line: Exercise, passes: int) -> int:
        return self._station.desk.demonstrate(line, line.tempo, [Stem.LINE], passes)


def write_beside(phrase: Sequence[PhraseNote], tuning: Tuning) -> Writing:
    """Make a line of a call beside the frames: a phrase of 16 notes takes a quarter of a second."""
    return errand(lambda: line_of(phrase, tuning))


def handed_out(line: Exercise) -> str:
    """Hand a line out under today's date; a sentence that says where it is, or what went wrong."""
    now = datetime.now().astimezone().isoformat(timespec="seconds")
    try:
        done = hand_out(line, f"{FROM_THE_BOARD} {now[:10]}", now, secrets.token_hex(6))
    except (KeepingError, HomeworkError, SheetError) as error:
        return f"Not all was handed out: {error}."
    ending = done.homework.suffix
    return f"Handed out: {_short(done.sheet)} to print, {ending} beside it for pupils; kept as an exercise too."


def kept_room(memory: Memory | None) -> Room:
    """The room as it was, or the usual one."""
    try:
        return Room() if memory is None else Room(memory.room.distance_m, memory.room.height_m)
    except ValueError:
        return Room()


def _short(path: Path) -> str:
    home = Path.home()
    return f"~/{path.relative_to(home)}" if path.is_relative_to(home) else str(path)
