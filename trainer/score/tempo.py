"""Tempo: the only place where written quarters become nanoseconds."""

from dataclasses import dataclass
from fractions import Fraction

NS_PER_MINUTE = 60_000_000_000


@dataclass(frozen=True, slots=True)
class Tempo:
    """A steady tempo."""

    quarters_per_minute: Fraction

    def __post_init__(self) -> None:
        if not 10 <= self.quarters_per_minute <= 400:
            raise ValueError(f"tempo {float(self.quarters_per_minute):g} is not in 10..400 quarters a minute")

    def ns(self, quarters: Fraction) -> int:
        """The time that `quarters` take, in ns, to the nearest one."""
        return round(quarters * NS_PER_MINUTE / self.quarters_per_minute)

    def quarters(self, span_ns: int) -> Fraction:
        """The score time that passes in `span_ns`, exactly."""
        return Fraction(span_ns) * self.quarters_per_minute / NS_PER_MINUTE
