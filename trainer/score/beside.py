"""Two lines one over the other: what is written at each moment in either, and how they differ there.

The same beat lies under the same beat: moments are quarters from the beginning of both lines. How long notes last is
not compared.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from trainer.score.exercise import Exercise, ScoreNote
from trainer.theory.naming import counted


class Difference(Enum):
    """How two lines differ at a moment; the value is the word for it."""

    NOTE = "note"
    """Other pitches."""
    PLACE = "place"
    """The same pitches, elsewhere on the neck."""
    BEGUN = "begun"
    """The same notes, picked in one and slid or slurred in the other."""
    UPPER = "only upper"
    """Only the upper line has a note there."""
    LOWER = "only lower"


@dataclass(frozen=True, slots=True)
class Moment:
    """One moment at which a note begins in either line."""

    onset_quarters: Fraction
    upper: tuple[int, ...]
    """Which notes of the upper line begin there."""
    lower: tuple[int, ...]
    difference: Difference | None
    """None: they are the same."""


def moments_of(upper: Exercise, lower: Exercise) -> tuple[Moment, ...]:
    """Every moment of both lines, in order."""
    above, below = _by_onset(upper), _by_onset(lower)
    return tuple(
        Moment(
            onset,
            tuple(above[onset]),
            tuple(below[onset]),
            _difference([upper.notes[index] for index in above[onset]], [lower.notes[index] for index in below[onset]]),
        )
        for onset in sorted({*above, *below})
    )


def difference_words(moments: Sequence[Moment]) -> str:
    """How much is the same, and how often they differ in which way."""
    counts = Counter(moment.difference for moment in moments)
    words = {
        Difference.NOTE: ("other note", "other notes"),
        Difference.PLACE: ("other place", "other places"),
        Difference.BEGUN: ("begun otherwise", "begun otherwise"),
        Difference.UPPER: ("only in the upper line", "only in the upper line"),
        Difference.LOWER: ("only in the lower line", "only in the lower line"),
    }
    differing = [counted(counts[kind], *words[kind]) for kind in Difference if counts[kind]]
    same = f"{counts[None]} of {counted(len(moments), 'moment')} the same"
    return f"{same}: {', '.join(differing)}." if differing else f"{same}."


def _by_onset(line: Exercise) -> defaultdict[Fraction, list[int]]:
    found: defaultdict[Fraction, list[int]] = defaultdict(list)
    for index, note in enumerate(line.notes):
        found[note.onset_quarters].append(index)
    return found


def _difference(upper: Sequence[ScoreNote], lower: Sequence[ScoreNote]) -> Difference | None:
    if not lower:
        return Difference.UPPER
    if not upper:
        return Difference.LOWER
    if sorted(note.pitch for note in upper) != sorted(note.pitch for note in lower):
        return Difference.NOTE
    if {note.location for note in upper} != {note.location for note in lower}:
        return Difference.PLACE
    begun = ({(note.location, note.technique, note.slide_from) for note in notes} for notes in (upper, lower))
    return None if next(begun) == next(begun) else Difference.BEGUN
