"""Where the notes of chords lie, so that each voice moves as little as it can from chord to chord.

Conventions: a voicing is its pitches, lowest first, each note of the chord once, within a little over an octave. The
chords are a loop: the step from the last back to the first counts like the others. Of five notes the fifth is left out.
"""

from collections.abc import Sequence
from itertools import pairwise, product

from trainer.theory.chords import Chord

LOWEST, HIGHEST = 52, 71
"""E3 to B4: above a bass, below most of a line."""
WIDEST = 14
"""Semitones from the lowest to the highest note."""
MIDDLE = 61
MOST_NOTES = 4
_FIFTH = 7

Voicing = tuple[int, ...]


def voicings(chord: Chord) -> tuple[Voicing, ...]:
    """All voicings of a chord."""
    kept = [
        pitch_class
        for pitch_class, semitones in zip(chord.pitch_classes, chord.semitones, strict=True)
        if len(chord.semitones) <= MOST_NOTES or semitones != _FIFTH
    ]
    places = [range(LOWEST + (pitch_class - LOWEST) % 12, HIGHEST + 1, 12) for pitch_class in kept]
    found = (tuple(sorted(pitches)) for pitches in product(*places))
    return tuple(sorted({pitches for pitches in found if pitches[-1] - pitches[0] <= WIDEST}))


def movement(before: Voicing, after: Voicing) -> int:
    """Semitones that all voices move together; a voice too many moves to or from the nearest one."""
    if len(before) == len(after):
        return sum(abs(low - high) for low, high in zip(before, after, strict=True))
    many, few = sorted((before, after), key=len, reverse=True)
    return sum(min(abs(pitch - other) for other in few) for pitch in many)


def led(chords: Sequence[Chord]) -> tuple[Voicing, ...]:
    """A voicing of each chord, with the least movement round the loop; of such the one nearest to the middle."""
    choices = [voicings(chord) for chord in chords]
    loops = (_led_from(first, choices) for first in choices[0])
    return min(loops, key=lambda loop: loop[0])[1]


def _led_from(first: Voicing, choices: list[tuple[Voicing, ...]]) -> tuple[tuple[int, float], tuple[Voicing, ...]]:
    """The best loop that begins with `first`, with its cost."""
    way: tuple[Voicing, ...] = (first,)
    ends = {first: ((0, _off_middle(first)), way)}
    for _, following in pairwise(choices):
        ends = {
            voicing: min(
                ((moved + movement(last, voicing), off + _off_middle(voicing)), (*way, voicing))
                for last, ((moved, off), way) in ends.items()
            )
            for voicing in following
        }
    return min(((moved + movement(last, first), off), way) for last, ((moved, off), way) in ends.items())


def _off_middle(voicing: Voicing) -> float:
    return abs(sum(voicing) / len(voicing) - MIDDLE)
