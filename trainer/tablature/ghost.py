"""A ghost: one earlier pass over a line, by its judged take, to play against.

It is drawn as a timing trace of its own, a little to the right of the notes: a ring on a thin stem where the ghost was
early or late, a box where it played another note, a thin cross where it missed. Nothing in it judges the present take.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from trainer.following.verdict import Missed, WrongNote
from trainer.tablature.glyphs import Box, Cross, Dot, Glyph, Ink, Line
from trainer.tablature.layout import TracePlace
from trainer.tablature.state import NoteState

ASIDE_PX = 18.0
"""So far to the right of its note, at unit 1, that the note's own mark is not covered."""
RADIUS_PX, STROKE_PX = 6.0, 2.0


class GhostChoice(Enum):
    """Whom to play against."""

    OFF = "off"
    LAST = "last"
    BEST = "best"

    @property
    def following(self) -> "GhostChoice":
        """The next choice, round and round."""
        choices = list(GhostChoice)
        return choices[(choices.index(self) + 1) % len(choices)]


MEANINGS = {
    GhostChoice.OFF: "",
    GhostChoice.LAST: "last pass",
    GhostChoice.BEST: "best pass (most notes as written, then fastest)",
}
"""What a choice means, in words for the screen."""


@dataclass(frozen=True, slots=True)
class Ghost:
    """One whole pass of a kept take."""

    states: Mapping[int, NoteState]
    """By the notes of the line."""
    as_written: int
    """How many of its notes were as written."""
    quarters_per_minute: float
    date: str
    """ISO 8601."""

    def words(self, choice: GhostChoice) -> str:
        """Which pass it is, for the foot of the screen."""
        figures = f"{self.as_written} of {len(self.states)} as written at ♩ = {self.quarters_per_minute:g}"
        return f"ghost: {MEANINGS[choice]}, {figures}, {self.date[:10]}"


def nobody_words(choice: GhostChoice) -> str:
    """What is said while there is no such pass; empty when none is wanted."""
    return "" if choice is GhostChoice.OFF else "ghost: no whole pass of this line is kept yet"


def ghost_glyphs(state: NoteState, x_px: float, place: TracePlace) -> tuple[Glyph, ...]:
    """The mark of the ghost beside a note; none where it has no time to be measured by."""
    unit, aside_px = place.unit, x_px + ASIDE_PX * place.unit
    radius_px, stroke_px = RADIUS_PX * unit, STROKE_PX * unit
    if isinstance(state.verdict, Missed):
        return (Cross(aside_px, place.zero_px, radius_px, radius_px, stroke_px, Ink.GHOST),)
    if state.deviation_ns is None:
        return ()
    y_px = place.y_px(state.deviation_ns / 1e6)
    edge_px = y_px - radius_px if y_px > place.zero_px else y_px + radius_px
    mark: Glyph = Dot(aside_px, y_px, radius_px, Ink.GHOST, stroke_px)
    if isinstance(state.verdict, WrongNote):
        box = (aside_px - radius_px, y_px - radius_px, aside_px + radius_px, y_px + radius_px)
        mark = Box(*box, unit, Ink.GHOST, stroke_px)
    if abs(y_px - place.zero_px) <= radius_px:
        return (mark,)
    return (Line(aside_px, place.zero_px, aside_px, edge_px, stroke_px, Ink.GHOST), mark)
