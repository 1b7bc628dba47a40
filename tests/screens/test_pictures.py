"""What every screen shows, at both sizes: nothing overlaps, nothing is cut off, nothing flashes."""

import io
from itertools import combinations

import numpy as np
import pygame
import pytest

from trainer.screens.practice import PracticeScreen
from trainer.tablature.glyphs import Rect

from .desk import FRAME_NS
from .fitting import unfit
from .pictures import SITTINGS, SIZES, STANDING, Pictured, playing, png_of

NAMES = (*STANDING, *SITTINGS)
FLASH_LUMINANCE = 0.1
"""WCAG 2.2, general flash: opposing changes of at least 10 % of the maximum relative luminance ..."""
FLASH_AREA_SHARE = 21_824 / (1024 * 768)
"""... together in over a quarter of any 341 x 256 pixels of a 1024 x 768 picture (WCAG 2.2, understanding 2.3.1)."""
LEVELS = np.arange(256) / 255
LINEAR = np.where(LEVELS <= 0.04045, LEVELS / 12.92, ((LEVELS + 0.055) / 1.055) ** 2.4).astype(np.float32)
"""The linear value of each level of a channel, WCAG 2.2, relative luminance."""


@pytest.fixture(scope="module")
def pictured() -> dict[str, tuple[Pictured, int]]:
    pygame.display.init()
    standing: dict[str, tuple[Pictured, int]] = {name: (make(), 0) for name, make in STANDING.items()}
    for name, sit in SITTINGS.items():
        screen, desk = sit()
        standing[name] = (screen, desk.now_ns)
    return standing


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", NAMES)
def test_no_text_overlaps_another_or_leaves_the_picture(
    name: str, size: tuple[int, int], pictured: dict[str, tuple[Pictured, int]]
) -> None:
    screen, now_ns = pictured[name]
    screen.draw(pygame.display.set_mode(size), now_ns)

    texts = screen.texts(size)

    assert len(texts) >= 20
    assert [(one, other) for (one, a), (other, b) in combinations(texts, 2) if a.overlaps(b)] == []
    assert [text for text, bounds in texts if not Rect(0, 0, *size).contains(bounds)] == []


@pytest.mark.parametrize("name", NAMES)
def test_texts_fit_in_the_smallest_window_and_when_they_are_largest(
    name: str, pictured: dict[str, tuple[Pictured, int]]
) -> None:
    assert unfit(pictured[name][0]) == []


@pytest.mark.parametrize("size", [(640, 400), (1024, 768), (2560, 1440), (900, 1200)])
@pytest.mark.parametrize("name", ["home", "keys", "result", "practice", "practice-paused"])
def test_a_window_of_any_size_is_painted(
    name: str, size: tuple[int, int], pictured: dict[str, tuple[Pictured, int]]
) -> None:
    screen, now_ns = pictured[name]
    surface = pygame.display.set_mode(size)

    screen.draw(surface, now_ns)

    assert len({*map(tuple, pygame.surfarray.array3d(surface)[::5, ::3].reshape(-1, 3).tolist())}) > 20


def test_nothing_flashes_from_the_count_in_on() -> None:
    surface = pygame.display.set_mode((1280, 720))
    screen, desk = playing("short-blasts", 1.0)
    before = luminances(screen, surface, desk.now_ns)

    for _ in range(90):
        assert desk.play(screen, FRAME_NS / 1e9) is screen
        after = luminances(screen, surface, desk.now_ns)
        for change in (after - before, before - after):
            assert (change >= FLASH_LUMINANCE).mean() < FLASH_AREA_SHARE
        before = after


def luminances(screen: PracticeScreen, surface: pygame.Surface, now_ns: int) -> np.ndarray:
    """The relative luminance of every pixel, WCAG 2.2."""
    screen.draw(surface, now_ns)
    red, green, blue = (LINEAR[channel] for channel in np.moveaxis(pygame.surfarray.array3d(surface), 2, 0))
    return np.asarray(0.2126 * red + 0.7152 * green + 0.0722 * blue)


def test_a_picture_file_shows_what_was_painted() -> None:
    surface = pygame.display.set_mode((1280, 720))
    STANDING["keys"]().draw(surface, 0)

    read = pygame.image.load(io.BytesIO(png_of(surface)), "keys.png")

    painted, kept = (pygame.surfarray.array3d(one).astype(int) for one in (surface, read))
    off = np.abs(painted - kept).max(axis=2)
    assert (off > 8).mean() < 0.001
    assert off.mean() < 0.1
