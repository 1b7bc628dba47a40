"""The room where lines are played, at a desk whose time is scripted: advice, drills and back, and one break counter."""

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from threading import Event
from typing import Any

import pygame
import pytest

from tests.history.builders import history_of, plan_of, record
from tests.screens.coached import late_faults
from tests.screens.desk import Desk, Page
from trainer.coaching.drills import drills_for
from trainer.coaching.rests import DUE_NS, SinceBreak
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.transitions import Transition
from trainer.coaching.working_tempo import WorkingTempo
from trainer.devices.recording import takes_folder
from trainer.devices.skill import Skill
from trainer.devices.sound import SilentSound
from trainer.history.errors import in_words
from trainer.history.gathering import opened
from trainer.history.keeping import HistoryKeeper
from trainer.history.opening import history_path
from trainer.history.store import History
from trainer.practiceroom import BRIEF_TROUBLE, Practiceroom
from trainer.progress.pictures import day_words
from trainer.run import NoKeeper, Run, RunPlan
from trainer.score.library import load_exercise
from trainer.screens.practice import PracticeScreen
from trainer.screens.result import ResultScreen
from trainer.screens.screen import Command, Pressed, Screen
from trainer.screens.tempo_run import TempoRunScreen
from trainer.screens.tempo_ways import TempoWaysScreen
from trainer.station import SIMULATED, Station

SIZE = (1920, 1080)
STEADY = Skill(timing_sd_ns=8_000_000)
LINE = load_exercise("two-gates")
COMMON: dict[str, Any] = {"skill": STEADY, "player": "simulated"}


class Place(Station):
    """A station at a desk."""

    def __init__(self, faults: str) -> None:
        super().__init__(SIMULATED, SilentSound("it is switched off"), takes_folder=takes_folder())
        self.desk = Desk(STEADY, faults)

    def start_run(self, plan: RunPlan) -> Run:
        return self.desk.start_run(plan, self.desk.now_ns)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path


class Rehearsal:
    """A room, and what is open in it."""

    def __init__(self, faults: str = "") -> None:
        self.station = Place(faults)
        self.desk = self.station.desk
        self.room = Practiceroom(self.station, comparison=lambda _: None)

    def plays(self, screen: Screen | None, seconds: float = 60) -> ResultScreen:
        """To the end of what is open."""
        assert isinstance(screen, PracticeScreen)
        following = self.desk.play(screen, seconds)
        assert isinstance(following, ResultScreen)
        return following

    def sits(self, passes: int) -> ResultScreen:
        """One sitting with the line."""
        plan = RunPlan(LINE, LINE.tempo, passes=passes)
        return self.plays(self.room.practice(plan, lambda: Page("list")), 12 * passes + 10)


@pytest.fixture
def rehearsed() -> Iterator[Rehearsal]:
    made = Rehearsal()
    yield made
    made.station.close()


@pytest.fixture
def late() -> Iterator[Rehearsal]:
    """In the first sitting of eight passes one note comes late."""
    made = Rehearsal(late_faults(LINE, 8, 60))
    yield made
    made.station.close()


def words_of(screen: ResultScreen) -> str:
    return " ".join(text for text, _ in screen.texts(SIZE))


def test_a_history_that_is_only_being_made_is_no_trouble() -> None:
    may_open = Event()

    def slowly(path: Path, takes: Path) -> tuple[History, str | None]:
        path.touch()
        may_open.wait(10)
        return opened(path, takes)

    station = Place("")
    station.history = HistoryKeeper(history_path(takes_folder()), takes_folder(), open_it=slowly)
    while not history_path(takes_folder()).exists():
        may_open.wait(0.01)
    room = Practiceroom(station, comparison=lambda _: None)
    meanwhile = room.tutor.tempo_words(LINE), room.tutor.trouble
    may_open.set()
    station.close()

    assert meanwhile == (room.tutor.tempo_words(LINE), "")
    assert room.tutor.trouble == ""


def test_few_passes_say_how_many_more_are_needed_and_lead_to_no_drill(rehearsed: Rehearsal) -> None:
    result = rehearsed.sits(2)

    assert "Not enough yet: 2 passes heard, 3 more are needed" in words_of(result)
    assert result.handle(Command.DRILL) is result


def test_the_passes_of_one_sitting_after_another_add_up(rehearsed: Rehearsal) -> None:
    rehearsed.sits(2)

    assert "Coach, 5 passes" in words_of(rehearsed.sits(3))


def test_the_drill_of_the_worst_transition_grows_and_leads_back_to_the_line(late: Rehearsal) -> None:
    line = late.sits(8)
    assert "From note 8 to 9" in words_of(line)

    drill = late.plays(line.handle(Command.DRILL))
    longer = late.plays(drill.handle(Command.DRILL))
    shorter = longer.handle(Command.SHORTER)
    back = longer.handle(Command.LOOP)

    assert "Drill 1 of" in words_of(drill)
    assert "in the line, at its own tempo, +6" in words_of(drill)
    assert isinstance(shorter, PracticeScreen)
    assert isinstance(back, PracticeScreen)
    played = [(plan.exercise.name, len(plan.exercise.notes)) for plan in late.desk.plans]
    assert played == [("two-gates", 32), ("two-gates-7-10-core", 4), ("two-gates-7-10-stressed", 4)]


