"""What whether a pass was clean depends on, besides its letters: notes that nobody wrote, spread, and the hit window.

They are facts, kept beside the letters so that the database can count clean passes by the one rule of
`trainer.coaching.clean` (`figures` puts its limits into the query).
"""

import json
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice
from statistics import pstdev

from trainer.coaching.clean import window_of
from trainer.following.tolerance import Tolerance
from trainer.history import letters
from trainer.history.packing import EXTRA, NO_DEVIATION, NOTE
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict
from trainer.score.tempo import Tempo

NS_PER_MS = 1_000_000


@dataclass(frozen=True, slots=True)
class PassFacts:
    """Of one pass."""

    extra: int
    """Heard notes that belong to no written one and are charged: those after a note of this pass, before another's."""
    spread_ns: int | None
    """Standard deviation of the matched notes' deviations; None for fewer than two."""


def facts_of_passes(notes: bytes, extras: bytes, words: Sequence[str]) -> tuple[PassFacts, ...]:
    """The facts of the passes of a take by its packed records; `words` are the letters of each pass."""
    records = NOTE.iter_unpack(notes)
    played: list[tuple[int, int]] = []
    spreads: list[int | None] = []
    for number, outcomes in enumerate(words):
        deviations: list[int] = []
        for outcome, (heard, _, deviation_ns) in zip(outcomes, islice(records, len(outcomes)), strict=True):
            if outcome in letters.MATCHED and deviation_ns != NO_DEVIATION:
                deviations.append(deviation_ns)
            if outcome in letters.MATCHED or outcome in letters.WRONG:
                played.append((heard, number))
        spreads.append(round(pstdev(deviations)) if len(deviations) > 1 else None)
    counts = [0] * len(words)
    if counts:
        for pass_number in _passes_of_extras(sorted(played), extras):
            counts[pass_number] += 1
    return tuple(PassFacts(extra, spread) for extra, spread in zip(counts, spreads, strict=True))


def window_ns_of(line: Exercise, quarters_per_minute: Fraction, tolerance: Tolerance) -> int | None:
    """The hit window of most notes of a line at a tempo; None for a line without notes."""
    return round(window_of(line, Tempo(quarters_per_minute), tolerance) * NS_PER_MS) if line.notes else None


def kept_window_ns(serial: bytes, numerator: int, denominator: int, tolerance: str) -> int | None:
    """The same of a line, a tempo and limits as the history keeps them."""
    line = exercise_from_dict(json.loads(zlib.decompress(serial)))
    return window_ns_of(line, Fraction(numerator, denominator), Tolerance(**json.loads(tolerance)))


def _passes_of_extras(played: Sequence[tuple[int, int]], extras: bytes) -> list[int]:
    """For each charged extra note the pass of the last written one that was heard before it, else the first pass."""
    charged = sorted(heard for heard, _, is_charged in EXTRA.iter_unpack(extras) if is_charged)
    found: list[int] = []
    at, number = 0, played[0][1] if played else 0
    for heard in charged:
        while at < len(played) and played[at][0] < heard:
            number = played[at][1]
            at += 1
        found.append(number)
    return found
