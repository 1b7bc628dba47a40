"""How large things must be for the last row of a room.

A capital letter should be seen under 20 minutes of arc: ISO 9241-303 recommends 20 to 22 and allows no less than 16.
The tangent of 20' is 1/171.9, so that the height is the distance over 172. Lengths are metres in the room and pixels in
the picture; what is thrown on the wall is the whole picture.
"""

from dataclasses import dataclass, replace

DISTANCE_OVER_HEIGHT = 172
DISTANCE_STEP_M, HEIGHT_STEP_M = 1.0, 0.1


@dataclass(frozen=True, slots=True)
class Room:
    """A room with a picture on its wall."""

    distance_m: float = 8.0
    """From the picture to the last row."""
    height_m: float = 1.5
    """Of the picture."""

    def __post_init__(self) -> None:
        if not 1 <= self.distance_m <= 60 or not 0.2 <= self.height_m <= 10:
            raise ValueError(
                f"{self.distance_m:g} m from a picture of {self.height_m:g} m: expected 1 to 60 m and 0.2 to 10 m"
            )

    def least_cap_px(self, picture_px: float) -> float:
        """How high capitals must be in a picture so high, to be read from the last row."""
        return self.distance_m / DISTANCE_OVER_HEIGHT / self.height_m * picture_px

    def farthest_m(self, cap_px: float, picture_px: float) -> float:
        """From how far away capitals of this height can be read."""
        return cap_px / picture_px * self.height_m * DISTANCE_OVER_HEIGHT

    def moved(self, *, rows: int = 0, larger: int = 0) -> "Room":
        """The last row further away, or the picture larger, by steps; the same where a limit is reached."""
        try:
            return replace(
                self,
                distance_m=round(self.distance_m + rows * DISTANCE_STEP_M, 1),
                height_m=round(self.height_m + larger * HEIGHT_STEP_M, 1),
            )
        except ValueError:
            return self