def test_the_transition_into_the_note_under_the_cursor_is_drilled_too(late: Rehearsal) -> None:
    line = late.sits(8)
    for _ in range(5):
        line.handle(Command.DOWN)

    assert "drill notes 3 to 4" in words_of(line)
    late.plays(line.handle(Command.DRILL))

    assert late.desk.plans[-1].exercise.name == "two-gates-2-5-core"


def test_a_row_of_the_coach_is_drilled_by_a_press(late: Rehearsal) -> None:
    line = late.sits(8)
    line.draw(pygame.Surface(SIZE), 0)
    row = next(bounds for text, bounds in line.texts(SIZE) if text.startswith("8 → 9"))

    drill = line.handle(Pressed(row.left_px + 8, row.top_px + 4))
    elsewhere = line.handle(Pressed(row.left_px + 8, row.top_px + 300))

    assert isinstance(drill, PracticeScreen)
    assert elsewhere is line


def test_the_passes_of_a_run_of_tempi_count_for_the_coach(rehearsed: Rehearsal) -> None:
    sitting = TempoSitting(LINE, WorkingTempo(200))
    run = rehearsed.room.tempo_run(sitting, lambda: None)
    for _ in range(2):
        playing = run.handle(Command.PAUSE)
        assert isinstance(playing, PracticeScreen)
        assert rehearsed.desk.play(playing, 20) is run

    assert "Coach, 4 passes" in words_of(rehearsed.sits(2))


def test_the_effect_of_a_drill_on_the_line_is_told_when_passes_are_enough(late: Rehearsal) -> None:
    drill = late.plays(late.sits(8).handle(Command.DRILL))

    soon = late.sits(2)
    later = late.sits(3)

    assert drill is not soon
    assert "What the drill did to the line can be told after 3 more passes." in words_of(soon)
    assert "Since the drill, from note 8 to 9: 6" in words_of(later)


def test_the_coach_speaks_of_the_passes_that_the_history_holds_too(folder: Path) -> None:
    yesterday = datetime.now().astimezone() - timedelta(days=1)
    record(
        folder,
        plan_of(LINE, passes=6, tempo=84),
        late_faults(LINE, 6, 60),
        when=yesterday,
        skill=STEADY,
        player="simulated",
    )
    history_of(folder).close()
    rehearsed = Rehearsal(late_faults(LINE, 2, 60))
    rehearsed.station.history = HistoryKeeper(history_path(takes_folder()), takes_folder(), player="simulated")

    result = rehearsed.sits(2)
    rehearsed.station.close()

    assert "Coach, 8 passes" in words_of(result)
    assert "From note 8 to 9" in words_of(result)


def test_the_effect_of_a_drill_of_yesterday_is_told_today(folder: Path) -> None:
    now = datetime.now().astimezone()
    late = Transition(8, 9, 60.0, (50.0, 70.0), 12.0, 8, 0, 8, 357.0, is_weak=True)
    drill = drills_for(LINE, late, LINE.tempo)[0].exercise
    before = now - timedelta(days=1)
    record(
        folder,
        plan_of(LINE, passes=6, tempo=84),
        late_faults(LINE, 6, 60),
        when=before,
        skill=STEADY,
        player="simulated",
    )
    record(
        folder, plan_of(drill, passes=2, tempo=60), when=before + timedelta(minutes=5), skill=STEADY, player="simulated"
    )
    record(
        folder, plan_of(LINE, passes=3, tempo=84), when=before + timedelta(minutes=9), skill=STEADY, player="simulated"
    )
    history_of(folder).close()
    rehearsed = Rehearsal()
    rehearsed.station.history = HistoryKeeper(history_path(takes_folder()), takes_folder(), player="simulated")

    words = words_of(rehearsed.sits(2))
    rehearsed.station.close()

    assert f"Since the drill of {day_words(before.date())}, from note 8 to 9: 6" in words


def test_a_line_that_was_changed_is_another_line(rehearsed: Rehearsal) -> None:
    rehearsed.sits(3)
    shorter = replace(LINE.excerpt(0, 15), name=LINE.name)

    page = rehearsed.room.practice(RunPlan(shorter, LINE.tempo, passes=2), lambda: Page("list"))

    assert "Coach, 2 passes" in words_of(rehearsed.plays(page))


