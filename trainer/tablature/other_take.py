"""A second take of a line under the first: its verdicts in a row of their own, and its timing trace.

The verdict of a moment has the shape that it has on the staff: a bar for a note as written, a broken one for a note
begun otherwise, a box with the fret of another pitch, a ring with the fret on another string, a cross for a miss. Of a
chord the worst of its notes is shown.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trainer.following.verdict import Match, Missed, Slip, TechniqueResult, WrongNote
from trainer.tablature.glyphs import Box, Cross, Dot, Glyph, Ink, Line, Size, Text, TextMetrics
from trainer.tablature.record import Stretch
from trainer.tablature.state import NoteState

HALF_PX = 13.0
"""Half of the width of a bar, at unit 1."""


@dataclass(frozen=True, slots=True)
class OtherTake:
    """Another take of the same line, judged."""

    states: Mapping[tuple[int, int], NoteState]
    """By the number of the pass, from 1, and the note of the line."""
    passes: int
    words: str
    """Which take it is, for the foot of the screen."""

    def beside(self, stretch: Stretch) -> dict[int, NoteState]:
        """What it was like at each note of a take: pass beside pass, and its last one beside those that go on."""
        places = (
            (stretch.pass_number(index), stretch.line_index(index)) for index in range(len(stretch.exercise.notes))
        )
        return self._at(places)

    def of_passes(self, pass_length: int, notes: int) -> dict[int, NoteState]:
        """The same for a take of whole passes."""
        return self._at((index // pass_length + 1, index % pass_length) for index in range(notes))

    def _at(self, places: Iterable[tuple[int, int]]) -> dict[int, NoteState]:
        """By the ordinals of the places; those of which nothing is known are left out."""
        found: dict[int, NoteState] = {}
        for index, (number, note) in enumerate(places):
            state = self.states.get((min(self.passes, number), note))
            if state is not None:
                found[index] = state
        return found


def worst_of(states: Sequence[NoteState]) -> NoteState:
    """The one of a moment that a player would want to know of."""
    return max(states, key=_gravity)


def _gravity(state: NoteState) -> int:
    match state.verdict:
        case Missed():
            return 4
        case WrongNote():
            return 3
        case Match():
            return 2 if _is_otherwise(state) else 1
        case None:
            return 0


def _is_otherwise(state: NoteState) -> bool:
    return state.technique is not None and state.technique.result is TechniqueResult.OTHERWISE


def verdict_glyphs(state: NoteState, x_px: float, y_px: float, unit: float, metrics: TextMetrics) -> tuple[Glyph, ...]:
    """The verdict on one moment, around a place; none for what was not reached."""
    half_px = HALF_PX * unit
    match state.verdict:
        case Match():
            if _is_otherwise(state):
                return (Line(x_px - half_px, y_px, x_px + half_px, y_px, 4 * unit, Ink.SLIP, gap_px=7 * unit),)
            return (Line(x_px - half_px, y_px, x_px + half_px, y_px, 4 * unit, Ink.AS_WRITTEN),)
        case Missed():
            return (Cross(x_px, y_px, 9 * unit, 9 * unit, 3 * unit, Ink.MISSED),)
        case WrongNote(slip=slip):
            played = "?" if state.played is None else str(state.played.fret)
            half_px = max(half_px, metrics.width_px(played, Size.SMALL) / 2 + 5 * unit)
            text = Text(x_px, y_px, played, Size.SMALL, Ink.SLIP)
            if slip is Slip.STRING:
                return (Dot(x_px, y_px, half_px, Ink.SLIP, 2 * unit), text)
            top_px, bottom_px = y_px - HALF_PX * unit, y_px + HALF_PX * unit
            return (Box(x_px - half_px, top_px, x_px + half_px, bottom_px, 3 * unit, Ink.SLIP, 2 * unit), text)
        case None:
            return ()
