"""Rhythm: how long each onset of a line lasts.

A rhythm is a figure of durations that repeats from the first note to the last, whatever the cells do, so that odd
groups inside an even subdivision make the accent wander over the beat.

Written as words: `sixteenths`, `triplets`, `5 a beat`, `4 then 3 a beat` (beat by beat), or a figure, its values joined
by `+`: `dotted eighth + sixteenth`, `eighth + two sixteenths`, `5 sixteenths + dotted eighth rest`. Triplets,
quintuplets, sextuplets and septuplets divide a quarter.
"""

from dataclasses import dataclass
from fractions import Fraction

from trainer.score.words import Words, number_of
from trainer.theory.naming import UnknownWord

MOST_A_BEAT = 8

_VALUES = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "triplet": Fraction(1, 3),
    "sixteenth": Fraction(1, 4),
    "quintuplet": Fraction(1, 5),
    "sextuplet": Fraction(1, 6),
    "septuplet": Fraction(1, 7),
    "thirty-second": Fraction(1, 8),
}


@dataclass(frozen=True, slots=True)
class Figure:
    """Durations that repeat."""

    durations_quarters: tuple[Fraction, ...]
    rests: tuple[bool, ...]
    """Which of the durations are silent."""


@dataclass(frozen=True, slots=True)
class Division:
    """Equal notes in each beat, a number for each beat in turn."""

    notes_a_beat: tuple[int, ...]


Rhythm = Figure | Division


def figure_of(rhythm: Rhythm, beat_quarters: Fraction) -> Figure:
    """The durations of a rhythm where a beat lasts `beat_quarters`."""
    if isinstance(rhythm, Figure):
        return rhythm
    durations = [beat_quarters / count for count in rhythm.notes_a_beat for _ in range(count)]
    return Figure(tuple(durations), (False,) * len(durations))


def rhythm_of(text: str) -> Rhythm:
    """The rhythm that a text describes; `UnknownWord` at the first word that means nothing."""
    plain = " ".join(text.lower().split())
    for ending in (" a beat", " per beat", " notes a beat"):
        if plain.endswith(ending) and "+" not in plain:
            return _division_of(plain.removesuffix(ending).removesuffix(" notes"))
    durations: list[Fraction] = []
    rests: list[bool] = []
    for part in plain.split("+"):
        times, duration, is_rest = _value_of(Words(part))
        durations += [duration] * times
        rests += [is_rest] * times
    if all(rests):
        raise UnknownWord(text.strip(), "a rhythm: it has only rests")
    return Figure(tuple(durations), tuple(rests))


def _division_of(text: str) -> Division:
    counts: list[int] = []
    for word in text.replace(" then ", " ").split():
        count = number_of(word)
        if count is None or not 1 <= count <= MOST_A_BEAT:
            raise UnknownWord(word, f"a number of notes a beat, 1 to {MOST_A_BEAT}")
        counts.append(count)
    if not counts:
        raise UnknownWord("", f"a number of notes a beat, 1 to {MOST_A_BEAT}")
    return Division(tuple(counts))


def _value_of(words: Words) -> tuple[int, Fraction, bool]:
    times = 1
    if (count := number_of(words.next)) is not None:
        words.take("")
        times = count
        if not 1 <= times <= 64:
            raise UnknownWord(str(times), "a number of notes, 1 to 64")
    is_dotted = words.skip("dotted")
    name = words.take("a note value")
    singular = name if name in _VALUES else name.removesuffix("s").removesuffix("-note")
    if singular not in _VALUES:
        raise UnknownWord(name, "a note value", (*(f"{value}s" for value in _VALUES), "dotted", "rest"))
    is_rest = words.skip("rest") or words.skip("rests")
    if words:
        raise UnknownWord(words.next, "part of a rhythm: join values with +", ("rest",))
    return times, _VALUES[singular] * (Fraction(3, 2) if is_dotted else 1), is_rest
