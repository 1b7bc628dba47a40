from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from tests.history.builders import history_of, plan_of, record
from tests.screens.desk import Page
from trainer.coaching.plan import Item, Kind
from trainer.coaching.rests import BreakCounter
from trainer.dayroom import Dayroom
from trainer.devices.recording import takes_folder
from trainer.devices.remembered import Memory
from trainer.devices.skill import Skill
from trainer.devices.sound import SilentSound
from trainer.history.keeping import HistoryKeeper
from trainer.history.opening import history_path
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.screens.day_plan import DayPlanScreen
from trainer.screens.improvise import ImproviseScreen
from trainer.screens.progress import ProgressScreen
from trainer.screens.screen import Command, Screen
from trainer.station import SIMULATED, Station
from trainer.workroom import Library

SIZE = (1280, 720)


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path


@pytest.fixture(scope="module")
def library() -> Library:
    return Library()


class Hall(Dayroom):
    """A dayroom without a sound, and what was played from it."""

    def __init__(self, library: Library) -> None:
        self.played: list[RunPlan] = []
        self.drilled: list[tuple[str, int]] = []
        self.coached: list[str] = []
        self.station = Station(SIMULATED, SilentSound("it is switched off"), takes_folder=takes_folder())
        super().__init__(
            self.station,
            library,
            play=self._play_it,
            drill=self._drill_it,
            leave=Page,
            coach=self._coach_it,
            breaks=BreakCounter(),
        )

    def _play_it(self, plan: RunPlan, back_to: Screen) -> Screen:
        self.played.append(plan)
        return back_to

    def _coach_it(self, lines: tuple[Exercise, ...], leave: Callable[[], Screen]) -> Screen:
        self.coached = [line.name for line in lines]
        return leave()

    def _drill_it(self, exercise: Exercise, to_index: int, back_to: Screen) -> Screen:
        self.drilled.append((exercise.name, to_index))
        return back_to


@pytest.fixture
def hall(library: Library) -> Iterator[Hall]:
    made = Hall(library)
    yield made
    made.station.close()


def item_of(screen: Screen, kind: Kind) -> Item:
    assert isinstance(screen, DayPlanScreen)
    return next(item for item in screen.plan.items if item.kind is kind)


def choose(screen: Screen, kind: Kind) -> Screen | None:
    """Go down to the first item of a kind, and start it."""
    assert isinstance(screen, DayPlanScreen)
    while screen.selected.kind is not kind:
        screen.handle(Command.DOWN)
    return screen.handle(Command.CHOOSE)


def late_takes(place: Path, hall: Hall) -> None:
    """Eight passes with a weak note, in the history that the station keeps."""
    late = ", ".join(f"late {turn * 32 + 9} 60" for turn in range(8))
    record(place, plan_of(passes=8), late, when=datetime.now().astimezone(), skill=Skill(timing_sd_ns=8_000_000))
    history_of(place).close()
    hall.station.history = HistoryKeeper(history_path(takes_folder()), takes_folder())


def test_without_a_history_both_rooms_say_what_is_not_known(hall: Hall) -> None:
    progress, plan = hall.progress(), hall.plan()

    assert isinstance(progress, ProgressScreen)
    assert isinstance(plan, DayPlanScreen)
    assert "Not enough yet" in " ".join(text for text, _ in progress.texts(SIZE))
    assert "Nothing is known of your playing yet" in " ".join(text for text, _ in plan.texts(SIZE))


def test_an_item_is_played_at_its_tempo_and_the_plan_comes_back(hall: Hall) -> None:
    screen = hall.plan()
    line = item_of(screen, Kind.LINE).choice

    choose(screen, Kind.LINE)

    assert line is not None
    (plan,) = hall.played
    assert (plan.exercise.name, plan.passes, float(plan.tempo.quarters_per_minute)) == (
        line.exercise,
        line.passes,
        line.qpm,
    )


def test_music_is_played_over_a_backing_in_the_lines_key_and_says_that_nothing_is_kept(hall: Hall) -> None:
    screen = hall.plan()

    music = choose(screen, Kind.MUSIC)

    assert isinstance(music, ImproviseScreen)
    words = " ".join(text for text, _ in music.texts(SIZE))
    assert "It sounds: straight eighths, i iv:" in words
    assert "Nothing is judged or kept" in words
    assert "boxwalk capture --pace click" in words
    assert hall.played == []
    assert music.handle(Command.BACK) is screen


def test_what_was_played_is_in_the_pictures_and_its_weak_transition_is_drilled(place: Path, hall: Hall) -> None:
    late_takes(place, hall)

    progress, screen = hall.progress(), hall.plan()
    choose(screen, Kind.DRILL)

    assert isinstance(progress, ProgressScreen)
    assert "Two gates: ♩ = 120" in " ".join(text for text, _ in progress.texts(SIZE))
    assert hall.drilled == [("two-gates", 9)]


def test_the_coach_is_given_the_lines_played_last(place: Path, hall: Hall) -> None:
    late_takes(place, hall)
    progress = hall.progress()

    back = progress.handle(Command.DRILL)

    assert back is progress
    assert hall.coached == ["two-gates"]


def test_a_plan_that_was_begun_or_changed_is_there_again_on_that_day(hall: Hall, place: Path) -> None:
    memory = hall.station.memory = Memory(place / "remembered.json")
    first = hall.plan()
    assert isinstance(first, DayPlanScreen)
    assert memory.day is None
    first.handle(Command.FASTER)
    choose(first, Kind.LINE)

    again = Hall.plan(hall)

    assert isinstance(again, DayPlanScreen)
    assert (again.plan, again.plan.minutes) == (first.plan, 35)
    assert again.selected == again.plan.items[again.plan.items.index(item_of(again, Kind.LINE)) + 1]
    kept = Memory(memory.path).day
    assert kept is not None
    memory.keep_day(replace(kept, date="2026-01-01"))
    anew = hall.plan()
    assert isinstance(anew, DayPlanScreen)
    assert anew.plan.minutes == 30
