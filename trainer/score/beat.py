"""What is known of a beat before notes are put on its grid: all of it, as from a click, or about how long it is.

Conventions: times are floats in any one unit.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KnownBeat:
    """A beat that is given, as by a click."""

    length: float
    zero: float
    """When the first beat is due."""
    zero_sd: float
    """How far the player's beat may lie from it throughout."""
    wander: float = 0.0
    """Standard deviation, as a share of the beat, by which moment and length change from beat to beat."""


@dataclass(frozen=True, slots=True)
class UnknownBeat:
    """A beat that has to be found; the first onset lies on it or shortly after it."""

    usual: float
    """The likeliest length."""
    shortest: float
    longest: float
    spread: float = 0.45
    """Standard deviation of the logarithm of the length."""
    wander: float = 0.005
