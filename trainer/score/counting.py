"""How a line is counted aloud.

Two notes a beat are counted `1 &`, three `1 trip let`, four `1 e & a`, six `1 trip let & trip let`, eight
`1 ta e ta & ta a ta`; five and seven go on from the beat's own number: `2 2 3 4 5`. Common teaching practice, no
source; other countings are in use, so whoever shows one prints what it means.
"""

from collections.abc import Collection, Sequence
from fractions import Fraction
from itertools import groupby
from math import ceil

from trainer.score.meter import Meter

UNCOUNTED = "."
"""Stands for a note off every subdivision that has a name."""

# What follows the beat's number, by notes a beat.
_AFTER_BEAT = {
    1: (),
    2: ("&",),
    3: ("trip", "let"),
    4: ("e", "&", "a"),
    5: ("2", "3", "4", "5"),
    6: ("trip", "let", "&", "trip", "let"),
    7: ("2", "3", "4", "5", "6", "7"),
    8: ("ta", "e", "ta", "&", "ta", "a", "ta"),
}


def count_syllables(onsets_quarters: Sequence[Fraction], meter: Meter) -> tuple[str, ...]:
    """What is counted at each of the onsets (quarters, ascending; the beat is the meter's written one).

    >>> count_syllables([Fraction(n, 4) for n in range(6)], Meter())
    ('1', 'e', '&', 'a', '2', 'e')
    >>> count_syllables([Fraction(n, 5) for n in range(5, 10)], Meter())
    ('2', '2', '3', '4', '5')
    """
    beats = (onset / meter.beat_quarters for onset in onsets_quarters)
    syllables: list[str] = []
    for beat, onsets in groupby(beats, key=lambda onset: onset // 1):
        offsets = [onset - beat for onset in onsets]
        division = notes_a_beat(offsets)
        syllables += (_syllable(offset, beat % meter.beats + 1, division) for offset in offsets)
    return tuple(syllables)


def counted_moments(onsets_quarters: Collection[Fraction], meter: Meter, end_quarters: Fraction) -> dict[Fraction, str]:
    """What is counted up to `end_quarters`, by moment and in order: each onset, and in brackets each beat without one.

    >>> list(counted_moments([Fraction(1, 2), Fraction(1)], Meter(), Fraction(3)).values())
    ['(1)', '&', '2', '(3)']
    """
    onsets = sorted(dict.fromkeys(onsets_quarters))
    words = dict(zip(onsets, count_syllables(onsets, meter), strict=True))
    beats = (number * meter.beat_quarters for number in range(ceil(end_quarters / meter.beat_quarters)))
    silent = [beat for beat in beats if beat not in words]
    words |= {beat: f"({word})" for beat, word in zip(silent, count_syllables(silent, meter), strict=True)}
    return {moment: words[moment] for moment in sorted(words)} if silent else words


def count_a_beat(division: int) -> str:
    """How a whole beat of `division` notes is counted, e.g. `1 e & a`.

    >>> count_a_beat(3)
    '1 trip let'
    """
    return " ".join(("1", *_AFTER_BEAT[division]))


def notes_a_beat(offsets_beats: Sequence[Fraction]) -> int | None:
    """The smallest even division of the beat that all offsets (0 to under 1 beat) fall on; None without a name."""
    return next((n for n in _AFTER_BEAT if all((offset * n).denominator == 1 for offset in offsets_beats)), None)


def _syllable(offset_beats: Fraction, beat: int, division: int | None) -> str:
    # In a beat of mixed figures each note is counted as if its own were the only one.
    named = offset_beats.denominator if division is None else division
    if named not in _AFTER_BEAT:
        return UNCOUNTED
    return (str(beat), *_AFTER_BEAT[named])[int(offset_beats * named)]
