"""Which notes are picked, hammered, pulled off or slid, with which stroke, and where the accents lie.

Conventions: strokes alternate and are counted over picked strokes only, so a hammer-on does not use one up; a slide as
a grace is picked where it begins.
"""

from dataclasses import dataclass
from enum import StrEnum

from trainer.score.words import number_of
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


def accents_text(accents: Accents) -> str:
    """The words for accents that `accents_of` can read."""
    if accents.every:
        return f"every {accents.every}"
    if accents.places:
        return " ".join(map(str, sorted(accents.places)))
    return "groups" if accents.on_groups else "beats" if accents.on_beats else "none"
