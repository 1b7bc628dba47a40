"""The heights of a system: which rows of signs a line needs above and below its strings, and where each one stands."""

from dataclasses import dataclass

from trainer.score.exercise import Exercise
from trainer.sheets.columns import Column
from trainer.sheets.paper import STRING_GAP_PT

STEM_PT = 17.5
"""From the middle of a note head to the top of its stem."""
HEAD_DOWN_PT = 2.5
"""Half the height of a note head."""


@dataclass(frozen=True, slots=True)
class Rows:
    """Where things stand below the upper edge of a system; a row that a line does not need is None."""

    position_pt: float | None
    """The baseline of the positions."""
    tuplet_pt: float | None
    """The line of the tuplet brackets."""
    stem_pt: float
    """The tops of the stems."""
    head_pt: float
    """The middle of the note heads."""
    stroke_pt: float | None
    """The middle of the strokes."""
    accent_pt: float | None
    """The middle of the accents."""
    letter_pt: float | None
    """The baseline of the letters for hammer-ons and pull-offs."""
    string_pt: tuple[float, ...]
    """String 1 first."""
    count_pt: float
    finger_pt: float | None
    height_pt: float


@dataclass(slots=True)
class _Stack:
    """Rows put one below the other."""

    height_pt: float = 0.0

    def row(self, above_pt: float, below_pt: float, *, is_needed: bool) -> float | None:
        """The line of a row with so much room above and below it; None when the row is not needed."""
        if not is_needed:
            return None
        line = self.height_pt + above_pt
        self.height_pt = line + below_pt
        return line


def rows_of(exercise: Exercise, columns: tuple[Column, ...]) -> Rows:
    """The rows of every system of a line: all have the same, so that eyes find them."""
    stack = _Stack()
    position = stack.row(9.5, 4.5, is_needed=any(column.position for column in columns))
    tuplet = stack.row(5.0, 4.0, is_needed=any(column.sign.tuplet for column in columns))
    stem = stack.height_pt + 1.5
    head = stem + STEM_PT
    stack.height_pt = head + HEAD_DOWN_PT + 6.0  # room for ties below the heads
    stroke = stack.row(4.5, 6.0, is_needed=any(note.stroke for note in exercise.notes))
    accent = stack.row(4.0, 4.5, is_needed=any(note.accent for note in exercise.notes))
    letter = stack.row(6.0, 2.0, is_needed=any(column.letters for column in columns))
    top = stack.height_pt + 9.5  # half a figure and a bow above string 1
    strings = tuple(top + STRING_GAP_PT * at for at in range(len(exercise.tuning.open_pitches)))
    count = strings[-1] + 16.0
    has_fingers = any(column.fingers for column in columns)
    finger = count + 11.5 if has_fingers else None
    return Rows(
        position_pt=position,
        tuplet_pt=tuplet,
        stem_pt=stem,
        head_pt=head,
        stroke_pt=stroke,
        accent_pt=accent,
        letter_pt=letter,
        string_pt=strings,
        count_pt=count,
        finger_pt=finger,
        height_pt=(finger or count) + 3.0,
    )
