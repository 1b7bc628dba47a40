"""How far a note is from where the player's own pace led: the deviation when no click says what is due.

The last notes played in order, as (played ns, written ns), give a straight line; the deviation is how much later than
that line the note came, to the microsecond. The line is the median of the slopes between all pairs and the median of
what is left (Theil 1950, Sen 1968; from memory), so that one late note does not make the next ones look early. The
tempo that is written does not count: who plays evenly reads as even at any tempo, once there are notes enough to tell.
"""

from itertools import combinations
from statistics import median

Trail = tuple[tuple[int, int], ...]
"""(when it was played, when it was written), ns each, of notes in order without a pause or a jump between them."""

LONGEST_TRAIL = 8
"""As far back as a pace is taken to be one: two beats of sixteenths. Our own choice."""
SHORTEST_TRAIL = 3
"""Two notes make a line, and a third says whether it is one."""
TO_US = 1000


def deviation_ns(trail: Trail) -> int | None:
    """How late the last note of `trail` is by the ones before it, ns; None when they are too few to tell.

    >>> deviation_ns(((0, 0), (150, 100), (300, 200), (1_000_450, 300)))
    1000000
    >>> deviation_ns(((0, 0), (150, 100), (300, 200))) is None
    True
    """
    *before, (played_ns, written_ns) = trail
    slopes = [(b - a) / (d - c) for (a, c), (b, d) in combinations(before, 2) if d != c]
    if len(before) < SHORTEST_TRAIL or not slopes:
        return None
    slope = median(slopes)
    start = median(played - slope * written for played, written in before)
    return round((played_ns - start - slope * written_ns) / TO_US) * TO_US
