import pytest

from trainer.screens.contest import NO_POINTS, ContestScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command

from .contests import TABLE, contest_at
from .desk import Desk, Page

SIZE = (1280, 720)


def words_of(screen: ContestScreen) -> str:
    return "\n".join(text for text, _ in screen.texts(SIZE))


def played(desk: Desk, screen: ContestScreen) -> None:
    playing = screen.handle(Command.PAUSE)
    assert isinstance(playing, PracticeScreen)
    assert desk.play(playing, 12) is screen


def test_passes_rise_and_are_scored_and_name_their_run() -> None:
    desk = Desk()
    screen = contest_at(desk, start_qpm=300)

    played(desk, screen)
    played(desk, screen)

    assert [float(plan.tempo.quarters_per_minute) for plan in desk.plans] == [300, 315]
    assert {plan.contest for plan in desk.plans} == {"2026-11-25T09:00:00+00:00"}
    assert [one.qpm for one in screen.contest.scores] == [300, 315]
    assert "Best pass" in words_of(screen)


def test_the_formula_stands_on_the_screen_before_anything_is_played() -> None:
    assert "Points = 100 × clean notes a second × evenness × slurs as written" in words_of(contest_at(Desk()))


def test_a_run_that_begins_when_a_break_is_due_gets_no_points_and_says_so() -> None:
    desk = Desk()
    screen = contest_at(desk, start_qpm=300, due=True)
    before = words_of(screen)

    played(desk, screen)

    assert NO_POINTS in before
    assert desk.plans[0].contest == ""


def test_a_pass_that_is_left_early_ends_the_run() -> None:
    desk = Desk()
    screen = contest_at(desk, start_qpm=60)
    playing = screen.handle(Command.PAUSE)
    assert isinstance(playing, PracticeScreen)

    back = desk.play(playing, 8).handle(Command.BACK)

    assert back is screen
    assert screen.contest.is_over
    assert "the run is over" in words_of(screen)


def test_r_begins_anew_and_tab_takes_the_line_of_the_day() -> None:
    desk = Desk()
    screen = contest_at(desk, start_qpm=300)
    played(desk, screen)

    screen.handle(Command.RESTART)
    anew = screen.contest
    screen.handle(Command.NEXT_CHOICE)

    assert (anew.scores, anew.start_qpm) == ((), 300)
    assert "Contest: Line of 2026-11-25" in words_of(screen)


def test_the_table_stands_beside_the_passes_and_says_what_it_lacks() -> None:
    assert "No run was played yet." in words_of(contest_at(Desk()))
    assert "612" in words_of(contest_at(Desk(), table=TABLE))


@pytest.mark.parametrize(("command", "name"), [(Command.BACK, "list"), (Command.QUIT, None)])
def test_it_is_left_by_escape_and_the_program_by_its_own_key(command: Command, name: str | None) -> None:
    left = contest_at(Desk()).handle(command)

    assert (left.name if isinstance(left, Page) else None) == name
