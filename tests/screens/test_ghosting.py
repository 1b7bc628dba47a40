from pathlib import Path

import pygame

from trainer.coaching.contest import Contest
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.screens.contest import ContestDoors, ContestScreen
from trainer.screens.ghosting import GHOST, Ghosting
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command
from trainer.tablature.ghost import Ghost, GhostChoice

from .desk import FRAME_NS, Desk, Page
from .flashing import FlashMeter, linear
from .ghosted import ghost_of, ghosting_of, plan_of
from .reviewed import Watched, keep_two

GHOST_OF = ghost_of("two-gates", faults="late 4 30")


class Asked:
    """Gives a ghost, and remembers what it was asked for."""

    def __init__(self) -> None:
        self.asked: list[GhostChoice] = []
        self.kept: list[GhostChoice] = []
        self.ghosting = Ghosting(self.find, keep=self.kept.append)

    def find(self, line: Exercise, _pace: object, choice: GhostChoice) -> Ghost | None:
        assert line.name == "two-gates"
        self.asked.append(choice)
        return None if choice is GhostChoice.OFF else GHOST_OF


def begun(asked: Asked, plan: RunPlan | None = None) -> tuple[PracticeScreen, Desk]:
    desk = Desk()
    screen = desk.practice(plan or plan_of("two-gates"), ghosting=asked.ghosting)
    desk.play(screen, 1.0)
    return screen, desk


def test_one_key_chooses_whom_to_play_against_and_it_is_remembered() -> None:
    asked = Asked()
    screen, desk = begun(asked)
    without = screen.view(desk.now_ns)

    screen.handle(GHOST)
    with_last = screen.view(desk.now_ns)
    screen.handle(GHOST)

    assert (without.ghost, without.ghost_words) == ({}, "")
    assert with_last.ghost_words.startswith("ghost: last pass, 32 of 32 as written")
    deviation_ns = with_last.ghost[4].deviation_ns
    assert deviation_ns is not None
    assert abs(deviation_ns - 30_000_000) < 2_000_000
    assert asked.kept == [GhostChoice.LAST, GhostChoice.BEST]
    assert len(desk.plans) == 1  # the take goes on


def test_every_pass_and_a_loop_are_played_against_the_same_pass() -> None:
    asked = Asked()
    screen, desk = begun(asked)
    screen.handle(GHOST)
    of_all = screen.view(desk.now_ns).ghost

    for command in (Command.PAUSE, *[Command.RIGHT] * 9, Command.LOOP):
        screen.handle(command)
    desk.play(screen, 0.1)
    of_loop = screen.view(desk.now_ns).ghost

    assert of_all[4] == of_all[36] == GHOST_OF.states[4]
    assert [of_loop[index] for index in range(8)] == [GHOST_OF.states[index] for index in range(8, 16)]


def test_a_ghost_is_looked_for_when_a_take_begins_and_not_in_its_frames() -> None:
    asked = Asked()
    screen, desk = begun(asked)

    desk.play(screen, 3.0)
    before = len(asked.asked)
    screen.handle(Command.RESTART)

    assert (before, len(asked.asked)) == (1, 2)


def test_a_contest_chooses_its_ghost_before_a_pass() -> None:
    asked, page = Asked(), Page("list")
    doors = ContestDoors(
        practice=lambda _plan, _heard, _back: page,
        began=lambda: "",
        table=lambda _contest, _name: (),
        other_line=lambda: Contest(load_exercise("mist"), 60),
        leave_to=lambda: page,
        ghosting=asked.ghosting,
    )
    screen = ContestScreen(Contest(load_exercise("two-gates"), 60), doors)

    screen.handle(GHOST)

    assert asked.ghosting.choice is GhostChoice.LAST
    assert "ghost: last" in [words for words, _ in screen.texts((1280, 720))]


def test_neither_a_ghost_nor_another_take_flashes(tmp_path: Path) -> None:
    desk = Desk(faults="miss 0, fret 2, late 3 40")
    played = desk.practice(plan_of("two-gates"), ghosting=ghosting_of("two-gates", faults="miss 1, early 2 40"))
    _, other = keep_two(tmp_path)
    watched = Watched(tmp_path, others=(other,), shows_other=True)
    surface = pygame.Surface((640, 400), depth=32)
    of_ghost, of_takes = FlashMeter(), FlashMeter()

    desk.play(played, 2.0)
    watched.watch(3.0)
    for number in range(120):
        desk.play(played, FRAME_NS / 1e9)
        watched.watch(1 / 60)
        played.draw(surface, desk.now_ns)
        of_ghost.feed(linear(surface, 2), number * FRAME_NS)
        watched.screen.draw(surface, watched.now_ns)
        of_takes.feed(linear(surface, 2), number * FRAME_NS)

    assert (of_ghost.is_passed, of_takes.is_passed) == (True, True)
