"""What came out of a file: the line, and what was in the file and is not in the line.

A reader drops nothing in silence: what it cannot use, what it had to guess and what it chose becomes a remark, one
sentence for the user. Things of one kind are one remark that says how many there are and where the first ones stand.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from trainer.score.exercise import Exercise

_PLACES_SHOWN = 4


@dataclass(frozen=True, slots=True)
class Reading:
    """An exercise read from a file, with what there is to say about that."""

    exercise: Exercise
    remarks: tuple[str, ...] = ()


def places_in_words(places: Iterable[str], what: str) -> str:
    """The first few different places, e.g. `measures 1, 4, 7, 9 and 3 more`; `what` in the singular."""
    different = list(dict.fromkeys(places))
    shown, more = different[:_PLACES_SHOWN], len(different) - _PLACES_SHOWN
    rest = f" and {more} more" if more > 0 else ""
    return f"{what}{'s' if len(different) > 1 else ''} {', '.join(shown)}{rest}"
