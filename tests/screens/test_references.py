"""What counts as another picture: a word more or less, and not how edges are drawn."""

import numpy as np
import pygame
import pytest

from trainer.screens.look import colour
from trainer.tablature.glyphs import Ink

from .pictures import home
from .references import SIZE, are_alike, blocks


@pytest.fixture
def list_of_exercises() -> pygame.Surface:
    surface = pygame.Surface(SIZE, depth=32)
    home("quarry-steps").draw(surface, 0)
    return surface


def test_letters_with_softer_edges_are_alike(list_of_exercises: pygame.Surface) -> None:
    pixels = pygame.surfarray.array3d(list_of_exercises).astype(np.float64)
    for axis in (0, 1):
        pixels = (np.roll(pixels, 1, axis) + 2 * pixels + np.roll(pixels, -1, axis)) / 4
    soft = pygame.surfarray.make_surface(np.rint(pixels).astype(np.uint8))

    assert are_alike(blocks(list_of_exercises), blocks(soft))


def test_a_word_that_is_missing_moved_or_in_another_colour_is_seen(list_of_exercises: pygame.Surface) -> None:
    whole = blocks(list_of_exercises)
    word = dict(home("quarry-steps").texts(SIZE))["vary"]
    area = pygame.Rect(word.left_px, word.top_px - 4, word.right_px - word.left_px, word.bottom_px - word.top_px + 10)
    seen = {}
    for name in ("missing", "moved", "other colour"):
        other = list_of_exercises.copy()
        letters = other.subsurface(area).copy()
        other.fill(colour(Ink.GROUND), area)
        if name == "moved":
            other.blit(letters, area.move(0, 12))
        if name == "other colour":
            letters.fill((0, 0, 90), special_flags=pygame.BLEND_RGB_SUB)
            other.blit(letters, area)
        seen[name] = are_alike(whole, blocks(other))

    assert seen == {"missing": False, "moved": False, "other colour": False}


def test_a_picture_that_is_moved_by_two_pixels_is_seen(list_of_exercises: pygame.Surface) -> None:
    moved = pygame.Surface(SIZE, depth=32)
    moved.blit(list_of_exercises, (0, 2))

    assert not are_alike(blocks(list_of_exercises), blocks(moved))
