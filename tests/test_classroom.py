from pathlib import Path

import pytest

from trainer.classroom import Classroom, handed_out
from trainer.devices.recording import takes_folder
from trainer.devices.remembered import KeptRoom, Memory
from trainer.devices.sound import SilentSound
from trainer.homework.assignment import assignment_in
from trainer.homework.folders import made_editions
from trainer.homework.line import line_digest
from trainer.score.library import load_exercise
from trainer.screens.board import BoardScreen
from trainer.screens.call import CallScreen
from trainer.screens.room_size import Room
from trainer.screens.screen import Command, Screen
from trainer.station import SIMULATED, Station
from trainer.theory.tuning import TUNINGS

from .screens.desk import Page
from .test_station import Port

LINE = load_exercise("two-gates")


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty data folder."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path


def classroom(memory: Memory | None = None) -> Classroom:
    station = Station(SIMULATED, SilentSound("it is switched off"), takes_folder=takes_folder(), memory=memory)
    return Classroom(station, build=lambda line: Page(line.title), leave=lambda: Page("list"))


def said_by(screen: Screen) -> str:
    assert isinstance(screen, BoardScreen)
    return "".join(words for words, _ in screen.view().said)


def test_a_phrase_that_is_handed_out_is_an_exercise_a_sheet_and_homework(data: Path) -> None:
    said = handed_out(LINE)

    (homework,) = (data / "handouts").glob("*.walkwork")
    name = homework.stem
    kept, assignment = load_exercise(str(data / "exercises" / f"{name}.toml")), assignment_in(homework.read_bytes())
    assert name.startswith("from-the-board-2")
    assert f"{data / 'handouts' / name}.pdf to print, .walkwork beside it for pupils" in said
    assert [(one.onset_quarters, one.location, one.technique) for one in kept.notes] == [
        (one.onset_quarters, one.location, one.technique) for one in LINE.notes
    ]
    assert [line_digest(task.exercise) for task in assignment.tasks] == [line_digest(LINE)]
    assert made_editions(assignment.identity) == (assignment,)
    assert (data / "handouts" / f"{name}.pdf").read_bytes().startswith(b"%PDF")


def test_a_second_phrase_of_a_day_has_a_name_of_its_own(data: Path) -> None:
    handed_out(LINE)
    handed_out(LINE)

    first, second = sorted(path.stem for path in (data / "exercises").glob("*.toml"))
    assert second == f"{first}-2"


def test_what_cannot_be_handed_out_says_why(data: Path) -> None:
    (data / "handouts").write_text("a file stands where the folder should")

    assert handed_out(LINE).startswith("Not all was handed out: ")


def test_the_board_begins_in_the_room_that_was_kept_and_keeps_it() -> None:
    memory = Memory()
    memory.keep_room(KeptRoom(11.0, 2.0))
    board = classroom(memory).board(TUNINGS["standard"], LINE)
    assert isinstance(board, BoardScreen)
    before = board.view().room

    board.handle(Command.FASTER)

    assert (before, Memory().room) == (Room(11.0, 2.0), KeptRoom(12.0, 2.0))


def test_a_room_that_cannot_be_gives_way_to_the_usual_one() -> None:
    memory = Memory()
    memory.keep_room(KeptRoom(900.0, 2.0))

    board = classroom(memory).board(TUNINGS["standard"], LINE)

    assert isinstance(board, BoardScreen)
    assert board.view().room == Room()


def test_second_inputs_are_gone_through_remembered_and_taken_up_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trainer.station.input_names", lambda: ("Hut pickup", "Barn pickup", "Cave pickup"))
    monkeypatch.setattr("trainer.station.MidiInput", Port)
    monkeypatch.setattr("trainer.devices.seat.MidiInput", Port)

    def board(station: Station) -> Screen:
        return Classroom(station, build=lambda line: Page(line.title), leave=lambda: Page("list")).board(
            LINE.tuning, LINE
        )

    station = Station("Hut pickup", SilentSound("test"), memory=Memory())
    screen = board(station)
    said = []
    for _ in range(3):
        screen.handle(Command.SECOND_INPUT)
        said.append(said_by(screen))
    screen.handle(Command.SECOND_INPUT)

    again = Station("Hut pickup", SilentSound("test"), memory=Memory())
    calling = board(again).handle(Command.BACKING)

    assert said == [
        "Second input: Barn pickup.",
        "Second input: Cave pickup.",
        "No second input: both play on the first.",
    ]
    assert isinstance(calling, CallScreen)
    assert [turn.who for turn in calling.view().turns] == ["Hut pickup", "Barn pickup"]


def test_a_second_input_that_is_not_there_is_said_and_stays_remembered() -> None:
    memory = Memory()
    memory.keep_second_input("Barn pickup")

    calling = classroom(memory).call(LINE, lambda: Page("board"))

    assert isinstance(calling, CallScreen)
    assert calling.view().sentence == "The second input, Barn pickup, is not there now."
    assert Memory().second_input == "Barn pickup"


def test_without_another_port_it_is_said_what_to_do() -> None:
    calling = classroom().call(LINE, lambda: Page("board"))
    assert isinstance(calling, CallScreen)

    calling.handle(Command.SECOND_INPUT)

    assert calling.view().sentence == "There is no other MIDI port: plug the second pickup in."
