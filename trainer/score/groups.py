"""How a bar falls into groups: what one beam may join, and what one rest may fill.

Rules of common notation (Gould, Behind Bars, on beaming, rests and irregular meters, from memory): a beam shows a
quarter in simple meters, a dotted beat in compound ones (6/8, 9/8, 12/8) and a half in 2/2 and its like. Odd meters are
two and two and, last, three: 5/8 = 2 + 3, 7/8 = 2 + 2 + 3; other divisions are as good, and an exercise does not say
which is meant. A rest does not reach over the middle of 4/4, nor over a beat of 3/4 or 5/4, nor out of a group of an
eighth meter.
"""

from fractions import Fraction
from itertools import accumulate

from trainer.score.meter import Meter


def beam_spans(meter: Meter) -> tuple[Fraction, ...]:
    """The lengths of the groups of a bar, in quarters; together they are the bar.

    >>> [str(span) for span in beam_spans(Meter(7, 8))]
    ['1', '1', '3/2']
    """
    beat = meter.beat_quarters
    if meter.beat_unit < 8:
        span = min(max(beat, Fraction(1)), Fraction(2))
        return (span,) * int(meter.bar_quarters / span)
    if meter.beats % 3 == 0:
        return (3 * beat,) * (meter.beats // 3)
    if meter.bar_quarters.denominator == 1:
        return (Fraction(1),) * int(meter.bar_quarters)
    twos, odd = divmod(meter.beats, 2)
    if odd and twos:
        return (*(2 * beat,) * (twos - 1), 3 * beat)
    return (2 * beat,) * twos or (beat,)


def rest_ends(meter: Meter) -> tuple[Fraction, ...]:
    """The moments of a bar that no rest but that of the whole bar reaches over, in quarters from the bar line.

    >>> [str(end) for end in rest_ends(Meter(4, 4))]
    ['2', '4']
    """
    if meter.beat_unit >= 8:
        spans = beam_spans(meter)
    else:
        beats = next(count for count in (3 if meter.beats > 3 else 1, 2, 1) if meter.beats % count == 0)
        spans = (beats * meter.beat_quarters,) * (meter.beats // beats)
    return tuple(accumulate(spans))
