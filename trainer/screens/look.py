"""The look: every colour and every text size, by role.

One ink for what is written; one colour each for now, as written, slip and missed, always with a shape of its own, so
that nothing depends on telling colours apart. The colours that judge are of the palette of Okabe and Ito for readers
with any colour vision. Contrasts against the ground hold WCAG 2.2: text 4.5:1 (1.4.3), marks 3:1 (1.4.11); FAINT is for
what may vanish, such as strings that a line does not use. Nothing on any screen goes on and off by itself, so nothing
flashes (WCAG 2.2, 2.3.1).
"""

from pathlib import Path

from trainer.shipped import FONTS
from trainer.tablature.glyphs import Ink, Size

Rgb = tuple[int, int, int]

COLOURS: dict[Ink, Rgb] = {
    Ink.GROUND: (20, 21, 25),
    Ink.INK: (236, 236, 230),
    Ink.MUTED: (152, 154, 160),
    Ink.LINE: (108, 110, 118),
    Ink.FAINT: (58, 60, 67),
    Ink.BAND: (88, 100, 122),
    Ink.NOW: (240, 228, 66),
    Ink.AS_WRITTEN: (86, 180, 233),
    Ink.SLIP: (230, 159, 0),
    Ink.MISSED: (240, 110, 70),
}
"""What each ink looks like."""

LIGHT_SHARE = 0.3
"""A light mark is this much nearer to the ground: it may still be revised."""

SHADE: Rgb = (31, 33, 39)
"""The ground of what is selected."""

FONT_PX: dict[Size, int] = {
    Size.TITLE: 42,
    Size.HEAD: 30,
    Size.BODY: 25,
    Size.SMALL: 21,
    Size.FRET: 36,
    Size.COUNT_IN: 84,
}
"""The height of each text size at 1920x1080."""

BOLD = frozenset({Size.TITLE, Size.FRET})
"""The sizes that are set in bold."""

SMALLEST_FONT_PX = 13
"""No text is set smaller, whatever the window's size."""

CAP_SHARE = 0.729
"""The height of DejaVu Sans capitals and figures over its font size."""


def colour(ink: Ink, *, light: bool = False) -> Rgb:
    """The colour of an ink, nearer to the ground when light."""
    return blend(COLOURS[ink], COLOURS[Ink.GROUND], LIGHT_SHARE) if light else COLOURS[ink]


def blend(one: Rgb, other: Rgb, share: float) -> Rgb:
    """A colour on the way from one to another."""
    mixed = [round(a + (b - a) * share) for a, b in zip(one, other, strict=True)]
    return mixed[0], mixed[1], mixed[2]


def font_file(size: Size) -> Path:
    """The font of a text size; it travels with the program because it has sharp, flat and note signs."""
    name = "DejaVuSans-Bold.ttf" if size in BOLD else "DejaVuSans.ttf"
    return FONTS / name


def font_px(size: Size, unit: float) -> int:
    """The font size of a text size in a picture of this scale."""
    return max(SMALLEST_FONT_PX, round(FONT_PX[size] * unit))
