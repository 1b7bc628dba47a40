"""What is offered over the list, from what is remembered and from what the history told."""

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from tests.history.builders import history_of, plan_of, record
from trainer.app import Rooms
from trainer.coaching.plan import Choice, Day, Item, Kind, Plan
from trainer.devices.recording import takes_folder
from trainer.devices.remembered import KeptDay, Memory, SetUp
from trainer.devices.sound import SilentSound
from trainer.doorstep import FIRST_PASSES, Doorstep
from trainer.history.keeping import HistoryKeeper
from trainer.history.opening import history_path
from trainer.playing.profile import PickupProfile
from trainer.run import RunPlan
from trainer.score.library import exercise_names, load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.choices import Choices, InputChoice
from trainer.screens.home import HomeScreen
from trainer.screens.home_now import Ahead
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command
from trainer.station import SIMULATED, Station

LINES = tuple(load_exercise(name) for name in exercise_names())
PICKUP = InputChoice("Hut pickup", "Hut pickup")
SHOWN = InputChoice(SIMULATED, "simulated player", is_pickup=False)
TODAY = datetime.now().astimezone().replace(hour=0, minute=0, second=1, microsecond=0)


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path


def desk(place: Path, *, with_history: bool = True) -> Station:
    station = Station(SIMULATED, SilentSound("test"), memory=Memory(place / "remembered.json"))
    if with_history:
        station.history = HistoryKeeper(history_path(takes_folder()), takes_folder())
        station.history.close(30)
    return station


def test_the_line_played_last_is_offered_with_its_tempo_and_when_that_was(place: Path) -> None:
    record(place, plan_of(load_exercise("mist"), tempo=50), when=TODAY - timedelta(days=3))
    record(place, plan_of(load_exercise("two-gates"), passes=1, tempo=101), when=TODAY)
    history_of(place).close()
    doorstep = Doorstep(desk(place), LINES)

    ahead = doorstep.ahead(PICKUP)
    plan = doorstep.plan(PICKUP, Choices(passes=7, with_backing=True))

    assert ahead[0] == Ahead(
        "Ctrl Enter", "go on with what was played last", "Two gates, ♩ = 101, today 00:00", Command.GO_ON
    )
    line = load_exercise("two-gates")
    assert plan == RunPlan(line, Tempo(Fraction(101)), passes=7, with_backing=True)


def test_what_is_no_longer_in_the_list_is_passed_over(place: Path) -> None:
    record(place, plan_of(load_exercise("mist"), tempo=50), when=TODAY - timedelta(days=1))
    record(place, plan_of(load_exercise("two-gates")), when=TODAY)
    history_of(place).close()

    ahead = Doorstep(desk(place), [line for line in LINES if line.name != "two-gates"]).ahead(PICKUP)

    assert ahead[0].words == "Mist, ♩ = 50, yesterday"


@pytest.mark.parametrize(
    ("tuning", "name"),
    [
        ("", "first-stones"),
        ("seven-string", "first-stones"),
        ("dadgad", "two-wells"),
        ("bass", "cart-track"),
    ],
)
def test_who_has_never_played_is_offered_the_first_line_that_the_strings_are_tuned_for(
    place: Path, tuning: str, name: str
) -> None:
    station = desk(place)
    assert station.memory is not None
    station.memory.keep_device("Hut pickup", SetUp(PickupProfile(), tuning=tuning))
    doorstep = Doorstep(station, LINES)

    first = doorstep.ahead(PICKUP)[0]
    plan = doorstep.plan(PICKUP, Choices())

    line = load_exercise(name)
    words = f"{line.title}, ♩ = {line.tempo.quarters_per_minute}"
    assert first == Ahead("Ctrl Enter", "begin here", words, Command.GO_ON)
    assert plan == RunPlan(line, line.tempo, passes=FIRST_PASSES)


def test_where_no_line_is_tuned_so_the_builder_is_offered(place: Path) -> None:
    station = desk(place)
    assert station.memory is not None
    station.memory.keep_device("Hut pickup", SetUp(PickupProfile(), tuning="d-standard"))
    doorstep = Doorstep(station, LINES)

    assert doorstep.ahead(PICKUP)[0] == Ahead(
        "F4", "build a first line", "none is written for D standard tuning", Command.BUILD
    )
    assert doorstep.plan(PICKUP, Choices()) is None


def test_while_the_history_has_not_told_what_was_played_nothing_is_offered(place: Path) -> None:
    station = desk(place)
    assert station.history is not None
    station.history.last_takes = None
    doorstep = Doorstep(station, LINES)

    assert doorstep.ahead(PICKUP)[0].key == ""
    assert doorstep.plan(PICKUP, Choices()) is None


def test_while_a_line_that_was_played_may_still_be_read_no_other_is_offered(place: Path) -> None:
    record(place, plan_of(load_exercise("two-gates")), when=TODAY)
    history_of(place).close()
    waiting = [True]
    others = [line for line in LINES if line.name != "two-gates"]
    doorstep = Doorstep(desk(place), others, lambda: waiting[0])
    meanwhile = doorstep.ahead(PICKUP)[0].key, doorstep.plan(PICKUP, Choices())

    doorstep.take_in(LINES)
    waiting[0] = False

    assert meanwhile == ("", None)
    assert doorstep.ahead(PICKUP)[0].words.startswith("Two gates, ")


def item(number: int, kind: Kind, title: str) -> Item:
    return Item(number, kind, 5, Choice("mist", title, "", "", "", 60, 2, ""))


def test_the_plan_of_today_says_what_comes_next_and_yesterdays_is_over(place: Path) -> None:
    station = desk(place, with_history=False)
    memory, doorstep = station.memory, Doorstep(station, LINES)
    assert memory is not None
    nothing = doorstep.ahead(PICKUP)[1]
    plan = Plan((item(1, Kind.WARM_UP, "Mist"), Item(2, Kind.BREAK, 5), item(3, Kind.LINE, "Two gates")))
    said = []
    for started in ((), (1,), (1, 2), (3,)):
        memory.keep_day(KeptDay(TODAY.date().isoformat(), Day(plan, 15, "", started)))
        said.append(doorstep.ahead(PICKUP)[1].words)
    memory.keep_day(KeptDay((TODAY - timedelta(days=1)).date().isoformat(), Day(plan, 15)))

    assert said == ["5 min, warm-up: Mist", "5 minutes of rest", "5 min, line: Two gates", "everything in it was begun"]
    assert doorstep.ahead(PICKUP)[1] == nothing
    assert nothing == Ahead("F10", "plan the day", "minutes to play, and what to play in them", Command.PLAN)


def test_one_key_goes_on_with_the_line_played_last(place: Path) -> None:
    record(place, plan_of(load_exercise("two-gates"), passes=1, tempo=101), when=TODAY)
    history_of(place).close()
    station = desk(place)
    home = Rooms(station).home()
    assert isinstance(home, HomeScreen)
    while not (home.view().ahead and home.view().ahead[0].key):
        home.update((), 0)

    page = home.handle(Command.GO_ON)

    assert isinstance(page, PracticeScreen)
    assert station.memory is not None
    assert station.memory.choices.exercise_name == "two-gates"
