"""The rooms of plan and progress: what they do, and that nothing in them overlaps or is cut."""

from itertools import combinations

import pygame
import pytest

from trainer.coaching.known import Known
from trainer.coaching.plan import Kind
from trainer.screens.day_plan import REST, DayPlanScreen
from trainer.screens.pick import PickScreen
from trainer.screens.progress import ProgressPage, ProgressScreen
from trainer.screens.screen import Command, Pressed, Screen, Typed
from trainer.tablature.glyphs import Rect

from .desk import Page
from .fitting import unfit
from .pictures import ROOMS, SIZES
from .rooms import day_plan, pages, progress

SIZE = (1280, 720)


def words_of(screen: DayPlanScreen) -> str:
    return " ".join(text for text, _ in screen.texts(SIZE))


def name_of(screen: Screen | None) -> str:
    return screen.name if isinstance(screen, Page) else ""


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ROOMS)
def test_no_text_overlaps_another_or_leaves_the_picture(name: str, size: tuple[int, int]) -> None:
    texts = ROOMS[name]().texts(size)

    assert len(texts) > 8
    assert [(one, other) for (one, a), (other, b) in combinations(texts, 2) if a.overlaps(b)] == []
    assert [text for text, bounds in texts if not Rect(0, 0, *size).contains(bounds)] == []


@pytest.mark.parametrize("name", ROOMS)
def test_texts_fit_in_the_smallest_window_and_when_they_are_largest(name: str) -> None:
    assert unfit(ROOMS[name]()) == []


@pytest.mark.parametrize("size", SIZES)
def test_the_sentence_of_every_picture_is_shown_whole(size: tuple[int, int]) -> None:
    for place, page in enumerate(pages()):
        shown = " ".join(text for text, _ in progress(*[Command.RIGHT] * place).texts(size))

        assert page.sentence in shown


def test_pages_turn_both_ways_and_round() -> None:
    screen = progress()

    titles = [screen.texts(SIZE)[0][0]]
    for command in (Command.RIGHT, Command.LEFT, Command.LEFT):
        screen.handle(command)
        titles.append(screen.texts(SIZE)[0][0])

    assert titles == [pages()[place].title for place in (0, 1, 0, 4)]


def test_a_picture_is_rendered_once_for_a_size_and_never_again() -> None:
    asked: list[tuple[int, int]] = []

    def draw(size: tuple[int, int], _unit: float) -> bytes:
        asked.append(size)
        return bytes(size[0] * size[1] * 4)

    screen = ProgressScreen([ProgressPage("One", "A sentence.", draw)], "All takes", leave_to=lambda: Page("list"))
    surface = pygame.Surface(SIZE)
    for _ in range(3):
        screen.draw(surface, 0)

    assert len(asked) == 1


def test_a_picture_lies_between_the_words_and_the_hints() -> None:
    screen = progress()
    surface = pygame.Surface(SIZE)
    screen.draw(surface, 0)

    pixels = pygame.surfarray.array3d(surface)

    assert len({*map(tuple, pixels[60:1200:7, 180:660:5].reshape(-1, 3).tolist())}) > 20


def test_escape_leaves_both_rooms() -> None:
    rooms: tuple[Screen, ...] = (progress(), day_plan())

    assert [name_of(room.handle(Command.BACK)) for room in rooms] == ["list", "list"]


def test_enter_starts_the_chosen_item_and_marks_it() -> None:
    screen = day_plan(Command.DOWN)

    assert name_of(screen.handle(Command.CHOOSE)) == "item 2"
    assert "started" in [text for text, _ in screen.texts(SIZE)]


def test_enter_on_a_break_plays_nothing_and_counts_its_minutes() -> None:
    screen = day_plan(*[Command.DOWN] * 4)
    assert screen.selected.kind is Kind.BREAK
    before = words_of(screen)

    assert screen.handle(Command.CHOOSE) is screen
    screen.update((), 65_000_000_000)

    assert REST in before
    assert "Enter counts its minutes." in before
    assert "Rested 1:05 of 5:00." in words_of(screen)


def test_a_skipped_break_leaves_its_sentence_on_the_screen() -> None:
    screen = day_plan(*[Command.DOWN] * 4, Command.ERASE_NEXT)

    assert "is skipped" in " ".join(text for text, _ in screen.texts(SIZE))
    assert screen.plan.minutes == 40


def test_something_else_and_as_planned() -> None:
    screen = day_plan(Command.DOWN)
    before = screen.selected.choice

    screen.handle(Command.RIGHT)
    after = screen.selected.choice
    screen.handle(Command.RESTART)

    assert before != after
    assert screen.plan.item(2).choice == before


def test_a_goal_is_chosen_from_a_list_and_the_day_is_planned_for_it() -> None:
    screen = day_plan(known=Known())
    goals = screen.handle(Command.GOAL)
    assert isinstance(goals, PickScreen)

    for letter in "ladder":
        goals.handle(Typed(letter))
    back = goals.handle(Command.CHOOSE)

    assert back is screen
    assert "Goal: ladder" in words_of(screen)
    lines = [item.choice for item in screen.plan.items if item.kind is Kind.LINE]
    assert next((line.title, line.why) for line in lines if line is not None) == ("Ladder", "It is the goal.")


def test_the_list_of_goals_is_narrowed_walked_and_left_without_a_change() -> None:
    screen = day_plan()
    goals = screen.handle(Command.GOAL)
    assert isinstance(goals, PickScreen)

    for letter in "xyzzy":
        goals.handle(Typed(letter))
    nothing = goals.handle(Command.CHOOSE)
    for _ in range(5):
        goals.handle(Command.ERASE)
    goals.handle(Command.NEXT_BAR)

    assert nothing is goals
    assert goals.handle(Command.BACK) is screen
    assert "Goal: where the path stands" in words_of(screen)


def test_a_row_is_chosen_by_a_press_and_started_by_the_next_one() -> None:
    screen = day_plan()
    screen.draw(pygame.Surface(SIZE), 0)
    row = next(bounds for text, bounds in screen.texts(SIZE) if text.startswith("Two wells"))
    press = Pressed(row.left_px + 5, row.top_px + 4)

    first = screen.handle(press)
    selected = screen.selected.number

    assert first is screen
    assert name_of(screen.handle(press)) == f"item {selected}"
    assert screen.handle(Pressed(5, 5)) is screen


def test_a_break_that_is_due_is_said_on_the_plan() -> None:
    assert "20 minutes of playing: rest your hands for five" in words_of(day_plan(played_minutes=20))
    assert "7 min since a break" in words_of(day_plan())


def test_minutes_are_changed_within_their_limits() -> None:
    screen = day_plan(minutes=175, known=Known())

    for _ in range(3):
        screen.handle(Command.FASTER)

    assert screen.plan.minutes == 180
    assert "185 minutes: expected 5 to 180." in " ".join(text for text, _ in screen.texts(SIZE))
