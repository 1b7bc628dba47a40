"""Written note values: which sign stands for a duration, and how a tuplet is figured.

Conventions: a value is a power of two of quarters (1 = a quarter, 1/2 = an eighth) with dots; in a tuplet `actual`
notes stand in the time of `normal` ones of the same value. Common notation: an n-let takes the value of the next
smaller power of two (five in a quarter are written as sixteenths, 5:4).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

LONGEST_VALUE = Fraction(4)
SHORTEST_VALUE = Fraction(1, 64)
"""A 256th: whatever is shorter is no rhythm that anyone reads."""

# A figure of more notes than this is a coincidence of lengths, not a tuplet that anyone counts.
_MOST_IN_A_TUPLET = 16


@dataclass(frozen=True, slots=True)
class NoteValue:
    """A note's sign: its plain value and its augmentation dots."""

    plain_quarters: Fraction
    dots: int = 0

    @property
    def quarters(self) -> Fraction:
        """How long the sign lasts outside any tuplet."""
        return self.plain_quarters * (2 - Fraction(1, 2**self.dots))

    @property
    def flags(self) -> int:
        """How many flags or beams it has: 0 for a quarter or longer, 1 for an eighth."""
        return self.plain_quarters.denominator.bit_length() - 1


@dataclass(frozen=True, slots=True)
class Tuplet:
    """`actual` notes in the time of `normal` ones of the value `unit_quarters`."""

    actual: int
    normal: int
    unit_quarters: Fraction

    @property
    def ratio(self) -> Fraction:
        """How much longer a sign is written than it sounds."""
        return Fraction(self.actual, self.normal)


def is_plain(quarters: Fraction) -> bool:
    """Whether a moment or length lies on a grid of halves of a quarter, as all that is outside a tuplet does."""
    return quarters.denominator & (quarters.denominator - 1) == 0


def value_of(quarters: Fraction) -> NoteValue | None:
    """The sign that lasts so long, with at most one dot; None when it takes several tied ones.

    >>> value_of(Fraction(3, 4))
    NoteValue(plain_quarters=Fraction(1, 2), dots=1)
    """
    for dots, plain in enumerate((quarters, quarters * 2 / 3)):
        is_power = plain.numerator & (plain.numerator - 1) == 0 and is_plain(plain)
        if is_power and SHORTEST_VALUE <= plain <= LONGEST_VALUE:
            return NoteValue(plain, dots)
    return None


def tuplet_of(length_quarters: Fraction, moments_quarters: Sequence[Fraction]) -> Tuplet | None:
    """The tuplet that fills `length_quarters` and has a place for each moment (from its start); None without one.

    >>> tuplet_of(Fraction(1), [Fraction(n, 5) for n in range(5)])
    Tuplet(actual=5, normal=4, unit_quarters=Fraction(1, 4))
    """
    actual = lcm(*((moment / length_quarters).denominator for moment in moments_quarters))
    while actual <= _MOST_IN_A_TUPLET:
        unit = LONGEST_VALUE
        while unit / 2 >= length_quarters / actual:
            unit /= 2
        normal = length_quarters / unit
        if normal.denominator == 1 and unit >= SHORTEST_VALUE:
            return Tuplet(actual, int(normal), unit)
        actual *= 2
    return None
