"""Two ways to ask the window for the same: by a key, or by pressing the words that stand on the screen.

Whoever uses the mouse finds a place by reading, and so does this: the words are rendered as the program renders them
and looked for in a picture of the screen, so that only what can really be read can be pressed.
"""

import time
from itertools import product
from typing import Protocol

import numpy as np
import pygame
import pytest

from trainer.screens.look import colour
from trainer.screens.paint import Fonts
from trainer.tablature.glyphs import Ink, Size
from trainer.tablature.layout import unit_of

from .test_window import Window

READ_WITHIN_S = 8.0
WAIT_S = 0.12
"""Until what was asked for is done, so that words which stand on both pages are not read on the old one."""
BESIDE_PX = 3
"""So much empty ground stands on both sides of words that are not a part of others."""


class Hand(Protocol):
    """Asks for something."""

    def ask(self, key: str, words: str) -> None:
        """By the key, or by the words that stand beside its name."""
        ...

    def to_the_end_of_the_list(self) -> None:
        """Choose its last row."""
        ...


class Keyboard:
    """Keys alone."""

    def __init__(self, window: Window) -> None:
        self._window = window

    def ask(self, key: str, words: str) -> None:
        where_words_stand(self._window, words)  # as a player waits for the page
        self._window.press(key, wait_s=WAIT_S)

    def to_the_end_of_the_list(self) -> None:
        self._window.press("End", wait_s=WAIT_S)


class Mouse:
    """The mouse alone."""

    def __init__(self, window: Window) -> None:
        self._window = window

    def ask(self, key: str, words: str) -> None:  # noqa: ARG002 - the other hand uses it
        self._window.click(*where_words_stand(self._window, words), wait_s=WAIT_S)

    def to_the_end_of_the_list(self) -> None:
        self._window.scroll(120)


def where_words_stand(window: Window, words: str) -> tuple[float, float]:
    """The middle of words on the screen, once they can be read there; fails when they cannot."""
    deadline = time.monotonic() + READ_WITHIN_S
    while True:
        found = place_of(words, window.pixels())
        if found is not None:
            return found
        assert window.process.poll() is None, f"the program ended before {words!r} could be read"
        if time.monotonic() > deadline:
            window.picture("unread")
            pytest.fail(f"{words!r} cannot be read on the screen")
        time.sleep(0.02)


def place_of(words: str, seen: np.ndarray) -> tuple[float, float] | None:
    """Where words stand in a picture of the whole window; None when they do not."""
    height_px, width_px = seen.shape
    fonts = Fonts(unit_of(width_px, height_px))
    for size, ink, ground in product(
        (Size.SMALL, Size.BODY, Size.HEAD), (Ink.MUTED, Ink.INK, Ink.NOW), (Ink.GROUND, Ink.CHOSEN)
    ):
        text = fonts[size].render(words, True, colour(ink))  # noqa: FBT003 - pygame takes it by place
        patch = pygame.Surface((text.get_width() + 2 * BESIDE_PX, text.get_height()), depth=32)
        patch.fill(colour(ground))
        patch.blit(text, (BESIDE_PX, 0))
        drawn = packed(patch)
        inked = np.flatnonzero((drawn != drawn[0, 0]).any(axis=1))
        drawn = drawn[inked[0] : inked[-1] + 1]
        at = _position(drawn, seen)
        if at is not None:
            return at[0] + patch.get_width() / 2, at[1] + drawn.shape[0] / 2
    return None


def packed(picture: pygame.Surface) -> np.ndarray:
    """The colours of a picture, a number for each pixel, row by row."""
    red, green, blue = np.moveaxis(pygame.surfarray.array3d(picture).astype(np.uint32), 2, 0)
    return np.ascontiguousarray(((red << 16) | (green << 8) | blue).T)


def _position(part: np.ndarray, whole: np.ndarray) -> tuple[int, int] | None:
    """Where a picture lies in another: the row with most colours is looked for first."""
    busiest = int(np.argmax([np.unique(row).size for row in part]))
    wanted = part[busiest].tobytes()
    height, width = part.shape
    for y in range(busiest, whole.shape[0] - height + busiest + 1):
        row, x = whole[y].tobytes(), -1
        while (x := row.find(wanted, x + 1)) >= 0:
            top, left = y - busiest, x // 4
            if x % 4 == 0 and np.array_equal(whole[top : top + height, left : left + width], part):
                return left, top
    return None
