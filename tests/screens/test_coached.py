"""Results with a coach, drills, ways to ask for tempi: what they do, and that nothing in them overlaps or is cut."""

from itertools import combinations

import pygame
import pytest

from trainer.coaching.ways import Way
from trainer.screens.screen import Command, Pressed
from trainer.tablature.glyphs import Rect

from .coached import COACHED, EFFECT, TROUBLE, coached, drilled, late_outcome, result, ways
from .desk import Page
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


def test_the_coach_names_the_two_notes_with_interval_spread_and_passes() -> None:
    words = words_of(coached())

    assert "From note 8 to 9 (string 2 fret 12 to string 2 fret 10, bar 2) you come" in words
    assert "over 20 passes." in words
    assert "8 → 9 string 2 fret 12 → string 2 fret 10 · +" in " ".join(words.split())
    assert "spread" in words


def test_the_takes_own_figures_stay_beside_the_coach_and_tab_shows_the_passes() -> None:
    screen = coached()

    assert "640 of 640 notes as written" in words_of(screen)
    assert "On the neck" in words_of(screen)
    screen.handle(Command.NEXT_CHOICE)
    assert "Pass by pass" in words_of(screen)
    assert "32/32 clean" in words_of(screen)


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
