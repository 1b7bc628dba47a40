"""Chords by the degrees of a key, as players write them: `i iv`, `I V vi IV`, `i VII VI VII`, `I7 IV7`.

Conventions: a numeral in capitals has a major third, in small letters a minor one. Without a sign the degree is the
key's own (VII is G in A minor and G sharp in A major); with b or # in front it is measured against the major scale, as
degrees are everywhere here (bVII is G in both). A scale with fewer than seven notes borrows the degrees of minor when
it has a minor third, else those of major. Behind the numeral: ° or dim, +, 5, 6, 7, maj7, 9, sus2, sus4, °7, ø7 (m7b5).
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from trainer.theory.naming import UnknownWord
from trainer.theory.pitch import Interval, Note, interval_of_degree
from trainer.theory.scale import SCALES, Key

MOST_CHORDS = 8
NUMERALS = ("I", "II", "III", "IV", "V", "VI", "VII")
_MAJOR_KINDS = {
    "": (0, 4, 7),
    "7": (0, 4, 7, 10),
    "maj7": (0, 4, 7, 11),
    "6": (0, 4, 7, 9),
    "9": (0, 4, 7, 10, 14),
    "5": (0, 7),
    "sus2": (0, 2, 7),
    "sus4": (0, 5, 7),
    "+": (0, 4, 8),
}
_MINOR_KINDS = {
    "": (0, 3, 7),
    "7": (0, 3, 7, 10),
    "maj7": (0, 3, 7, 11),
    "6": (0, 3, 7, 9),
    "9": (0, 3, 7, 10, 14),
    "°": (0, 3, 6),
    "°7": (0, 3, 6, 9),
    "ø7": (0, 3, 6, 10),
}
_ALSO = {"dim": "°", "o": "°", "dim7": "°7", "o7": "°7", "ø": "ø7", "m7b5": "ø7", "aug": "+", "M7": "maj7", "Δ": "maj7"}
_WORD = re.compile(r"([b#♭♯]?)([IVX]+|[ivx]+)(.*)")
_WORDS = re.compile(r"[^\s,|]+")
_SUFFIX_OF_NAME = {"°": "dim", "°7": "dim7", "ø7": "m7b5"}

# Degrees from which two and four chords are made in every mode; those that hold a diminished chord are left out.
_SEQUENCES = (
    (1, 4),
    (1, 7),
    (1, 6),
    (1, 5),
    (1, 2),
    (1, 7, 6, 7),
    (1, 6, 3, 7),
    (1, 4, 1, 5),
    (1, 5, 6, 4),
    (1, 6, 4, 5),
)
_BLUES = ("I7 IV7", "I7 IV7 I7 V7")


class ChordsError(ValueError):
    """Chords that cannot be read; `str()` has a line for each word that is wrong, with its column."""


@dataclass(frozen=True, slots=True)
class Chord:
    """One chord of a sequence."""

    word: str
    """As it was written."""
    root: Note
    semitones: tuple[int, ...]
    """Of each note above the root, the root first."""
    name: str
    """As it is called outside the key, e.g. `Am`, `G7`."""

    @property
    def pitch_classes(self) -> tuple[int, ...]:
        """Of each note, the root first."""
        return tuple((self.root.pitch_class + semitones) % 12 for semitones in self.semitones)


def chords_named(text: str, key: Key) -> tuple[Chord, ...]:
    """The chords that `text` names, between spaces, commas or bars; `ChordsError` says which words are wrong."""
    chords, wrong = [], []
    for found in _WORDS.finditer(text):
        try:
            chords.append(chord_named(found[0], key))
        except UnknownWord as error:
            wrong.append(f"chords, column {found.start() + 1}: {error}")
    if wrong:
        raise ChordsError("\n".join(wrong))
    if not 1 <= len(chords) <= MOST_CHORDS:
        raise ChordsError(f"{len(chords)} chords: expected 1 to {MOST_CHORDS}, such as 'i iv' or 'I V vi IV'")
    return tuple(chords)


def chord_named(word: str, key: Key) -> Chord:
    """The chord of `key` that a word such as `iv`, `V7` or `bVII` means; `UnknownWord` with the nearest one."""
    found = _WORD.fullmatch(word)
    numeral = "" if found is None else found[2].upper()
    suffix = "" if found is None else _ALSO.get(found[3], found[3])
    kinds = _MINOR_KINDS if found is not None and found[2].islower() else _MAJOR_KINDS
    if found is None or numeral not in NUMERALS or suffix not in kinds:
        raise UnknownWord(word, "a chord by its degree, such as i, IV, V7 or bVII", _words_like(word))
    number = NUMERALS.index(numeral) + 1
    interval = interval_of_degree(f"{found[1]}{number}") if found[1] else _own_degree(key, number)
    root = interval.above(key.root)
    return Chord(word, root, kinds[suffix], f"{root}{_name_suffix(suffix, is_minor=kinds is _MINOR_KINDS)}")


def sequences(key: Key) -> tuple[str, ...]:
    """Usual sequences of two and of four chords that lie in a key, in words."""
    words = {number: _diatonic_word(key, number) for number in range(1, 8)}
    # A triad of the key that is diminished or stranger asks for another chord; on the first degree it is the mode's.
    usual = [
        " ".join(words[number] for number in numbers)
        for numbers in _SEQUENCES
        if all(words[number].isalpha() for number in numbers if number != 1)
    ]
    return (*usual, *(_BLUES if key.scale.name in {"blues", "minor pentatonic"} else ()))


def _own_degree(key: Key, number: int) -> Interval:
    degrees = key.scale.degrees
    if len(degrees) != len(NUMERALS):
        is_minor = any(degree.number == 3 and degree.semitones == 3 for degree in degrees)
        degrees = SCALES["minor" if is_minor else "major"].degrees
    return degrees[number - 1]


def _diatonic_word(key: Key, number: int) -> str:
    """The triad in thirds on a degree."""
    root, third, fifth = (_own_degree(key, (number - 1 + up) % 7 + 1).semitones for up in (0, 2, 4))
    shape = ((third - root) % 12, (fifth - root) % 12)
    numeral = NUMERALS[number - 1]
    words = {(4, 7): numeral, (3, 7): numeral.lower(), (3, 6): f"{numeral.lower()}°", (4, 8): f"{numeral}+"}
    return words.get(shape, f"{numeral}5")


def _name_suffix(suffix: str, *, is_minor: bool) -> str:
    if suffix in _SUFFIX_OF_NAME:
        return _SUFFIX_OF_NAME[suffix]
    return f"{'m' if is_minor else ''}{suffix}"


def _words_like(word: str) -> Iterable[str]:
    """Every word, those in the letters of `word` first: of two that are as near the first is named."""
    is_small = any(letter in "iv" for letter in word)
    return (*_all_words(is_small=is_small), *_all_words(is_small=not is_small))


def _all_words(*, is_small: bool) -> Iterator[str]:
    kinds = _MINOR_KINDS if is_small else _MAJOR_KINDS
    for suffix in kinds:
        for numeral in reversed(NUMERALS):
            for sign in ("", "b"):
                yield f"{sign}{numeral.lower() if is_small else numeral}{suffix}"
