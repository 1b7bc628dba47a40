"""Which notes are picked, hammered, pulled off or slid, with which stroke and finger, and where the accents lie.

Conventions: strokes alternate and are counted over picked strokes only, so a hammer-on does not use one up; a slide as
a grace is picked where it begins. Fingers: a position that spans four frets has one finger a fret; a wider one is
fingered string by string from the index finger (common practice). Whoever slides keeps the finger: both ends of a slide
take the higher-numbered of the two, which can always reach.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from trainer.score.words import number_of
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord, named


class Articulation(StrEnum):
    """Which notes the pick begins."""

    PICKED = "picked"
    """Every note."""
    LEGATO = "legato"
    """The first note of each group; the rest are hammered on or pulled off where the string allows it."""
    ONE_A_STRING = "one pick a string"
    """The first note on each string; those that follow on the same string are hammered on or pulled off."""


class ShiftKind(StrEnum):
    """How the hand goes from one position to the next."""

    PICKED = "picked"
    """The first note of the new position is picked."""
    SLID = "slid"
    """It is slid into: from the note before when that lies on its string, else as a grace from where the old position
    has the same step, e.g. from the old top note into the new one."""
    FROM_LAST = "slid from the last note"
    """It is slid into from the note before, which must lie on its string."""
    FROM_BELOW = "slid from below"
    """It is slid into as a grace from the scale note below it on its string."""


FINGERS = 4


@dataclass(frozen=True, slots=True)
class Accents:
    """Which notes are accented."""

    on_groups: bool = False
    """The first of each group."""
    on_beats: bool = False
    """Those that fall on a beat."""
    every: int = 0
    """Every so many notes, from the first; 0 = not."""
    places: frozenset[int] = frozenset()
    """Places within the group, 1 = its first note."""

    def falls_on(self, place: int, ordinal: int, *, is_on_beat: bool) -> bool:
        """Whether a note is accented: its place in the group and its ordinal in the line, both from 0."""
        return (
            (self.on_groups and place == 0)
            or (self.on_beats and is_on_beat)
            or (self.every > 0 and ordinal % self.every == 0)
            or place + 1 in self.places
        )


def articulation_of(text: str) -> Articulation:
    """The articulation called `text`; `UnknownWord` with the nearest one."""
    return named(text, {kind.value: kind for kind in Articulation}, "an articulation")


def shift_kind_of(text: str) -> ShiftKind:
    """The kind of shift called `text`; `UnknownWord` with the nearest one."""
    kinds = {kind.value: kind for kind in ShiftKind}
    return named(text, kinds | {"slide": ShiftKind.SLID, "slid from last note": ShiftKind.FROM_LAST}, "a kind of shift")


def accents_of(text: str) -> Accents:
    """The accents that a text describes: `none`, `groups`, `beats`, `every 3`, or places in the group, `1 4`."""
    words = text.lower().replace(",", " ").split()
    match words:
        case ["none"]:
            return Accents()
        case ["groups"]:
            return Accents(on_groups=True)
        case ["beats"]:
            return Accents(on_beats=True)
        case ["every", count] if number := number_of(count):
            return Accents(every=number)
    places = [number_of(word) for word in words]
    for word, place in zip(words, places, strict=True):
        if not place:
            raise UnknownWord(word, "an accent", ("none", "groups", "beats", "every", "places in the group"))
    if not places:
        raise UnknownWord("", "where the accents lie", ("none", "groups", "beats", "every 3"))
    return Accents(places=frozenset(place for place in places if place))


def fingers_of(locations: Iterable[Location]) -> dict[Location, int]:
    """The finger for each fretted place that a hand holds at one time; open strings need none.

    A hand that plays open strings as well lies at the nut, its index finger on fret 1, as far as it reaches.
    """
    places = set(locations)
    fretted = sorted(location for location in places if location.fret > 0)
    if not fretted:
        return {}
    frets = [location.fret for location in fretted]
    index_fret = min(frets) if len(fretted) == len(places) or max(frets) > FINGERS else 1
    if max(frets) - index_fret < FINGERS:
        return {location: location.fret - index_fret + 1 for location in fretted}
    fingers: dict[Location, int] = {}
    for course in {location.course for location in fretted}:
        own = [location for location in fretted if location.course == course]
        fingers |= dict(zip(own, _fingers_on_a_string([location.fret for location in own]), strict=True))
    return fingers


def _fingers_on_a_string(frets: list[int]) -> list[int]:
    """Rising fingers for rising frets: the index on the first, each other as far as it reaches.

    Four fingers reach four notes; of more, the last ones share the little finger.
    """
    fingers: list[int] = []
    for place, fret in enumerate(frets):
        still_to_come = len(frets) - place - 1
        reach = fret - frets[0] + 1
        highest = max(FINGERS - still_to_come, 1)
        lowest = fingers[-1] + 1 if fingers else 1
        fingers.append(min(max(min(reach, highest), lowest), FINGERS))
    return fingers
