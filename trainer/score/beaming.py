"""Beams: which signs of a bar are drawn together, and how far each beam reaches.

Rules of common notation (Gould, Behind Bars, on beaming and irregular meters, from memory):
- A beam shows the groups of the meter (`trainer.score.groups`) and never hides one; over a half it reaches only as long
  as nothing is shorter than an eighth.
- A tuplet is beamed as a whole, in the group where it begins.
- A rest ends a beam.
- Where a neighbour has fewer beams, a stub points to the sign that completes the next larger value.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, groupby

from trainer.score.groups import beam_spans
from trainer.score.meter import Meter
from trainer.score.notation import Sign, Voice

_EIGHTH_FLAGS = 1


@dataclass(frozen=True, slots=True)
class Beam:
    """A beam of a group, from sign to sign of it, or a stub at one."""

    level: int
    """0 = the outermost, which all signs of the group share."""
    first: int
    last: int
    side: int = 0
    """Of a stub: 1 to the right, -1 to the left."""


def beam_groups(voice: Voice, meter: Meter) -> tuple[tuple[Sign, ...], ...]:
    """The runs of two or more signs of one bar that are beamed together."""
    ends = list(accumulate(beam_spans(meter)))
    groups: list[list[tuple[Sign, Fraction]]] = []
    before: int | None = None
    for sign, start in _with_starts(voice):
        span = bisect_right(ends, start % meter.bar_quarters) if flags_of(sign) else None
        if span is not None and span == before:
            groups[-1].append((sign, start))
        elif span is not None:
            groups.append([(sign, start)])
        before = span
    split = (part for group in groups for part in _by_quarters(group, meter))
    return tuple(group for group in split if len(group) > 1)


def flags_of(sign: Sign) -> int:
    """How many beams or flags a sign has; 0 for a rest and for what has no value."""
    return 0 if sign.is_rest or sign.value is None else sign.value.flags


def beams_of(group: Sequence[Sign], meter: Meter) -> tuple[Beam, ...]:
    """The beams of a group, the outermost first."""
    flags = [flags_of(sign) for sign in group]
    beams: list[Beam] = []
    for level in range(max(flags)):
        for reaches, run in groupby(range(len(group)), key=[count > level for count in flags].__getitem__):
            members = list(run)
            first, last = members[0], members[-1]
            if reaches:
                side = _stub_side(group, first, meter) if first == last else 0
                beams.append(Beam(level, first, last, side))
    return tuple(beams)


def _with_starts(voice: Voice) -> Iterator[tuple[Sign, Fraction]]:
    """Each sign with the moment that decides its group: its onset, or that of its tuplet."""
    in_tuplet, start = False, Fraction(0)
    for sign in voice:
        if not in_tuplet or sign.tuplet is None or sign.tuplet_begins:
            start = sign.onset_quarters
        in_tuplet = sign.tuplet is not None and not sign.tuplet_ends
        yield sign, start


def _by_quarters(group: Sequence[tuple[Sign, Fraction]], meter: Meter) -> Iterator[tuple[Sign, ...]]:
    """A group over a half is cut at its quarter where it holds anything but plain eighths."""
    is_plain = all(flags_of(sign) == _EIGHTH_FLAGS and sign.tuplet is None for sign, _ in group)
    parts = (
        [group] if is_plain or meter.beat_unit >= 4 else [list(g) for _, g in groupby(group, lambda one: one[1] // 1)]
    )
    for part in parts:
        yield tuple(sign for sign, _ in part)


def _stub_side(group: Sequence[Sign], at: int, meter: Meter) -> int:
    if at == 0:
        return 1
    if at == len(group) - 1:
        return -1
    sign = group[at]
    if sign.value is None:
        return -1
    start, ratio = Fraction(0), Fraction(1)
    if sign.tuplet is not None:
        begun = [one.onset_quarters for one in group[: at + 1] if one.tuplet_begins]
        start, ratio = (begun[-1] if begun else group[0].onset_quarters), sign.tuplet.ratio
    else:
        start = sign.onset_quarters // meter.bar_quarters * meter.bar_quarters
    written = (sign.onset_quarters - start) * ratio
    return 1 if written % (2 * sign.value.plain_quarters) == 0 else -1
