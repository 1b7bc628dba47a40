"""How the chief screens looked when they were last looked at: `python -m tests.screens.references` renders them anew.

A reference is the mean colour of each block of 8 x 8 pixels of a picture of 1280 x 720. Another version of the library
that draws letters changes the edges of letters, and hardly the mean of a block; a word that is missing, moved or in
another colour changes whole blocks. After a change that is meant, render, look at the pictures, and keep them.
"""

from pathlib import Path

import numpy as np
import pygame

from .pictures import SITTINGS, STANDING, Pictured

FOLDER = Path(__file__).parent / "reference_pictures"
SIZE, BLOCK = (1280, 720), 8
CHIEF = ("welcome", "home", "practice-verdicts", "practice-paused", "result", "build", "contest", "tour")
MOST_MEAN, MOST_OF_A_BLOCK = 1.0, 28.0
"""Levels of 0 to 255 by which pictures may differ on the whole and in any block, in the channel that differs most; of
our own choice, no source. On the list blurred letters come to 0.6 and 13, a missing word of four letters to 37 in a
block, all of it moved by two pixels to 3.3 on the whole."""


def blocks(surface: pygame.Surface) -> np.ndarray:
    """The mean colour of each block, row by row."""
    pixels = pygame.surfarray.array3d(surface).swapaxes(0, 1).astype(np.float64)
    height, width = pixels.shape[0] // BLOCK, pixels.shape[1] // BLOCK
    return np.asarray(pixels.reshape(height, BLOCK, width, BLOCK, 3).mean(axis=(1, 3)))


def picture_of(screen: Pictured, now_ns: int) -> np.ndarray:
    """The blocks of a screen."""
    surface = pygame.Surface(SIZE, depth=32)
    screen.draw(surface, now_ns)
    return blocks(surface)


def reference(name: str) -> np.ndarray:
    """The blocks that were kept."""
    kept = pygame.image.load(FOLDER / f"{name}.png")
    return np.asarray(pygame.surfarray.array3d(kept).swapaxes(0, 1).astype(np.float64))


def differences(one: np.ndarray, other: np.ndarray) -> tuple[float, float]:
    """By how many levels two pictures differ on the whole, and in the block in which they differ most."""
    levels = np.abs(one - other).max(axis=2)
    return float(levels.mean()), float(levels.max())


def are_alike(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether nothing but edges differs."""
    mean, most = differences(one, other)
    return one.shape == other.shape and mean <= MOST_MEAN and most <= MOST_OF_A_BLOCK


def main() -> None:
    """Render all of them."""
    FOLDER.mkdir(exist_ok=True)
    for name in CHIEF:
        if name in STANDING:
            screen, now_ns = STANDING[name](), 0
        else:
            sat, desk = SITTINGS[name]()
            screen, now_ns = sat, desk.now_ns
        means = np.rint(picture_of(screen, now_ns)).astype(np.uint8)
        pygame.image.save(pygame.surfarray.make_surface(means.swapaxes(0, 1)), FOLDER / f"{name}.png")


if __name__ == "__main__":
    main()
