"""Rhythm: how long each onset of a line lasts.

A rhythm is a figure of durations that repeats from the first note to the last, whatever the cells do, so that odd
groups inside an even subdivision make the accent wander over the beat.

Written as words: `sixteenths`, `triplets`, `5 a beat`, `4 then 3 a beat` (beat by beat), or a figure, its values joined
by `+`: `dotted eighth + sixteenth`, `eighth + two sixteenths`, `5 sixteenths + dotted eighth rest`, `quarter tied to
sixteenth + dotted eighth`. Triplets, quintuplets, sextuplets and septuplets divide a quarter.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import combinations_with_replacement, groupby

from trainer.score.words import Words, number_of, number_word
from trainer.theory.naming import UnknownWord

MOST_A_BEAT = 8
MOST_TIED = 3
_MOST_ALIKE = 64

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
VALUE_NAMES = tuple(_VALUES)
# Plain values first, so that a quarter and a half is dotted and two triplets are not a dotted something.
_NAMED = _VALUES | {f"dotted {name}": value * Fraction(3, 2) for name, value in _VALUES.items()}


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
    figure = _figure_of(plain)
    if all(figure.rests):
        raise UnknownWord(text.strip(), "a rhythm: it has only rests")
    return figure


def duration_of(text: str) -> Fraction:
    """The time that a text such as `an eighth`, `two sixteenths` or `dotted eighth` takes, in quarters."""
    return sum(_figure_of(" ".join(text.lower().split())).durations_quarters, Fraction(0))


def rhythm_text(rhythm: Rhythm) -> str:
    """The words for a rhythm: `rhythm_of` reads them back.

    >>> rhythm_text(rhythm_of("eighth + sixteenth + sixteenth"))
    'eighth + two sixteenths'
    """
    if isinstance(rhythm, Division):
        return " then ".join(map(str, rhythm.notes_a_beat)) + " a beat"
    if len(rhythm.durations_quarters) == 1 and (name := duration_text(rhythm.durations_quarters[0])) in _VALUES:
        return f"{name}s"
    parts: list[str] = []
    for (duration, is_rest), same in groupby(zip(rhythm.durations_quarters, rhythm.rests, strict=True)):
        count = len(list(same))
        while count > 0:
            parts.append(_alike_text(duration, min(count, _MOST_ALIKE), is_rest=is_rest))
            count -= _MOST_ALIKE
    return " + ".join(parts)


@cache
def duration_text(duration_quarters: Fraction) -> str:
    """The words for one duration: a value, or values tied; `ValueError` for one that no `MOST_TIED` values make.

    >>> duration_text(Fraction(5, 4))
    'quarter tied to sixteenth'
    """
    for tied in range(1, MOST_TIED + 1):
        for names in combinations_with_replacement(_NAMED, tied):
            if sum(_NAMED[name] for name in names) == duration_quarters:
                return " tied to ".join(sorted(names, key=_NAMED.__getitem__, reverse=True))
    raise ValueError(f"{duration_quarters} quarters are not made of {MOST_TIED} note values")


def _alike_text(duration: Fraction, count: int, *, is_rest: bool) -> str:
    name = duration_text(duration)
    rest = " rest" if is_rest else ""
    if count == 1:
        return name + rest
    if " tied to " in name:
        return " + ".join([name + rest] * count)
    return f"{number_word(count)} {name}{rest}s"


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


def _figure_of(plain: str) -> Figure:
    durations: list[Fraction] = []
    rests: list[bool] = []
    for part in plain.split("+"):
        times, duration, is_rest = _part_of(Words(part))
        durations += [duration] * times
        rests += [is_rest] * times
    return Figure(tuple(durations), tuple(rests))


def _part_of(words: Words) -> tuple[int, Fraction, bool]:
    """How often a part of a figure comes, its duration, and whether it is silent."""
    times = 1
    if (count := number_of(words.next)) is not None:
        words.take("")
        times = count
        if not 1 <= times <= _MOST_ALIKE:
            raise UnknownWord(str(times), f"a number of notes, 1 to {_MOST_ALIKE}")
    tied = [_value_of(words)]
    while words.skip("tied"):
        words.skip("to")
        if number_of(words.next) == 1:
            words.take("")
        tied.append(_value_of(words))
        if len(tied) > MOST_TIED:
            raise UnknownWord("tied", f"part of a rhythm: at most {MOST_TIED} values are tied")
    is_rest = words.skip("rest") or words.skip("rests")
    if words:
        raise UnknownWord(words.next, "part of a rhythm: join values with +", ("rest", "tied"))
    return times, sum(tied, Fraction(0)), is_rest


def _value_of(words: Words) -> Fraction:
    is_dotted = words.skip("dotted")
    name = words.take("a note value")
    singular = name if name in _VALUES else name.removesuffix("s").removesuffix("-note")
    if singular not in _VALUES:
        raise UnknownWord(name, "a note value", (*(f"{value}s" for value in _VALUES), "dotted", "rest"))
    return _VALUES[singular] * (Fraction(3, 2) if is_dotted else 1)