def test_one_break_counter_runs_through_practice_and_runs_of_tempi(rehearsed: Rehearsal) -> None:
    rehearsed.sits(2)
    after_line = rehearsed.room.breaks.state(rehearsed.desk.now_ns)
    ways = rehearsed.room.tempo_ways(RunPlan(LINE, LINE.tempo), lambda: Page("list"))
    assert isinstance(ways, TempoWaysScreen)
    run = ways.handle(Command.CHOOSE)
    assert isinstance(run, TempoRunScreen)
    playing = run.handle(Command.PAUSE)
    assert isinstance(playing, PracticeScreen)
    assert rehearsed.desk.play(playing, 60) is run

    after_tempo = rehearsed.room.breaks.state(rehearsed.desk.now_ns)

    assert 0 < after_line.played_ns < after_tempo.played_ns < DUE_NS
    assert rehearsed.room.breaks.state(rehearsed.desk.now_ns + DUE_NS) == SinceBreak(0, after_tempo.rested_ns + DUE_NS)


def test_starting_the_program_anew_is_no_break(folder: Path) -> None:
    record(folder, plan_of(LINE, passes=4, tempo=84), when=datetime.now().astimezone() - timedelta(minutes=3), **COMMON)
    history_of(folder).close()
    station = Place("")
    station.history = HistoryKeeper(history_path(takes_folder()), takes_folder(), player="simulated")

    room = Practiceroom(station, comparison=lambda _: None)
    state = room.breaks.state(time.perf_counter_ns())
    station.close()

    seconds = state.played_ns / 1e9
    assert 45 < seconds < 60
    assert 100 < state.rested_ns / 1e9 < 180


def test_a_run_of_tempi_goes_back_to_its_settings_and_these_to_the_list(rehearsed: Rehearsal) -> None:
    ways = rehearsed.room.tempo_ways(RunPlan(LINE, LINE.tempo), lambda: Page("list"))
    assert isinstance(ways, TempoWaysScreen)
    ways.handle(Command.RIGHT)

    run = ways.handle(Command.CHOOSE)
    assert run is not None
    back, left = run.handle(Command.BACK), ways.handle(Command.BACK)

    assert back is ways
    assert isinstance(left, Page)
    again = rehearsed.room.tempo_ways(RunPlan(LINE, LINE.tempo), lambda: Page("list"))
    assert isinstance(again, TempoWaysScreen)
    assert again.asking.way is ways.asking.way


def test_a_history_of_a_newer_version_is_said_with_what_to_do_and_left_as_it_is(folder: Path) -> None:
    path = folder / "history.db"
    with closing(sqlite3.connect(path)) as newer:
        newer.execute("CREATE TABLE unheard_of (id)")
        newer.execute("PRAGMA user_version = 999")
    before = path.read_bytes()
    rehearsed = Rehearsal()
    rehearsed.station.history = HistoryKeeper(history_path(takes_folder()), takes_folder())

    words = words_of(rehearsed.sits(2))
    playing = rehearsed.room.practice(RunPlan(LINE, LINE.tempo), lambda: Page("list"))
    assert isinstance(playing, PracticeScreen)
    rehearsed.desk.play(playing, 1)
    rehearsed.station.close()

    assert "was written by a newer Boxwalk" in words
    assert "Update Boxwalk to use it." in words
    assert "Not enough yet: 2 passes heard" in words
    assert BRIEF_TROUBLE in [text for text, _ in playing.texts(SIZE)]
    assert path.read_bytes() == before


def test_a_disk_that_is_full_is_said_with_what_to_do(folder: Path) -> None:
    full = in_words(folder / "history.db", sqlite_error(sqlite3.SQLITE_FULL))

    def refused(_path: Path, _takes: Path) -> tuple[History, str | None]:
        raise full

    rehearsed = Rehearsal()
    keeper = HistoryKeeper(history_path(takes_folder()), takes_folder(), open_it=refused)
    rehearsed.station.history = keeper
    keeper.close()

    words = words_of(rehearsed.sits(2))

    assert "cannot be written: the disk is full" in words
    assert "Free some space. Takes are kept as files" in words


def sqlite_error(code: int) -> sqlite3.Error:
    error = sqlite3.OperationalError("as SQLite says it")
    error.sqlite_errorcode = code
    return error


def test_the_last_take_is_gone_through_from_its_result_and_left_again(tmp_path: Path) -> None:
    station = Place("")
    reviewed: list[Path] = []

    def review(path: Path, leave: Callable[[], Screen]) -> Screen:
        reviewed.append(path)
        return leave()

    room = Practiceroom(station, comparison=lambda _: None, review=review)
    page = room.practice(RunPlan(LINE, LINE.tempo), lambda: Page("list"))
    station.desk.play(page, 1)
    run = station.desk.runs[0]
    run._keeper = Kept(tmp_path / "take.mid")
    result = station.desk.play(page, 20)

    assert result.handle(Command.LISTEN) is result
    assert reviewed == [tmp_path / "take.mid"]
    station.close()


class Kept(NoKeeper):
    """Says that a take is kept."""

    def __init__(self, path: Path) -> None:
        self.path = path
