"""Where else in the line the last heard notes stand: what frees a reading that has gone astray.

The search looks for jumps near by and only where a player would jump. That misses some: a place far away, a restart
without a pause, a note too many just after the jump. So once the reading in hand explains the last notes badly, they
are looked up in the whole line, as runs that may leave out a note or hold a strange one, and the places that resemble
them most are read anew as jumps to there (`trainer.following.search.Search.detour`). Only pitch and string count here;
the reading anew weighs everything.
"""

from collections.abc import Sequence
from typing import NamedTuple

from trainer.following.likelihood import jump_fit
from trainer.following.line import Line
from trainer.playing.messages import NoteOnset

LONGEST_TRAIL = 8
"""Heard notes that are looked up."""
SHORTEST_TRAIL = 3.0
"""Notes in place, faults taken off, from which a trail is worth reading anew."""
OTHER_STRING_WEIGHT = 0.5
"""What a note on another string counts; one on its string counts 1."""
STRANGE = 1.0
SKIPPED = ((1, 0.0), (2, 1.1), (3, 1.6))
"""What is taken off for a heard note that does not fit, and for going one, two, three written notes on."""
NOWHERE = (0.0, 0, 0)
DISTANCE_WEIGHT = 0.2
"""A nat of the prior over distances in notes in place; settles between equals."""


class Trail(NamedTuple):
    """Some of the heard notes as a run through the line."""

    weight: float
    """Notes in place less faults."""
    first_heard: int
    """Place of its first note among those looked up."""
    first_index: int
    """The written note where it begins."""
    last_index: int


def trails(line: Line, heard: Sequence[NoteOnset], following: int) -> list[Trail]:
    """The best places for the last notes of `heard`, the likeliest first.

    `following` is the written note from which jumps are measured.
    """
    running: dict[int, tuple[float, int, int]] = {}
    for place, note in enumerate(heard):
        # What cannot come up to the shortest trail by the last note is let go of at once.
        least = SHORTEST_TRAIL - (len(heard) - place - 1)
        grown = {
            index: (trail[0] - STRANGE, trail[1], trail[2])
            for index, trail in running.items()
            if trail[0] > 1 and trail[0] - STRANGE >= least
        }
        for index in line.places_of(note.pitch, 0, line.size - 1):
            weight = 1.0 if note.course in (None, line.courses[index]) else OTHER_STRING_WEIGHT
            best = grown.get(index, NOWHERE)
            if best[0] < weight:
                best = (weight, place, index)
            for back, cost in SKIPPED:
                before = running.get(index - back)
                if before is not None and before[0] + weight - cost > best[0]:
                    best = (before[0] + weight - cost, before[1], before[2])
            if best[0] >= least:
                grown[index] = best
        running = grown
    worth = [Trail(*trail, index) for index, trail in running.items() if trail[0] >= SHORTEST_TRAIL]
    worth.sort(key=lambda trail: -trail.weight - DISTANCE_WEIGHT * jump_fit(trail.first_index - following))
    return worth
