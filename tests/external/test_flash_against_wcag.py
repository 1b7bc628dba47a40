"""The measure of flashes against its definition.

Source: W3C, Web Content Accessibility Guidelines 2.2, success criterion 2.3.1 and the definitions of "general flash and
red flash thresholds" and "relative luminance"; the area is that of the note there: 341 x 256 pixels of 1024 x 768.
"""

import numpy as np
import pytest

from tests.screens.flashing import FlashMeter

FRAMES_A_SECOND = 60
BLACK, WHITE, DARK_RED = (0.0, 0.0, 0.0), (1.0, 1.0, 1.0), (0.15, 0.0, 0.0)
Colour = tuple[float, float, float]


def is_passed(one: Colour, other: Colour, hertz: float, *, share: float = 1.0, seconds: float = 2.5) -> bool:
    """A picture of 96 x 72 whose upper left field flickers over a share of its area, on black."""
    meter = FlashMeter()
    rows = round(24 * share)
    for number in range(round(seconds * FRAMES_A_SECOND)):
        frame = np.zeros((72, 96, 3), dtype=np.float32)
        frame[:] = one
        if int(2 * hertz * number / FRAMES_A_SECOND) % 2:
            frame[:rows, :32] = other
        meter.feed(frame, round(number * 1e9 / FRAMES_A_SECOND))
    return meter.is_passed


@pytest.mark.parametrize(("hertz", "passes"), [(1, True), (2, True), (3, True), (4.5, False), (10, False), (30, False)])
def test_three_flashes_a_second_pass_and_more_do_not(hertz: float, *, passes: bool) -> None:
    assert is_passed(BLACK, WHITE, hertz) is passes


@pytest.mark.parametrize(("share", "passes"), [(0.20, True), (0.25, True), (0.30, False), (1.0, False)])
def test_a_quarter_of_a_field_of_ten_degrees_may_flash(share: float, *, passes: bool) -> None:
    assert is_passed(BLACK, WHITE, 10, share=share) is passes


@pytest.mark.parametrize(
    ("one", "other", "passes"),
    [
        (BLACK, (0.09, 0.09, 0.09), True),
        (BLACK, (0.11, 0.11, 0.11), False),
        ((0.81, 0.81, 0.81), WHITE, True),
        ((0.79, 0.79, 0.79), WHITE, False),
    ],
)
def test_a_change_counts_from_a_tenth_on_where_the_darker_one_is_below_eight_tenths(
    one: Colour, other: Colour, *, passes: bool
) -> None:
    assert is_passed(one, other, 10) is passes


def test_a_saturated_red_counts_by_its_own_measure() -> None:
    # Its luminance changes by 0.03 only; 0.15 x 320 is 48, and more than 20 is too much.
    assert not is_passed(BLACK, DARK_RED, 10)
    assert is_passed(BLACK, (0.05, 0.0, 0.0), 10)


def test_a_change_that_is_slow_and_never_turns_is_no_flash() -> None:
    meter = FlashMeter()
    for number in range(120):
        meter.feed(np.full((72, 96, 3), number / 120, dtype=np.float32), round(number * 1e9 / 60))

    assert meter.worst_share == 0.0
