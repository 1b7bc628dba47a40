"""Pitches, spelled notes and intervals.

Conventions: a pitch is a MIDI number as it sounds, 60 = middle C = C4 (scientific pitch notation; other charts call the
same number C3). A note is a letter with sharps or flats and no octave; which of two names a pitch has is a matter of
the key, so spelling starts from notes and intervals, never from pitches alone. Integers only.
"""

import re
from dataclasses import dataclass

from trainer.theory.naming import UnknownWord

LETTERS = "CDEFGAB"
_SEMITONES_OF_LETTER = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SIGNS = str.maketrans({"♯": "#", "♭": "b"})
_NOTE = re.compile(r"([A-Ga-g])(#{1,2}|b{1,2})?")
_PITCH = re.compile(rf"({_NOTE.pattern})(-?\d+)")
_DEGREE = re.compile(r"(b{0,2}|#{0,2})([1-8])")

_SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLAT_NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")

_NUMBER_NAMES = ("unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave")
_MAJOR_SEMITONES = (0, 2, 4, 5, 7, 9, 11, 12)
_PERFECT_NUMBERS = (1, 4, 5, 8)
_PERFECT_QUALITIES = {-1: "diminished", 0: "perfect", 1: "augmented"}
_MAJOR_QUALITIES = {-2: "diminished", -1: "minor", 0: "major", 1: "augmented"}


@dataclass(frozen=True, slots=True)
class Note:
    """A note's name without its octave, e.g. F sharp."""

    letter: str
    accidental: int = 0
    """Semitones above the natural note: 1 = sharp, -1 = flat."""

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0..11."""
        return (_SEMITONES_OF_LETTER[self.letter] + self.accidental) % 12

    def at(self, pitch: int) -> str:
        """The name of `pitch` spelled as this note, with the octave of its letter: B sharp at 60 is `B#3`."""
        if pitch % 12 != self.pitch_class:
            raise ValueError(f"pitch {pitch} is not a {self}")
        return f"{self}{(pitch - self.accidental) // 12 - 1}"

    def __str__(self) -> str:
        return self.letter + ("#" if self.accidental > 0 else "b") * abs(self.accidental)


@dataclass(frozen=True, slots=True)
class Interval:
    """The distance to a note above: how many letters, and how many semitones."""

    number: int
    """1 = unison ... 8 = octave."""
    semitones: int

    @property
    def _alteration(self) -> int:
        return self.semitones - _MAJOR_SEMITONES[self.number - 1]

    @property
    def name(self) -> str:
        """The interval in words, e.g. `minor third`; `ValueError` for one that has no name."""
        qualities = _PERFECT_QUALITIES if self.number in _PERFECT_NUMBERS else _MAJOR_QUALITIES
        if self._alteration not in qualities:
            raise ValueError(f"{self.semitones} semitones over {self.number} letters have no name")
        return f"{qualities[self._alteration]} {_NUMBER_NAMES[self.number - 1]}"

    @property
    def degree(self) -> str:
        """The interval as a scale degree measured against the major scale, e.g. `b3`."""
        return ("#" if self._alteration > 0 else "b") * abs(self._alteration) + str(self.number)

    def above(self, note: Note) -> Note:
        """The note that lies this interval above `note`, spelled with the letter that the interval asks for."""
        letter = LETTERS[(LETTERS.index(note.letter) + self.number - 1) % 7]
        away = note.pitch_class + self.semitones - _SEMITONES_OF_LETTER[letter]
        return Note(letter, (away + 6) % 12 - 6)


def interval_between(low: Note, high: Note) -> Interval:
    """The smallest interval from `low` up to `high`."""
    number = (LETTERS.index(high.letter) - LETTERS.index(low.letter)) % 7 + 1
    natural = _MAJOR_SEMITONES[number - 1]
    away = high.pitch_class - low.pitch_class - natural
    return Interval(number, natural + (away + 6) % 12 - 6)


def interval_of_degree(text: str) -> Interval:
    """The interval that a scale degree such as `b3` or `#4` stands for."""
    match = _DEGREE.fullmatch(text.translate(_SIGNS))
    if match is None:
        raise UnknownWord(text, "a scale degree such as b3")
    signs, number = match[1], int(match[2])
    return Interval(number, _MAJOR_SEMITONES[number - 1] + signs.count("#") - signs.count("b"))


def note_named(text: str) -> Note:
    """The note called `text`, e.g. `F#`, `Bb`, `A♭`; `UnknownWord` for anything else."""
    match = _NOTE.fullmatch(text.translate(_SIGNS))
    if match is None:
        raise UnknownWord(text, "a note: a letter A to G, with # or b where it needs one", _SHARP_NAMES + _FLAT_NAMES)
    signs = match[2] or ""
    return Note(match[1].upper(), signs.count("#") - signs.count("b"))


def pitch_named(text: str) -> int:
    """The pitch called `text`, e.g. `E2` = 40; the octave is that of the letter, so `Cb4` = 59.

    >>> pitch_named("C4"), pitch_named("A4")
    (60, 69)
    """
    match = _PITCH.fullmatch(text.translate(_SIGNS))
    if match is None:
        raise UnknownWord(text, "a pitch: a note with its octave, such as E2")
    note = note_named(match[1])
    return 12 * (int(match[4]) + 1) + _SEMITONES_OF_LETTER[note.letter] + note.accidental


def pitch_name(pitch: int, *, flats: bool = False) -> str:
    """A name for `pitch` outside any key, with sharps or with flats, e.g. 61 is `C#4` or `Db4`."""
    names = _FLAT_NAMES if flats else _SHARP_NAMES
    return f"{names[pitch % 12]}{pitch // 12 - 1}"
