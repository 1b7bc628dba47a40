"""Results with a coach, drills, ways to ask for tempi: what they do, and that nothing in them overlaps or is cut."""

from itertools import combinations

import pygame
import pytest

from trainer.coaching.advice import Advice
from trainer.coaching.ways import Way
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.screens.coach import CoachDoors, CoachScreen
from trainer.screens.screen import Command, Pressed, Screen
from trainer.tablature.glyphs import Rect

from .coached import COACHED, EFFECT, TROUBLE, advice_on, coached, drilled, late_outcome, listed, result, ways
from .desk import Page
from .fitting import unfit
from .pictures import SIZES, Pictured

SIZE = (1280, 720)


def words_of(screen: Pictured) -> str:
    return " ".join(text for text, _ in screen.texts(SIZE))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", COACHED)
def test_no_text_overlaps_another_or_leaves_the_picture(name: str, size: tuple[int, int]) -> None:
    texts = COACHED[name]().texts(size)

    assert len(texts) > 15
    assert [(one, other) for (one, a), (other, b) in combinations(texts, 2) if a.overlaps(b)] == []
    assert [text for text, bounds in texts if not Rect(0, 0, *size).contains(bounds)] == []


@pytest.mark.parametrize("name", COACHED)
def test_texts_fit_in_the_smallest_window_and_when_they_are_largest(name: str) -> None:
    assert unfit(COACHED[name]()) == []


def test_the_coach_names_the_two_notes_with_interval_spread_and_passes() -> None:
    words = words_of(coached())

    assert "From note 8 to 9 (string 2 fret 12 to string 2 fret 10, bar 2) you come" in words
    assert "20 passes." in words
    assert "8 → 9 string 2 fret 12 → string 2 fret 10 · +" in " ".join(words.split())
    assert "spread" in words


def test_the_takes_own_figures_stay_beside_the_coach_and_tab_shows_the_passes() -> None:
    screen = coached()

    assert "640 of 640 notes as written" in words_of(screen)
    assert "On the neck" in words_of(screen)
    screen.handle(Command.NEXT_CHOICE)
    assert "Pass by pass" in words_of(screen)
    assert "32/32 as written" in words_of(screen)


def test_few_passes_are_not_enough_and_show_no_weakness() -> None:
    words = words_of(result(late_outcome(2)))

    assert "Not enough yet: 2 passes heard, 3 more are needed before anything can be called weak." in words
    assert "On the neck" not in words


@pytest.mark.parametrize("sentence", [EFFECT, TROUBLE])
def test_what_a_drill_did_and_what_is_wrong_with_the_history_are_said_whole(sentence: str) -> None:
    screen = coached(EFFECT, trouble=TROUBLE)

    assert sentence in words_of(screen)


def test_ways_on_are_keys_and_can_be_pressed() -> None:
    screen = drilled()
    where = dict(screen.texts(SIZE))["back to the line"]
    screen.draw(pygame.Surface(SIZE), 0)

    by_key = screen.handle(Command.DRILL)
    by_mouse = screen.handle(Pressed(where.left_px + 4, where.top_px + 2))

    assert [page.name for page in (by_key, by_mouse) if isinstance(page, Page)] == ["D", "L"]


def test_a_row_of_settings_is_chosen_by_a_press_and_changed_by_the_next_one() -> None:
    screen = ways(Way.LADDER)
    screen.draw(pygame.Surface(SIZE), 0)
    row = dict(screen.texts(SIZE))["step up"]

    for x_px in (row.left_px + 250, row.left_px + 250, row.left_px + 4, row.left_px + 4, row.left_px + 4):
        screen.handle(Pressed(x_px, row.top_px + 3))

    assert screen.asking.rungs.up == 2


def test_what_clean_means_follows_the_first_tempo() -> None:
    screen = ways(Way.WORKING, Command.DOWN, Command.RIGHT)

    assert "Clean at ♩ = 88" in words_of(screen)
    assert screen.handle(Command.QUIT) is None
    page = screen.handle(Command.CHOOSE)
    assert isinstance(page, Page)
    assert page.name == "working"


def name_of(screen: Screen | None) -> str:
    return screen.name if isinstance(screen, Page) else ""


def test_the_coachs_list_says_of_each_line_what_is_weak_or_how_many_passes_it_takes() -> None:
    words = words_of(listed())

    assert "20 passes: 8 → 9" in words
    assert "6 passes: nothing stands out" in words
    assert "2 passes, not enough yet: 3 more" in words
    assert "From note 8 to 9 (string 2 fret 12 to string 2 fret 10, bar 2) you come" in words


def test_a_drill_and_the_line_start_from_the_list_by_key_and_by_press() -> None:
    screen = listed()
    screen.draw(pygame.Surface(SIZE), 0)
    row = dict(screen.texts(SIZE))["Two gates"]
    press = Pressed(row.left_px + 3, row.top_px + 3)

    assert [name_of(screen.handle(action)) for action in (Command.DRILL, press, Command.LOOP, Command.BACK)] == [
        "drill two-gates",
        "drill two-gates",
        "play two-gates",
        "list",
    ]


def test_a_line_without_a_weakness_has_no_drill_and_says_so() -> None:
    screen = listed(Command.DOWN)

    assert screen.handle(Command.DRILL) is screen
    assert "No transition of this line is weak: there is nothing to drill." in words_of(screen)


def test_lines_are_weighed_one_a_frame_the_chosen_one_first_and_anew_after_playing() -> None:
    asked: list[str] = []
    advice = advice_on(late_outcome(2))

    def advise(line: Exercise) -> Advice:
        asked.append(line.name)
        return advice

    names = ("two-gates", "ridge-path")
    doors = CoachDoors(lambda _told, _back: Page(""), lambda _told, _back: Page(""), lambda: None)
    screen = CoachScreen([load_exercise(name) for name in names], advise, doors)
    assert screen.handle(Command.DRILL) is screen
    screen.handle(Command.DOWN)
    for now_ns in range(4):
        screen.update((), now_ns)
    screen.forget().update((), 5)

    assert asked == ["ridge-path", "two-gates", "ridge-path"]


def test_without_a_line_the_list_says_what_to_do() -> None:
    doors = CoachDoors(lambda _told, _back: Page(""), lambda _told, _back: Page(""), lambda: None)

    screen = CoachScreen([], lambda _: advice_on(late_outcome(2)), doors)
    screen.update((), 0)

    assert "No line has been played yet" in words_of(screen)
    assert screen.handle(Command.DRILL) is screen
