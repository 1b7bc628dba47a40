"""What a phrase says of its beat besides when its notes begin: which notes are loud, and where its figures repeat.

Even notes at one tempo are the same moments as half as many a beat at double the tempo; a listener decides by accents
and by parallel figures, and otherwise by the tempo that is most usual (which `grid` prices). A row of places is told in
nats what it explains of both, always against a description that needs no beat at all (minimum description length), so
that an even velocity, a scale that runs on or a single note says nothing:

- accents: a period of beats, from some beat on, is paid for by how much narrower velocities lie around two means, one
  on the period and one off it, than around one; the second mean costs half the logarithm of the number of notes;
- figures: at a period of beats, more notes move as the note a period before did than do at any odd distance; the first
  figure has to be said note by note, so that a longer period saves less.

A period of one beat is likelier than one of several: `_PERIODS`.

References: F. Lerdahl, R. Jackendoff, A Generative Theory of Tonal Music, MIT Press 1983, chapter 4 (metrical
preference rules 1, parallelism, and 4, stress); D. Temperley, C. Bartlette, "Parallelism as a factor in metrical
analysis", Music Perception 20(2), 2002; G. Schwarz, "Estimating the dimension of a model", Annals of Statistics 6(2),
1978 (the price of a mean). The shares of the periods are ours, no source.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean

from trainer.score.grid import Hint
from trainer.score.grid_walk import TICKS

_PERIODS = {1: 0.8, 2: 0.1, 3: 0.02, 4: 0.08}
"""How likely accents come and figures repeat every so many beats."""
_FAINTEST_SD = 4.0
"""Velocities nearer than this are one loudness."""
_LONGEST_REPEAT = 16
"""Notes; the distances over which it is asked how often notes move alike by chance."""
_SPEAKING_NOTES = 32
"""Notes of a line follow from one another: all of them speak as loudly as so many independent ones at most."""


def beat_hint(velocities: Sequence[float], pitches: Sequence[int]) -> Hint:
    """The hint that the velocities and pitches of a row of onsets give."""
    moves = [0, *((after > before) - (after < before) for before, after in pairwise(pitches))]
    chance = _alike_by_chance(moves)

    def hint(places: Sequence[int]) -> float:
        heard = velocities[: len(places)]
        return _accents(places, heard) + _figures(places, moves, chance)

    return hint


def _accents(places: Sequence[int], velocities: Sequence[float]) -> float:
    """What the places save in describing how loud the notes are, as negative nats; 0 when nothing is saved."""
    base = len(places) * _FAINTEST_SD**2
    total = _squares(velocities) + base
    best = 0.0
    for beats, share in _PERIODS.items():
        price = 0.5 * math.log(len(places)) - math.log(share) + math.log(beats)
        for first in range(beats):
            is_on = [place % (beats * TICKS) == first * TICKS for place in places]
            on = [velocity for velocity, here in zip(velocities, is_on, strict=True) if here]
            off = [velocity for velocity, here in zip(velocities, is_on, strict=True) if not here]
            if on and off and fmean(on) > fmean(off):
                within = _squares(on) + _squares(off) + base
                best = min(best, len(places) / 2 * math.log(within / total) + price)
    return best


def _squares(values: Sequence[float]) -> float:
    mean = fmean(values)
    return sum((value - mean) ** 2 for value in values)


def _alike_by_chance(moves: Sequence[int]) -> float:
    """How often two notes at any small distance move alike."""
    alike = compared = 0
    for distance in range(1, _LONGEST_REPEAT + 1):
        for before, after in zip(moves[1:], moves[1 + distance :], strict=False):
            alike += before == after
            compared += 1
    return (alike + 1) / (compared + 2)


def _figures(places: Sequence[int], moves: Sequence[int], chance: float) -> float:
    """What the places save in describing which way the notes move, as negative nats; 0 when nothing is saved."""
    index = {place: at for at, place in enumerate(places)}
    best = 0.0
    for beats, share in _PERIODS.items():
        pairs = [
            (before, at) for place, at in index.items() if at and (before := index.get(place - beats * TICKS, 0)) > 0
        ]
        if not pairs:
            continue
        alike = (sum(moves[before] == moves[at] for before, at in pairs) + 1) / (len(pairs) + 2)
        if alike > chance:
            gain = alike * math.log(alike / chance) + (1 - alike) * math.log((1 - alike) / (1 - chance))
            said_once = len(places) - len(pairs)
            best = min(best, -max(min(len(places), _SPEAKING_NOTES) - said_once, 0) * gain - math.log(share))
    return best
