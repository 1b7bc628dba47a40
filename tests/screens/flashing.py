"""How much of a picture flashes, by the definition of WCAG 2.2 (success criterion 2.3.1 and its definitions).

A flash is a pair of opposing changes in relative luminance of at least 10 % of the greatest one, where the darker of
the two is below 0.8; or a pair that involves a saturated red. No more than three are allowed in any second, unless
what flashes together is at most a quarter of any 341 x 256 pixels of a picture of 1024 x 768.

Conventions: frames are arrays of linear red, green and blue, 0 to 1, row by row.
"""

from collections import deque
from dataclasses import dataclass, field

import numpy as np
import pygame

STEP, DARKER_BELOW = 0.1, 0.8
RED_STEP, SATURATED = 20 / 320, 0.8
"""A red is saturated from 0.8 of red + green + blue on; (red - green - blue) x 320 changes by more than 20."""
MOST_FLASHES, SECOND_NS = 3, 1_000_000_000
AREA_SHARE, FIELD = 0.25, 3
"""A field of ten degrees is a third of the picture each way."""
LEVELS = np.arange(256) / 255
LINEAR = np.where(LEVELS <= 0.04045, LEVELS / 12.92, ((LEVELS + 0.055) / 1.055) ** 2.4).astype(np.float32)
"""The linear value of each level of a channel (WCAG 2.2, relative luminance)."""
WEIGHTS = np.array((0.2126, 0.7152, 0.0722), dtype=np.float32)


def linear(surface: pygame.Surface, every: int = 1) -> np.ndarray:
    """A frame of what is painted, of each `every`-th pixel both ways."""
    return LINEAR[pygame.surfarray.pixels3d(surface)[::every, ::every].swapaxes(0, 1)]


@dataclass(slots=True)
class _Changes:
    """Opposing changes of one quantity, pixel by pixel."""

    step: float
    darker_below: float
    high: np.ndarray | None = None
    low: np.ndarray | None = None
    towards: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=np.int8))
    """Which way the last change went."""
    seen: deque[tuple[int, np.ndarray]] = field(default_factory=deque)
    count: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=np.int16))

    def feed(self, now: np.ndarray, now_ns: int) -> np.ndarray:
        """How many flashes each pixel has had within a second."""
        if self.high is None or self.low is None:
            self.high, self.low = now.copy(), now.copy()
            self.towards, self.count = np.zeros(now.shape, dtype=np.int8), np.zeros(now.shape, dtype=np.int16)
            return self.count
        np.maximum(self.high, now, out=self.high)
        np.minimum(self.low, now, out=self.low)
        falls = (self.towards >= 0) & (self.high - now >= self.step) & (now < self.darker_below)
        rises = (self.towards <= 0) & (now - self.low >= self.step) & (self.low < self.darker_below)
        changed = falls | rises
        self.towards[falls], self.towards[rises] = -1, 1
        self.high[changed] = now[changed]
        self.low[changed] = now[changed]
        self.seen.append((now_ns, changed))
        self.count += changed
        while self.seen and now_ns - self.seen[0][0] >= SECOND_NS:
            self.count -= self.seen.popleft()[1]
        return self.count // 2


class FlashMeter:
    """Told of frame after frame; `worst_share` is the most of any field that flashed too often."""

    def __init__(self) -> None:
        self.worst_share = 0.0
        self._general = _Changes(STEP, DARKER_BELOW)
        self._red = _Changes(RED_STEP, float("inf"))

    def feed(self, frame: np.ndarray, now_ns: int) -> None:
        """One more frame."""
        total = frame.sum(axis=2)
        red = 2 * frame[..., 0] - total
        red[(frame[..., 0] < SATURATED * total) | (red < 0)] = 0
        for changes, quantity in ((self._general, frame @ WEIGHTS), (self._red, red)):
            too_often = changes.feed(quantity, now_ns) > MOST_FLASHES
            if too_often.any():
                self.worst_share = max(self.worst_share, _worst_field(too_often))

    @property
    def is_passed(self) -> bool:
        """Whether no more than is allowed flashed."""
        return self.worst_share <= AREA_SHARE


def _worst_field(mask: np.ndarray) -> float:
    """The largest share of any field, by sums over all of them at once."""
    height, width = mask.shape[0] // FIELD, mask.shape[1] // FIELD
    sums = np.pad(mask.astype(np.int32).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    fields = sums[height:, width:] - sums[:-height, width:] - sums[height:, :-width] + sums[:-height, :-width]
    return float(fields.max()) / (height * width)
