"""What does not fit: texts that overlap another or leave the picture, in small windows and with large text."""

from itertools import combinations

from trainer.screens.look import Look, wear, worn
from trainer.tablature.glyphs import Rect

from .pictures import Pictured

SMALL_OR_LARGE = (((1024, 640), 100), ((1024, 640), 130), ((1280, 720), 130))
"""The smallest window that is promised, and the largest text; sizes in pixels, text in percent."""


def unfit(screen: Pictured) -> list[tuple[tuple[int, int], int, str, str]]:
    """Size, percent, and the two texts that overlap, or the one that is cut off."""
    before = worn()
    found = []
    try:
        for size, percent in SMALL_OR_LARGE:
            wear(Look(before.theme, percent))
            texts = [(text, area) for text, area in screen.texts(size) if text]
            pairs = combinations(texts, 2)
            found += [(size, percent, one, other) for (one, a), (other, b) in pairs if a.overlaps(b)]
            found += [(size, percent, text, "") for text, area in texts if not Rect(0, 0, *size).contains(area)]
    finally:
        wear(before)
    return found
