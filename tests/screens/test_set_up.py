"""The set-up screen by its keys and its texts."""

import os

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

from itertools import combinations

import pygame
import pytest

from tests.screens.desk import Page
from tests.screens.fitting import unfit
from tests.screens.set_up_desk import (
    MOMENTS,
    SetUpDesk,
    before_click,
    begun,
    finished,
    in_bend,
    in_strings,
    without_sound,
)
from trainer.playing.calibration.guide import StepName
from trainer.playing.calibration.latency import LatencyStep
from trainer.screens.keys import KeysScreen
from trainer.screens.screen import Command
from trainer.screens.set_up import SetUpScreen
from trainer.tablature.glyphs import Rect

SIZES = ((1920, 1080), (1280, 720), (1024, 576))


def words(screen: SetUpScreen) -> str:
    return " ".join(text for text, _ in screen.texts((1920, 1080)))


@pytest.fixture(scope="module")
def desks() -> dict[str, SetUpDesk]:
    pygame.display.init()
    return {name: make() for name, make in MOMENTS.items()}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", MOMENTS)
def test_no_text_overlaps_another_or_leaves_the_picture(
    name: str, size: tuple[int, int], desks: dict[str, SetUpDesk]
) -> None:
    desk = desks[name]
    desk.screen.draw(pygame.display.set_mode(size), desk.now_ns)

    texts = desk.screen.texts(size)

    assert len(texts) > 8
    assert [(one, other) for (one, a), (other, b) in combinations(texts, 2) if a.overlaps(b)] == []
    assert [text for text, bounds in texts if not Rect(0, 0, *size).contains(bounds)] == []


@pytest.mark.parametrize("name", MOMENTS)
def test_texts_fit_in_the_smallest_window_and_when_they_are_largest(name: str, desks: dict[str, SetUpDesk]) -> None:
    assert unfit(desks[name].screen) == []


def test_enter_keeps_what_was_learned_and_goes_back_to_the_list() -> None:
    desk = finished()
    assert "Enter keeps this for Hut pickup; Esc changes nothing." in words(desk.screen)

    page = desk.press(Command.CHOOSE)

    (profile,) = desk.kept
    assert isinstance(page, Page)
    assert page.name == "list: Hut pickup is set up."
    assert profile.channel_of_course == (16, 15, 14, 13, 12, 11)
    assert profile.bend_range_semitones == 24
    assert profile.latency_cycles == pytest.approx(2.0, abs=0.5)


def test_escape_changes_nothing() -> None:
    desk = finished()

    page = desk.press(Command.BACK)

    assert isinstance(page, Page)
    assert desk.kept == []


def test_the_click_waits_for_enter_and_sounds_for_as_long_as_it_may_take() -> None:
    desk = before_click()
    assert "start the click" in words(desk.screen)

    desk.press(Command.CHOOSE)

    assert desk.bars == [72]
    assert isinstance(desk.guide.step, LatencyStep)
    assert not desk.guide.step.wants_click


def test_without_a_sound_it_says_why_and_enter_goes_on() -> None:
    desk = without_sound()
    assert "none can be heard. No sound: no card was found." in words(desk.screen)

    desk.press(Command.CHOOSE)

    assert desk.guide.is_finished
    assert desk.guide.profile.latency_cycles == 0
    assert "latency, left as it was" in words(desk.screen)


def test_a_step_can_be_left_out_and_begun_anew() -> None:
    desk = in_strings()
    desk.press(Command.RESTART)
    anew = desk.guide.prompt
    desk.press(Command.CHOOSE)

    assert anew == "Pluck string 6, open (E2), and let it ring."
    assert desk.guide.name is StepName.BEND


def test_another_tuning_can_be_chosen_until_a_string_is_learned() -> None:
    desk = begun()
    desk.press(Command.RIGHT)
    changed = desk.guide.tuning.name
    desk.press(Command.LEFT)
    back = desk.guide.tuning.name
    busy = in_strings()
    busy.press(Command.RIGHT)

    assert (changed, back, busy.guide.tuning.name) == ("e-flat", "standard", "standard")


def test_what_arrives_is_shown_decoded_and_by_string_once_the_strings_are_known() -> None:
    assert "channel 12 string 12 on" not in words(in_bend().screen)
    assert "channel 12 string 5 on A2" in words(in_bend().screen)


def test_f1_shows_the_keys_and_comes_back() -> None:
    desk = begun()

    page = desk.press(Command.KEYS)

    assert isinstance(page, KeysScreen)
    assert page.handle(Command.BACK) is desk.screen


def test_quitting_leaves_the_program() -> None:
    assert begun().press(Command.QUIT) is None
