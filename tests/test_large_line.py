"""A line of thousands of notes is read, practised, judged and written down like any other."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.benchmarks.judging import long_line
from tests.builders import played
from tests.screens.desk import Desk

import pygame  # isort: skip  # after the desk, which chooses the driver

from trainer.judging import play_through
from trainer.playing.take import MOST_WRITTEN
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.file_reading import read_file
from trainer.score.limits import MOST_NOTES
from trainer.score.note_list import note_list_text
from trainer.score.tempo import Tempo
from trainer.screens.parts import loop_over
from trainer.screens.screen import Command
from trainer.session import Session
from trainer.sheets.kinds import files_of

NOTES = 5_000
START_NS = 2_000_000_000


@pytest.fixture(scope="module")
def exercise() -> Exercise:
    return replace(long_line(NOTES), name="long-way", title="Long way", tempo=Tempo(Fraction(100)))


def test_it_is_kept_and_read_back(exercise: Exercise, tmp_path: Path) -> None:
    path = tmp_path / "long-way.toml"
    path.write_text(note_list_text(exercise), encoding="utf-8")

    found = read_file(path).exercise

    assert [(note.onset_quarters, note.location) for note in found.notes] == [
        (note.onset_quarters, note.location) for note in exercise.notes
    ]


def test_a_take_of_it_is_judged_note_for_note(exercise: Exercise) -> None:
    session = Session(exercise, pace="click", tempo=exercise.tempo, starts_at_ns=START_NS)  # type: ignore[arg-type] # a word

    play_through(session, played(exercise, "miss 4321", starts_at_ns=START_NS))

    figures = session.assessment()
    assert (figures.matched, figures.missed, figures.extra) == (NOTES - 1, 1, 0)


def test_it_is_practised_drawn_and_walked_over_to_its_last_note(exercise: Exercise) -> None:
    surface = pygame.Surface((1280, 720))
    desk = Desk()
    screen = desk.practice(RunPlan(exercise, exercise.tempo))

    desk.play(screen, 6)
    screen.draw(surface, desk.now_ns)
    screen.handle(Command.PAUSE)
    screen.handle(Command.LAST)
    screen.draw(surface, desk.now_ns)

    assert desk.runs[0].session.assessment().matched > 10
    assert screen.view(desk.now_ns).now_quarters == float(exercise.notes[-1].onset_quarters)


@pytest.mark.parametrize("ending", [".mid", ".txt"])
def test_it_is_written_down_and_comes_back(exercise: Exercise, ending: str, tmp_path: Path) -> None:
    ((path, data),) = files_of([exercise], tmp_path / f"long-way{ending}")
    path.write_bytes(data)

    assert [note.pitch for note in read_file(path).exercise.notes] == [note.pitch for note in exercise.notes]


def test_a_plan_of_more_notes_than_a_take_can_hold_is_played_as_often_as_it_can() -> None:
    longest = replace(long_line(100), notes=long_line(100).notes * (MOST_NOTES // 100))

    plans = [RunPlan(longest, longest.tempo, passes=passes).that_fits() for passes in (1, 12, 13, 32)]

    assert [plan.passes for plan in plans] == [1, 12, 12, 12]
    assert all(plan.passes * len(longest.notes) <= MOST_WRITTEN for plan in plans)


def test_a_loop_over_a_very_long_part_is_no_longer_than_a_take_can_be(exercise: Exercise) -> None:
    plan = RunPlan(exercise, exercise.tempo, passes=2)

    part = loop_over(plan, 0, 2 * NOTES - 1)

    assert part.plan.passes * len(part.plan.exercise.notes) <= MOST_WRITTEN
    assert part.plan.passes == MOST_WRITTEN // (2 * NOTES)
