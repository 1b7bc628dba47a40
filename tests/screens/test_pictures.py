"""What every screen shows, at both sizes: nothing overlaps, nothing is cut off."""

import io
from itertools import combinations

import numpy as np
import pygame
import pytest

from trainer.tablature.glyphs import Rect

from .fitting import unfit
from .pictures import SITTINGS, SIZES, STANDING, Pictured, png_of
from .references import CHIEF, are_alike, differences, picture_of, reference

NAMES = (*STANDING, *SITTINGS)


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


@pytest.mark.parametrize("name", CHIEF)
def test_the_chief_screens_look_as_they_did(name: str, pictured: dict[str, tuple[Pictured, int]]) -> None:
    now, before = picture_of(*pictured[name]), reference(name)

    assert are_alike(now, before), (
        f"{name} differs by {differences(now, before)} levels on the whole and in a block; "
        "if that is meant: python -m tests.screens.references, and look at it"
    )


@pytest.mark.parametrize("size", [(640, 400), (1024, 768), (2560, 1440), (900, 1200)])
@pytest.mark.parametrize("name", ["home", "keys", "result", "practice", "practice-paused"])
def test_a_window_of_any_size_is_painted(
    name: str, size: tuple[int, int], pictured: dict[str, tuple[Pictured, int]]
) -> None:
    screen, now_ns = pictured[name]
    surface = pygame.display.set_mode(size)

    screen.draw(surface, now_ns)

    assert len({*map(tuple, pygame.surfarray.array3d(surface)[::5, ::3].reshape(-1, 3).tolist())}) > 20


def test_a_picture_file_shows_what_was_painted() -> None:
    surface = pygame.display.set_mode((1280, 720))
    STANDING["keys"]().draw(surface, 0)

    read = pygame.image.load(io.BytesIO(png_of(surface)), "keys.png")

    painted, kept = (pygame.surfarray.array3d(one).astype(int) for one in (surface, read))
    off = np.abs(painted - kept).max(axis=2)
    assert (off > 8).mean() < 0.001
    assert off.mean() < 0.1
