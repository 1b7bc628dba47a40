from dataclasses import replace
from itertools import combinations

import pytest

from trainer.screens.contest import NEEDS_TWO, NO_POINTS, ContestScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.screen import Command

from .contests import TABLE, TWO, contest_at, relay
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


def test_in_a_relay_passes_go_by_turns_and_each_take_says_whose_it_is() -> None:
    desk = Desk()
    screen = contest_at(desk, start_qpm=300, relay=TWO)
    screen.handle(Command.PACE)
    said = [next(words for words in words_of(screen).splitlines() if "pass 1" in words)]

    played(desk, screen)
    said.append(next(words for words in words_of(screen).splitlines() if "pass 2" in words))
    played(desk, screen)

    assert said == ["Anna · ♩ = 300 · pass 1", "Ben · ♩ = 300 · pass 2"]
    assert [(plan.turn, float(plan.tempo.quarters_per_minute)) for plan in desk.plans] == [(1, 300), (2, 300)]
    assert len({plan.contest for plan in desk.plans}) == 1
    assert screen.contest.words() in words_of(screen)
    assert "Team points = the best pass of one player + the best pass of the other" in words_of(screen)


def test_a_relay_needs_a_second_input_and_ends_with_it() -> None:
    seconds = ["", "Barn pickup", ""]
    doors = replace(TWO, has_second=lambda: bool(seconds[0]), next_second=lambda: f"Second input: {seconds.pop(0)}.")
    screen = contest_at(Desk(), relay=doors)

    screen.handle(Command.PACE)
    refused = words_of(screen), screen.contest.players
    screen.handle(Command.SECOND_INPUT)
    screen.handle(Command.PACE)
    together = screen.contest.players
    screen.handle(Command.SECOND_INPUT)

    assert NEEDS_TWO in refused[0]
    assert (refused[1], together, screen.contest.players) == (1, 2, 1)


def test_the_line_of_the_day_is_a_relay_too_and_players_stay_while_a_run_goes_on() -> None:
    desk = Desk()
    screen = contest_at(desk, start_qpm=300, relay=TWO)
    screen.handle(Command.PACE)
    played(desk, screen)

    screen.handle(Command.PACE)
    during = screen.contest.players, len(screen.contest.scores)
    screen.handle(Command.RESTART)
    screen.handle(Command.NEXT_CHOICE)

    assert during == (2, 1)
    assert screen.contest.players == 2
    assert "Relay: Line of 2026-11-25" in words_of(screen)


@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1920, 1080)])
def test_a_relay_has_room_for_its_words(size: tuple[int, int]) -> None:
    texts = [(words, where) for words, where in relay(5).texts(size) if words]

    assert [(a, b) for (a, one), (b, other) in combinations(texts, 2) if one.overlaps(other)] == []
