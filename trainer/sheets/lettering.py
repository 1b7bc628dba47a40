"""How wide text is in the fonts that sheets are set in, read from the fonts themselves.

One measure for the layout and for both kinds of file: what fits here fits there.
"""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from trainer.shipped import FONTS

CAP_SHARE = 0.729
"""The height of DejaVu Sans capitals and figures over the font size."""

DESCENT_SHARE = 0.24
"""How far letters reach below the baseline, over the font size."""

_UNITS = 1000


def font_path(*, bold: bool) -> Path:
    """The file of a font."""
    return FONTS / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")


def width_pt(text: str, size_pt: float, *, bold: bool = False) -> float:
    """The width of a text."""
    widths, default = _widths(bold=bold)
    return size_pt / _UNITS * sum(widths.get(ord(sign), default) for sign in text)


def wrapped(text: str, size_pt: float, room_pt: float, *, bold: bool = False) -> tuple[str, ...]:
    """The text in lines that fit, broken at spaces and, in a word that does not fit alone, anywhere."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if width_pt(longer, size_pt, bold=bold) <= room_pt:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width_pt(line, size_pt, bold=bold) > room_pt and len(line) > 1:
            fitting = next(
                n for n in range(len(line) - 1, 0, -1) if n == 1 or _fits(line[:n], size_pt, room_pt, bold=bold)
            )
            lines.append(line[:fitting])
            line = line[fitting:]
    return (*lines, line) if line else tuple(lines)


def elided(text: str, size_pt: float, room_pt: float, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it does not fit."""
    if width_pt(text, size_pt, bold=bold) <= room_pt:
        return text
    kept = next((n for n in range(len(text), 0, -1) if _fits(text[:n] + "…", size_pt, room_pt, bold=bold)), 0)
    return text[:kept].rstrip() + "…"


def _fits(text: str, size_pt: float, room_pt: float, *, bold: bool) -> bool:
    return width_pt(text, size_pt, bold=bold) <= room_pt


@cache
def _widths(*, bold: bool) -> tuple[Mapping[int, float], float]:
    """Advance widths by code point in thousandths of the size, and the width of the sign for a missing one."""
    from reportlab.pdfbase.ttfonts import TTFontFile

    font = TTFontFile(str(font_path(bold=bold)))
    return font.charWidths, font.defaultWidth
