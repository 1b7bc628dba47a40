"""How a note is begun.

`PICK` is any attack by the right hand; the other three begin a note without one. Whether a pick moved down or up is
not a technique: MIDI carries nothing about it, so a stroke is only ever prescribed (`Stroke`), never judged.
"""

from enum import StrEnum


class Technique(StrEnum):
    """How a note is begun."""

    PICK = "pick"
    HAMMER = "hammer"
    PULL = "pull"
    SLIDE = "slide"


class Stroke(StrEnum):
    """The prescribed direction of the pick."""

    DOWN = "down"
    UP = "up"
