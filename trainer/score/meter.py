"""Meter: how quarters group into bars."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Meter:
    """A time signature, e.g. 4/4 or 6/8."""

    beats: int = 4
    beat_unit: int = 4

    @property
    def bar_quarters(self) -> Fraction:
        """The length of a bar, in quarters."""
        return Fraction(4 * self.beats, self.beat_unit)

    @property
    def beat_quarters(self) -> Fraction:
        """The length of a beat as written, in quarters."""
        return Fraction(4, self.beat_unit)
