"""Strings of instruments that files describe only in part: their tuning, its name, and a letter for each line."""

from trainer.theory.pitch import pitch_name
from trainer.theory.tuning import TUNINGS, Tuning

# What an instrument with so many strings is, when a file does not say.
_USUAL = {4: "bass", 5: "five-string-bass", 6: "standard", 7: "seven-string", 8: "eight-string"}

MOST_STRINGS = max(_USUAL)

# E flat and B flat: a tuning that has one of them is spelled in flats, as guitarists call it.
_FLAT_CLASSES = {3, 10}


def guitar_tuning(strings: int) -> Tuning:
    """Standard tuning of a guitar with at least `strings` strings (6, 7 or 8); `ValueError` for more."""
    if strings > MOST_STRINGS:
        raise ValueError(f"{strings} strings: at most {MOST_STRINGS} are known")
    return TUNINGS[_USUAL[max(strings, 6)]]


def usual_tuning(strings: int) -> Tuning:
    """The tuning that an instrument with exactly so many strings most often has: bass for 4 and 5, then guitars."""
    if strings > MOST_STRINGS:
        raise ValueError(f"{strings} strings: at most {MOST_STRINGS} are known")
    return TUNINGS[_USUAL.get(strings, "standard")]


def tuning_of(open_pitches: tuple[int, ...]) -> Tuning:
    """The tuning with these open strings, course 1 first; one without a name is called by its notes."""
    for tuning in TUNINGS.values():
        if tuning.open_pitches == open_pitches:
            return tuning
    return Tuning(" ".join(reversed(_letters(open_pitches))), open_pitches)


def string_letters(tuning: Tuning) -> tuple[str, ...]:
    """A letter for each string, course 1 first; in small type where string 1 shares its letter with another.

    >>> string_letters(TUNINGS["standard"])
    ('e', 'B', 'G', 'D', 'A', 'E')
    """
    first, *others = _letters(tuning.open_pitches)
    return (first.lower() if first in others else first, *others)


def _letters(open_pitches: tuple[int, ...]) -> list[str]:
    flats = any(pitch % 12 in _FLAT_CLASSES for pitch in open_pitches)
    return [pitch_name(pitch, flats=flats).rstrip("-0123456789") for pitch in open_pitches]
