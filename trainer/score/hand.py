"""How far a fretting hand reaches: the limits that a line is held against.

Conventions: a reach is the distance along the string between the frets under two fingers, in mm, because frets lie
closer together the higher they are; it is measured on the scale length of the instrument. The distances of the frets
are those of equal temperament: fret n lies at L * (1 - 2^(-n/12)) from the nut. The limits themselves are common
practice, without a source: one finger a fret from fret 1 on is what an adult learns first, and a fifth fret from the
middle of the neck on; whoever cannot reach that should not be asked to.
"""

from dataclasses import dataclass

from trainer.theory.naming import named

GUITAR_SCALE_MM = 648
BASS_SCALE_MM = 864


@dataclass(frozen=True, slots=True)
class HandLimits:
    """What a hand may be asked for."""

    name: str
    reach_mm: int
    """Furthest distance between two frets that are played without moving the hand."""
    shift_frets: int
    """Furthest that the hand moves from one note to the next."""
    scale_length_mm: int = GUITAR_SCALE_MM


HANDS = {
    limits.name: limits
    for limits in (
        # Frets 1 to 4 of a guitar are 97 mm apart, 5 to 9 are 100, 1 to 5 are 126, 7 to 12 are 108, 3 to 8 are 137.
        HandLimits("adult", reach_mm=127, shift_frets=12),
        HandLimits("small hand", reach_mm=100, shift_frets=7),
        # 1 to 3 are 67 mm apart, 5 to 8 are 77: three frets at the nut, four from the fifth fret on.
        HandLimits("child", reach_mm=78, shift_frets=5),
        # 1 to 3 of a long-scale bass are 89 mm apart, 1 to 4 are 130, 3 to 6 are 116, 5 to 9 are 134.
        HandLimits("bass", reach_mm=130, shift_frets=9, scale_length_mm=BASS_SCALE_MM),
    )
}


def limits_of(name: str) -> HandLimits | None:
    """The limits called `name`; None for `any` hand; `UnknownWord` with the nearest name."""
    if name.strip().lower() == "any":
        return None
    return named(name, HANDS, "a hand")


def fret_distance_mm(one: int, other: int, scale_length_mm: int) -> float:
    """How far apart two frets lie.

    >>> round(fret_distance_mm(0, 12, 648))
    324
    """
    return float(scale_length_mm * abs(2 ** (-one / 12) - 2 ** (-other / 12)))
