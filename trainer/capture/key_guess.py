"""Guessing the key of a phrase, and the positions that it was played in, and how sure that is.

The key: by Bayes' rule over every root and scale of the theory layer. A scale gives its notes one share each and
leaves `_OUTSIDE` for the others, so of two scales that hold all notes the smaller one is likelier; the root gets
`_ROOT` shares, and a phrase that ends or begins on it speaks for it, as does one whose lowest note it is. Notes of a
line follow from one another, so all of them together speak as loudly as `_SPEAKING_NOTES` independent ones.
Reference: D. Temperley, Music and Probability, MIT Press 2007, chapter 6 (keys by Bayes' rule over pitch classes); the
shares are ours.

The position: the forms of the guessed key that hold the notes, changed as seldom as possible (dynamic programming).
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from trainer.theory.fretboard import Location
from trainer.theory.pitch import note_named
from trainer.theory.positions import Form, Positions
from trainer.theory.scale import SCALES, Key
from trainer.theory.tuning import Tuning

_ROOTS = ("C", "C# Db", "D", "D# Eb", "E", "F", "F# Gb", "G", "G# Ab", "A", "A# Bb", "B")
_COMMON = {"major": 4.0, "minor": 4.0, "minor pentatonic": 4.0, "major pentatonic": 2.0, "blues": 1.5, "dorian": 1.5}
_OUTSIDE = 0.04
_ROOT = 1.6
_ENDS, _BEGINS, _LOWEST = math.log(4), math.log(2.5), math.log(2)
_SPEAKING_NOTES = 24
_CHANGE_COST, _OUTSIDE_COST = 1.0, 2.0


@dataclass(frozen=True, slots=True)
class KeyGuess:
    """The likeliest key."""

    key: Key
    probability: float
    notes_probability: float
    """Of all keys that have the same notes, such as a minor key and its relative major."""
    inside: float
    """Share of the notes that lie in it."""
    next_best: Key

    @property
    def in_words(self) -> str:
        """The guess, e.g. `A minor pentatonic (nearly sure: 96 %, all notes lie in it)`."""
        fit = "all notes lie in it" if self.inside == 1 else f"{self.inside:.0%} of the notes lie in it"
        sure = f"{sureness(self.probability)}: {self.probability:.0%}, {fit}"
        return f"{self.key.name} ({sure}); next: {self.next_best.name}"


def sureness(probability: float) -> str:
    """How sure a guess is, in words."""
    if probability >= 0.9:
        return "nearly sure"
    return "likely" if probability >= 0.6 else "only a guess"


def guessed_key(pitches: Sequence[int]) -> KeyGuess:
    """The likeliest key of a phrase; `ValueError` without notes."""
    if not pitches:
        raise ValueError("a key cannot be guessed from no notes")
    counts = Counter(pitch % 12 for pitch in pitches)
    loudness = min(1.0, _SPEAKING_NOTES / len(pitches))
    keys = _keys()
    scored = sorted(
        ((_log_likelihood(key, pitches, counts, loudness), at) for at, key in enumerate(keys)), reverse=True
    )
    best_score, best = scored[0]
    weights = {at: math.exp(score - best_score) for score, at in scored}
    total = sum(weights.values())
    same = sum(weight for at, weight in weights.items() if keys[at].pitch_classes == keys[best].pitch_classes)
    inside = sum(count for pitch_class, count in counts.items() if pitch_class in keys[best].pitch_classes)
    return KeyGuess(keys[best], 1 / total, same / total, inside / len(pitches), keys[scored[1][1]])


@cache
def _keys() -> tuple[Key, ...]:
    """Every scale on every root, the root spelled so that the scale needs the fewest accidentals."""
    return tuple(
        min(
            (Key(note_named(name), scale) for name in names.split()),
            key=lambda key: sum(abs(note.accidental) for note in key.notes),
        )
        for names in _ROOTS
        for scale in SCALES.values()
    )


def _log_likelihood(key: Key, pitches: Sequence[int], counts: Counter[int], loudness: float) -> float:
    root, size = key.root.pitch_class, len(key.scale.degrees)
    share = (1 - _OUTSIDE) / (size - 1 + _ROOT)
    outside = _OUTSIDE / (12 - size)
    score = math.log(_COMMON.get(key.scale.name, 1.0))
    for pitch_class, count in counts.items():
        is_inside = pitch_class in key.pitch_classes
        each = _ROOT * share if pitch_class == root else share if is_inside else outside
        score += loudness * count * math.log(each)
    score += _ENDS * (pitches[-1] % 12 == root) + _BEGINS * (pitches[0] % 12 == root)
    return score + _LOWEST * (min(pitches) % 12 == root)


def guessed_positions(
    locations: Sequence[Location], key: Key, tuning: Tuning, last_fret: int
) -> tuple[int | None, ...]:
    """The position of each note: the forms that hold them, changed as seldom as can be; None for a note in no form."""
    if not locations:
        return ()
    courses = sorted({location.course for location in locations})
    positions = Positions(key, tuning, min(key.scale.notes_a_string, len(key.scale.degrees)), last_fret)
    forms = [form for form in (positions.form(rung, courses) for rung in positions.rungs(courses)) if form.notes]
    if not forms:
        return (None,) * len(locations)
    held = [frozenset(form.notes) for form in forms]
    costs = [0.0] * len(forms)
    back: list[list[int]] = []
    for location in locations:
        cheapest = min(range(len(forms)), key=costs.__getitem__)
        came = [at if costs[at] <= costs[cheapest] + _CHANGE_COST else cheapest for at in range(len(forms))]
        costs = [
            costs[source] + _CHANGE_COST * (source != at) + _OUTSIDE_COST * (location not in held[at])
            for at, source in enumerate(came)
        ]
        back.append(came)
    return _numbers(locations, forms, held, back, min(range(len(forms)), key=costs.__getitem__))


def _numbers(
    locations: Sequence[Location],
    forms: Sequence[Form],
    held: Sequence[frozenset[Location]],
    back: Sequence[Sequence[int]],
    last: int,
) -> tuple[int | None, ...]:
    numbers: list[int | None] = []
    at = last
    for location, came in zip(reversed(locations), reversed(back), strict=True):
        numbers.append(forms[at].number if location in held[at] else None)
        at = came[at]
    return tuple(reversed(numbers))
