"""How the pictures look: on paper and on the screen, and in grey as well.

Nothing depends on colour: series differ in marker and line, bars in hatching, and their colours in luminance, so that a
photocopy still tells them apart. The colours are of the palette of Okabe and Ito; luminance and contrast are those of
WCAG 2.2.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

MARKERS = ("o", "s", "^", "D")
"""One for each family of lines."""
HATCHES = ("", "////")
MOST_FAMILIES = len(MARKERS)


@dataclass(frozen=True, slots=True)
class Look:
    """Colours by role, as #rrggbb, and the size of letters in points."""

    ground: str
    ink: str
    muted: str
    faint: str
    series: tuple[str, ...]
    """From one luminance to the next; as many as there are markers."""
    fill: str
    """Of bars and histograms."""
    other_fill: str
    """Of bars beside them."""
    shades: tuple[str, str]
    """The two ends of a scale of shades: nothing, and all."""
    font_pt: float = 15.0


PAPER = Look(
    ground="#ffffff",
    ink="#000000",
    muted="#4a4a4a",
    faint="#cfcfcf",
    series=("#000000", "#004b80", "#b34700", "#3a95c9"),
    fill="#56b4e9",
    other_fill="#00496f",
    shades=("#ffffff", "#1c1c1c"),
    font_pt=9.0,
)
DARK = Look(
    ground="#141519",
    ink="#ecece6",
    muted="#989aa0",
    faint="#3a3c43",
    series=("#f0e442", "#56b4e9", "#d55e00", "#99466f"),
    fill="#56b4e9",
    other_fill="#fbf6c0",
    shades=("#202127", "#f4f4ee"),
)


LIGHT = replace(PAPER, ground="#faf9f5", shades=("#faf9f5", "#1c1c1c"), font_pt=15.0)
CONTRAST = replace(
    DARK, ground="#000000", ink="#ffffff", muted="#cdcdcd", faint="#5a5a5a", shades=("#101014", "#ffffff")
)
ON_SCREEN: Mapping[str, Look] = {"dark": DARK, "light": LIGHT, "high contrast": CONTRAST}
"""By the name of the window's theme."""


def luminance(colour: str) -> float:
    """The relative luminance of a colour, 0 to 1 (WCAG 2.2)."""
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours, 1 to 21 (WCAG 2.2)."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def between(shades: tuple[str, str], share: float) -> str:
    """The shade at a share of the way from the first to the second."""
    one, other = ([int(shade[place : place + 2], 16) for place in (1, 3, 5)] for shade in shades)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in zip(one, other, strict=True))
