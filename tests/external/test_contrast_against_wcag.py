"""The colours against WCAG 2.2, whose formulas are computed here from its text.

Sources: WCAG 2.2 (W3C Recommendation, 5 October 2023), definitions of relative luminance and contrast ratio; success
criteria 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1). Check values of the formula: black on white is 21:1 by
definition; #767676 on white is 4.54:1, the known edge of 4.5:1 (common practice).
"""

import pytest

from trainer.screens.look import COLOURS, SHADE, Rgb, colour
from trainer.tablature.glyphs import Ink

TEXT_INKS = (Ink.INK, Ink.MUTED, Ink.NOW, Ink.AS_WRITTEN, Ink.SLIP, Ink.MISSED)
MARK_INKS = (*TEXT_INKS, Ink.LINE, Ink.BAND)
JUDGING_INKS = (Ink.AS_WRITTEN, Ink.SLIP, Ink.MISSED)


def luminance(rgb: Rgb) -> float:
    """Relative luminance."""
    levels = [level / 255 for level in rgb]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in levels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Rgb, other: Rgb) -> float:
    """Contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_published_values() -> None:
    assert contrast((255, 255, 255), (0, 0, 0)) == pytest.approx(21)
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("ink", TEXT_INKS)
def test_text_has_a_contrast_of_four_and_a_half(ink: Ink) -> None:
    assert contrast(COLOURS[ink], COLOURS[Ink.GROUND]) >= 4.5


@pytest.mark.parametrize("ink", [Ink.INK, Ink.MUTED])
def test_text_in_the_selected_row_as_well(ink: Ink) -> None:
    assert contrast(COLOURS[ink], SHADE) >= 4.5


@pytest.mark.parametrize("ink", [Ink.INK, Ink.NOW])
def test_figures_on_filled_marks_as_well(ink: Ink) -> None:
    assert contrast(COLOURS[Ink.GROUND], COLOURS[ink]) >= 4.5


@pytest.mark.parametrize("ink", MARK_INKS)
def test_marks_have_a_contrast_of_three(ink: Ink) -> None:
    assert contrast(COLOURS[ink], COLOURS[Ink.GROUND]) >= 3


def test_figures_that_may_still_be_revised_are_legible_too() -> None:
    assert contrast(colour(Ink.SLIP, light=True), COLOURS[Ink.GROUND]) >= 4.5


@pytest.mark.parametrize("ink", JUDGING_INKS)
def test_marks_that_may_still_be_revised_are_seen_too(ink: Ink) -> None:
    assert contrast(colour(ink, light=True), COLOURS[Ink.GROUND]) >= 3
