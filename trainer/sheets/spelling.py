"""Which key signature a line has, and how its pitches are spelled.

Conventions: `fifths` counts the sharps of a signature, flats below 0 (MusicXML 4.0, element `fifths`); `alter` is in
semitones; octave 4 begins at middle C. A scale that has no signature of its own, such as a pentatonic, takes the one
that agrees with most of its notes, of equal ones the one of the major or minor key on its root; harmonic and melodic
minor are written with the signature of the minor key (common practice).
"""

from dataclasses import dataclass
from typing import NamedTuple

from trainer.score.exercise import Exercise
from trainer.theory.naming import UnknownWord
from trainer.theory.pitch import Note, note_named, pitch_name
from trainer.theory.scale import Key, key_named
from trainer.theory.tuning import Tuning

_ORDER_OF_SHARPS = "FCGDAEB"
_MOST_FIFTHS = 7

_MIDDLE_C = 60
# C3, the highest string of a six-string bass; a baritone guitar's is B3.
_HIGHEST_BASS_STRING = 48

# How many sharps more than the major key on the same root a mode has.
_MODES = {"major": 0, "mixolydian": -1, "dorian": -2, "minor": -3, "phrygian": -4, "locrian": -5, "lydian": 1}


class SpelledPitch(NamedTuple):
    """A pitch as it is written."""

    step: str
    alter: int
    octave: int


@dataclass(frozen=True, slots=True)
class Signature:
    """A key signature and the mode that it is read in; without a mode no key is meant."""

    fifths: int = 0
    mode: str = ""

    def alter_of(self, step: str) -> int:
        """By how many semitones the signature alters a letter."""
        place = _ORDER_OF_SHARPS.index(step)
        return int(place < self.fifths) - int(_MOST_FIFTHS - 1 - place < -self.fifths)


class Clef(NamedTuple):
    """The clef of the notation staff."""

    sign: str
    line: int
    octave_change: int


def clef_of(tuning: Tuning) -> Clef:
    """Treble an octave down for guitars, bass an octave down for basses, plain treble for what has no low strings."""
    if max(tuning.open_pitches) <= _HIGHEST_BASS_STRING:
        return Clef("F", 4, -1)
    return Clef("G", 2, -1 if min(tuning.open_pitches) < _MIDDLE_C else 0)


class Spelling:
    """Names for the pitches of one line."""

    def __init__(self, exercise: Exercise) -> None:
        try:
            self._key: Key | None = key_named(exercise.key)
        except UnknownWord:
            self._key = None
        self.signature = Signature() if self._key is None else signature_of(self._key)

    def of(self, pitch: int) -> SpelledPitch:
        """`pitch` as the key spells it; a note outside the key with a flat in flat keys, else with a sharp."""
        for note in () if self._key is None else self._key.notes:
            if note.pitch_class == pitch % 12:
                return _spelled(note, pitch)
        return spelled_alone(pitch, flats=self.signature.fifths < 0)


def spelled_alone(pitch: int, *, flats: bool = False) -> SpelledPitch:
    """`pitch` outside any key."""
    return _spelled(note_named(pitch_name(pitch, flats=flats).rstrip("-0123456789")), pitch)


def signature_of(key: Key) -> Signature:
    """The key signature of a key.

    >>> signature_of(key_named("B minor pentatonic"))
    Signature(fifths=2, mode='minor')
    """
    is_minor = 3 in key.scale.semitones
    parallel = _major_fifths(key.root) + _MODES["minor" if is_minor else "major"]
    if key.scale.name.endswith("minor") and abs(parallel) <= _MOST_FIFTHS:
        return Signature(parallel, "minor")

    def merit(fifths: int) -> tuple[int, bool]:
        agreeing = sum(Signature(fifths).alter_of(note.letter) == note.accidental for note in key.notes)
        return agreeing, fifths == parallel

    best = max(range(-_MOST_FIFTHS, _MOST_FIFTHS + 1), key=merit)
    own = [key.scale.name] if key.scale.name in _MODES else list(_MODES)
    return Signature(best, next((mode for mode in own if _major_fifths(key.root) + _MODES[mode] == best), ""))


def _major_fifths(root: Note) -> int:
    """How many sharps the major key on a root has; past 7 for roots that no signature serves."""
    return _ORDER_OF_SHARPS.index(root.letter) - 1 + _MOST_FIFTHS * root.accidental


def _spelled(note: Note, pitch: int) -> SpelledPitch:
    return SpelledPitch(note.letter, note.accidental, (pitch - note.accidental) // 12 - 1)
