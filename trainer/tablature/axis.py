"""The time axis that tablature, count line and trace share: the one place where score time becomes pixels.

A strip is the whole line laid out from its quarter 0 at x = 0; a picture is a window on it.
"""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class TimeAxis:
    """Score time to strip pixels and back."""

    px_per_quarter: float

    def x_px(self, quarters: Fraction | float) -> float:
        """Where a moment of the line stands on the strip."""
        return float(quarters) * self.px_per_quarter

    def quarters(self, x_px: float) -> float:
        """Which moment stands there."""
        return x_px / self.px_per_quarter
