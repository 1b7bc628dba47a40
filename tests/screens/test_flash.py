"""Nothing flashes on any screen that moves: whole seconds of frames, as the window would show them."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pygame
import pytest

from tests.kept_takes import keep_take
from trainer.capture.free_play import FreePlay
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.working_tempo import WorkingTempo
from trainer.devices.simulated_player import simulated_player
from trainer.devices.skill import EXACT, SKILLS
from trainer.playing.messages import StampedMessage
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.screens.board import BoardScreen
from trainer.screens.look import THEMES, Look, Theme, wear, worn
from trainer.screens.practice import Outcome, PracticeScreen
from trainer.screens.room_size import Room
from trainer.screens.screen import Command, Screen
from trainer.screens.tempo_run import TempoRunScreen
from trainer.touring import tour

from .boards import Lesson
from .contests import contest_at
from .desk import FRAME_NS, Desk, Page
from .flashing import FlashMeter, linear
from .reviewed import Watched

SIZE, EVERY = (640, 400), 2
FAST = Tempo(Fraction(300))
Poll = Callable[[int], tuple[StampedMessage, ...]]
SLIPS = ("miss {}", "fret {}", "late {} 40", "early {} 40")
ALL_WRONG = ", ".join(SLIPS[note % len(SLIPS)].format(note) for note in range(30))


@pytest.fixture(autouse=True)
def look() -> Iterator[None]:
    before = worn()
    yield
    wear(before)


def recorded(screen: Screen | None, poll: Poll, seconds: float, from_ns: int = 0) -> FlashMeter:
    """The frames of a screen, and of those that it leads to."""
    surface, meter = pygame.Surface(SIZE, depth=32), FlashMeter()
    for number in range(round(seconds * 60)):
        now_ns = from_ns + number * FRAME_NS
        assert screen is not None
        screen = screen.update(poll(now_ns), now_ns)
        screen.draw(surface, now_ns)
        meter.feed(linear(surface, EVERY), now_ns)
    return meter


def heard_at(desk: Desk) -> Poll:
    return lambda now_ns: () if desk._player is None else desk._player.poll(now_ns)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_a_line_on_which_every_note_goes_wrong_does_not_flash(theme: Theme) -> None:
    wear(Look(theme))
    desk = Desk(SKILLS["learning"], ALL_WRONG)
    line = load_exercise("short-blasts")

    meter = recorded(desk.practice(RunPlan(line, line.tempo, passes=4)), heard_at(desk), 4.0)

    assert meter.is_passed


def test_a_contest_that_goes_on_by_itself_does_not_flash() -> None:
    desk = Desk(EXACT)
    screen = contest_at(desk, start_qpm=300)
    screen.handle(Command.LOOP)

    meter = recorded(screen.handle(Command.PAUSE), heard_at(desk), 5.0)

    assert len(screen.contest.scores) == 1
    assert meter.is_passed


def test_a_run_of_tempi_does_not_flash() -> None:
    desk = Desk(EXACT)

    def practice(plan: RunPlan, heard: Callable[[Outcome], Screen], back: Callable[[], Screen]) -> Screen:
        return PracticeScreen(
            plan, start_run=desk.start_run, status=lambda: "A desk.", show_result=heard, leave_to=back
        )

    screen = TempoRunScreen(
        TempoSitting(load_exercise("two-gates"), WorkingTempo(300)),
        practice=practice,
        status=lambda: "A desk.",
        leave_to=lambda: Page("list"),
    )

    meter = recorded(screen.handle(Command.PAUSE), heard_at(desk), 5.0)

    assert screen.sitting.remark
    assert meter.is_passed


def test_a_board_that_is_played_on_fast_does_not_flash() -> None:
    line = replace(load_exercise("quarry-steps"), tempo=FAST)
    player = simulated_player(line, FAST, 0, 0, skill=EXACT, seed=1)
    ear = FreePlay(player.profile, line.tuning)

    meter = recorded(BoardScreen(ear, Lesson().doors(ear), room=Room()), player.poll, 3.0)

    assert meter.is_passed


def test_the_guided_tour_does_not_flash() -> None:
    screen = tour(lambda: Page("list"))
    screen.handle(Command.RIGHT)

    meter = recorded(screen, lambda _: (), 3.5)

    assert not screen.is_playing
    assert meter.is_passed


def test_a_replay_does_not_flash(tmp_path: Path) -> None:
    keep_take(tmp_path, "short-blasts", tempo=100, passes=1, faults=ALL_WRONG)
    watched = Watched(tmp_path)

    meter = recorded(watched.screen, lambda _: (), 3.0, from_ns=watched.now_ns)

    assert meter.is_passed


def test_the_measure_sees_a_screen_that_does_flash() -> None:
    class Blinking(Page):
        def draw(self, surface: pygame.Surface, now_ns: int) -> None:
            surface.fill((255, 255, 255) if now_ns // 60_000_000 % 2 else (0, 0, 0))

    assert not recorded(Blinking("blinking"), lambda _: (), 1.5).is_passed
