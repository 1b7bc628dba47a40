"""Heights of letters for a room against the angle that they stand for.

Source, from memory: ISO 9241-303 recommends a character height of 20 to 22 minutes of arc and at least 16.
"""

from math import radians, tan

import pytest

from trainer.screens.room_size import DISTANCE_OVER_HEIGHT, Room


def test_the_divisor_is_that_of_twenty_minutes_of_arc() -> None:
    assert pytest.approx(1 / tan(radians(20 / 60)), abs=0.2) == DISTANCE_OVER_HEIGHT


@pytest.mark.parametrize("room", [Room(4, 1.2), Room(8, 1.5), Room(15, 3.0)])
def test_capitals_for_the_last_row_are_seen_under_twenty_minutes(room: Room) -> None:
    cap_px = room.least_cap_px(1080)

    height_m = cap_px / 1080 * room.height_m
    assert height_m / room.distance_m == pytest.approx(tan(radians(20 / 60)), rel=0.001)
    assert room.farthest_m(cap_px, 1080) == pytest.approx(room.distance_m)


def test_a_room_stays_within_its_limits() -> None:
    assert Room(60, 1).moved(rows=1) == Room(60, 1)
    assert Room(8, 1.5).moved(rows=-2, larger=1) == Room(6, 1.6)
    with pytest.raises(ValueError, match="expected 1 to 60 m"):
        Room(0.5, 1)
