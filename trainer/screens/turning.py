"""Turning over lines that do not all fit into their room."""

GOES_ON = " …"
"""Stands behind a last line that more follow."""


def turned_to(count: int, room: int, turned: int) -> range:
    """Which of `count` lines are seen when only `room` fit and they were turned over so often, round and round.

    >>> turned_to(10, 4, 2), turned_to(10, 4, 3), turned_to(3, 4, 1)
    (range(8, 10), range(0, 4), range(0, 3))
    """
    first = turned % max(1, -(-count // room)) * room
    return range(first, min(count, first + room))
