"""Places on the neck.

Conventions: a *course* is a string counted from the highest-pitched one, which is 1 (MusicXML 4.0, element `string`);
fret 0 is the open string.
"""

from typing import NamedTuple


class Location(NamedTuple):
    """Where a note is fretted."""

    course: int
    """String, 1 = the highest-pitched."""
    fret: int
    """Fret, 0 = open."""
