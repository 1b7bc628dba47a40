"""The colours of every theme against WCAG 2.2, whose formulas are computed here from its text.

Sources: WCAG 2.2 (W3C Recommendation, 5 October 2023), definitions of relative luminance and contrast ratio; success
criteria 1.4.3 (text 4.5:1), 1.4.6 (enhanced, 7:1) and 1.4.11 (graphics 3:1). Check values of the formula: black on
white is 21:1 by definition; #767676 on white is 4.54:1, the known edge of 4.5:1 (common practice).
"""

from collections.abc import Iterator

import pytest

from trainer.screens.look import CONTRAST, THEMES, Look, Rgb, Theme, colour, wear, worn
from trainer.tablature.glyphs import Ink

TEXT_INKS = (Ink.INK, Ink.MUTED, Ink.NOW, Ink.AS_WRITTEN, Ink.SLIP, Ink.MISSED, Ink.GHOST)
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


@pytest.fixture(params=THEMES, ids=[theme.name for theme in THEMES])
def theme(request: pytest.FixtureRequest) -> Iterator[Theme]:
    """Each theme in turn, worn."""
    before = worn()
    wear(Look(request.param))
    yield request.param
    wear(before)


def least_for_text(theme: Theme) -> float:
    return 7 if theme is CONTRAST else 4.5


@pytest.mark.parametrize("ink", TEXT_INKS)
def test_text_is_legible_on_the_ground(theme: Theme, ink: Ink) -> None:
    assert contrast(colour(ink), colour(Ink.GROUND)) >= least_for_text(theme)


def test_figures_that_may_still_be_revised_as_well(theme: Theme) -> None:
    assert contrast(colour(Ink.SLIP, light=True), colour(Ink.GROUND)) >= least_for_text(theme)


@pytest.mark.parametrize("ink", [Ink.INK, Ink.MUTED])
def test_text_in_the_chosen_row_as_well(theme: Theme, ink: Ink) -> None:
    assert contrast(colour(ink), colour(Ink.CHOSEN)) >= least_for_text(theme)


@pytest.mark.parametrize("ink", [Ink.INK, Ink.NOW])
def test_figures_on_filled_marks_as_well(theme: Theme, ink: Ink) -> None:
    assert contrast(colour(Ink.GROUND), colour(ink)) >= least_for_text(theme)


@pytest.mark.usefixtures("theme")
@pytest.mark.parametrize("ink", MARK_INKS)
def test_marks_have_a_contrast_of_three(ink: Ink) -> None:
    assert contrast(colour(ink), colour(Ink.GROUND)) >= 3


@pytest.mark.usefixtures("theme")
@pytest.mark.parametrize("ink", JUDGING_INKS)
def test_marks_that_may_still_be_revised_are_seen_too(ink: Ink) -> None:
    assert contrast(colour(ink, light=True), colour(Ink.GROUND)) >= 3
