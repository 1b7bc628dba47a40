import os
from pathlib import Path

import pytest

from tests.kept_takes import keep_take
from trainer.devices.recording import takes_folder
from trainer.devices.sound import SilentSound
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.screens.builder import BuilderScreen
from trainer.screens.screen import Command, Screen
from trainer.station import SIMULATED, Station
from trainer.workroom import Library, Workroom, keep


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty data folder; the folder of own exercises within it."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path / "exercises"


class Hall(Workroom):
    """A workroom without a sound, and what was played from it."""

    def __init__(self) -> None:
        self.played: list[Exercise] = []
        self.library = Library()
        station = Station(SIMULATED, SilentSound("it is switched off"), takes_folder=takes_folder())
        super().__init__(station, self.library, play=self._play_it, leave=self._never)

    def _play_it(self, exercise: Exercise, builder: Screen) -> Screen:
        self.played.append(exercise)
        return builder

    @staticmethod
    def _never() -> Screen:
        raise AssertionError


def test_what_is_kept_is_in_the_library_at_once_and_broken_files_hide_nothing(own: Path) -> None:
    library = Library()
    shipped = len(library.exercises)

    kept = keep("Slate stairs", 'key = "E dorian"\nroute = "1"\ncell = "up"\n')

    assert kept.name == "slate-stairs"
    assert [line.name for line in library.exercises if line.key == "E dorian" and line.name == "slate-stairs"]
    (own / "broken.toml").write_text("key = 3")
    assert len(library.exercises) == shipped + 1
    assert "broken.toml" in library.complaints[0]
    (own / "slate-stairs.toml").unlink()
    assert len(library.exercises) == shipped


def test_a_library_is_not_read_again_while_no_file_changes(own: Path) -> None:
    keep("Slate stairs", 'key = "E dorian"\nroute = "1"\ncell = "up"\n')
    library = Library()
    before = library.exercises

    assert library.exercises is before
    file = own / "slate-stairs.toml"
    file.write_text('key = "F dorian"\nroute = "1"\ncell = "up"\n')
    os.utime(file, ns=(1, 1))
    assert next(line.key for line in library.exercises if line.name == "slate-stairs") == "F dorian"


def test_what_cannot_be_kept_says_why_and_writes_nothing(own: Path) -> None:
    text = 'key = "E dorian"\nroute = "1"\ncell = "up"\n'
    assert keep("?!", text).name is None
    assert keep("Quarry steps", text).words.startswith("Not kept: there is an exercise 'quarry-steps' already")
    assert not own.exists()

    own.parent.joinpath("exercises").write_text("a file stands where the folder should")

    refused = keep("Slate stairs", text)
    assert (refused.name, "cannot be made" in refused.words) == (None, True)


def test_a_line_is_built_on_and_varied_and_leads_to_playing_it() -> None:
    room = Hall()
    for make in (room.workshop.build, room.workshop.vary):
        screen = make(load_exercise("quarry-steps"))
        assert isinstance(screen, BuilderScreen)
        assert screen.bench.shown.notes == load_exercise("quarry-steps").notes
        screen.handle(Command.CHOOSE)

    assert [line.notes for line in room.played] == [load_exercise("quarry-steps").notes] * 2


def test_a_variation_that_is_kept_is_a_twin_whose_takes_are_compared() -> None:
    room = Hall()
    screen = room.workshop.vary(load_exercise("mist"))
    for command in (Command.RIGHT, Command.KEEP, Command.CHOOSE):
        screen.handle(command)
    keep_take(takes_folder(), "mist", tempo=60)

    comparison = room.comparison(load_exercise("mist"))

    assert comparison is not None
    twin = comparison.lines[1]
    assert [line.family for line in comparison.lines[1:]] == ["mist"]
    while comparison.go_on():
        pass
    figures = comparison.known["mist"]
    assert figures is not None
    assert (figures.quarters_per_minute, comparison.known[twin.name]) == (60, None)
    assert room.workshop.played() == {"mist"}


def test_hearing_without_a_sound_runs_on_the_clock() -> None:
    room = Hall()

    assert room.workshop.hear(load_exercise("mist")) > 0
