"""The look: every colour and every text size, by role, and which look is worn.

One ink for what is written; one colour each for now, as written, slip and missed, always with a shape of its own, so
that nothing depends on telling colours apart. The colours that judge are of the palette of Okabe and Ito for readers
with any colour vision, darkened where the ground is light. Contrasts against the ground hold WCAG 2.2: text 4.5:1
(1.4.3) and in the theme of high contrast 7:1 (1.4.6), marks 3:1 (1.4.11); FAINT is for what may vanish, such as strings
that a line does not use. Nothing on any screen goes on and off by itself, so nothing flashes (2.3.1).

The look is a property of the window, like its size: there is one at a time, and whoever keeps what was rendered keeps
it by `worn()` as well as by size.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from trainer.shipped import FONTS
from trainer.tablature.glyphs import Ink, Size

Rgb = tuple[int, int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Theme:
    """What each ink looks like."""

    name: str
    """How the player chooses it."""
    colours: Mapping[Ink, Rgb]
    light_share: float
    """A light mark is this much nearer to the ground: it may still be revised."""


DARK = Theme(
    "dark",
    {
        Ink.GROUND: (20, 21, 25),
        Ink.CHOSEN: (31, 33, 39),
        Ink.INK: (236, 236, 230),
        Ink.MUTED: (152, 154, 160),
        Ink.LINE: (108, 110, 118),
        Ink.FAINT: (58, 60, 67),
        Ink.BAND: (88, 100, 122),
        Ink.NOW: (240, 228, 66),
        Ink.AS_WRITTEN: (86, 180, 233),
        Ink.SLIP: (230, 159, 0),
        Ink.MISSED: (240, 110, 70),
        Ink.GHOST: (0, 170, 126),
    },
    light_share=0.3,
)
LIGHT = Theme(
    "light",
    {
        Ink.GROUND: (250, 249, 245),
        Ink.CHOSEN: (232, 231, 225),
        Ink.INK: (22, 23, 26),
        Ink.MUTED: (88, 90, 96),
        Ink.LINE: (126, 128, 134),
        Ink.FAINT: (205, 205, 202),
        Ink.BAND: (126, 138, 160),
        Ink.NOW: (120, 44, 120),
        Ink.AS_WRITTEN: (0, 96, 160),
        Ink.SLIP: (130, 76, 0),
        Ink.MISSED: (186, 44, 12),
        Ink.GHOST: (0, 104, 76),
    },
    light_share=0.15,
)
CONTRAST = Theme(
    "high contrast",
    {
        Ink.GROUND: (0, 0, 0),
        Ink.CHOSEN: (38, 38, 44),
        Ink.INK: (255, 255, 255),
        Ink.MUTED: (205, 205, 205),
        Ink.LINE: (150, 150, 150),
        Ink.FAINT: (90, 90, 90),
        Ink.BAND: (120, 135, 165),
        Ink.NOW: (255, 244, 60),
        Ink.AS_WRITTEN: (120, 205, 255),
        Ink.SLIP: (255, 186, 40),
        Ink.MISSED: (255, 150, 125),
        Ink.GHOST: (60, 214, 168),
    },
    light_share=0.15,
)
THEMES = (DARK, LIGHT, CONTRAST)

TEXT_PERCENTS = (85, 100, 115, 130)
"""The text sizes that can be chosen, beside the usual one."""


@dataclass(frozen=True, slots=True)
class Look:
    """A theme, a size of text, and for which hand necks are drawn."""

    theme: Theme = DARK
    text_percent: int = 100
    is_left_handed: bool = False

    def with_next_theme(self) -> "Look":
        """The theme after this one, round and round."""
        return replace(self, theme=THEMES[(THEMES.index(self.theme) + 1) % len(THEMES)])

    def with_text(self, step: int) -> "Look":
        """Larger or smaller text, as far as it goes."""
        place = TEXT_PERCENTS.index(self.text_percent) + step
        return replace(self, text_percent=TEXT_PERCENTS[max(0, min(len(TEXT_PERCENTS) - 1, place))])

    def for_other_hand(self) -> "Look":
        """Necks the other way round."""
        return replace(self, is_left_handed=not self.is_left_handed)


def look_of(theme_name: str, text_percent: int, *, is_left_handed: bool = False) -> Look:
    """The look with these settings; the usual one in place of what is not known."""
    theme = next((theme for theme in THEMES if theme.name == theme_name), DARK)
    return Look(theme, text_percent if text_percent in TEXT_PERCENTS else 100, is_left_handed)


_worn = Look()


def worn() -> Look:
    """The look of the window."""
    return _worn


def wear(look: Look) -> None:
    """Change the look of the window; every screen paints itself anew."""
    global _worn  # noqa: PLW0603 - see the head of this file
    _worn = look


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
    theme = _worn.theme
    return blend(theme.colours[ink], theme.colours[Ink.GROUND], theme.light_share) if light else theme.colours[ink]


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
    return max(SMALLEST_FONT_PX, round(FONT_PX[size] * unit * _worn.text_percent / 100))
