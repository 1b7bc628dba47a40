"""Tunings: the sounding pitch of each open string.

Conventions: pitches are MIDI numbers as they sound (60 = middle C, open low E of a guitar = 40), course 1 first.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass

from trainer.shipped import SHARED
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord, folded
from trainer.theory.pitch import pitch_named


@dataclass(frozen=True, slots=True)
class Tuning:
    """The open strings of an instrument, course 1 (the highest-pitched string) first."""

    name: str
    open_pitches: tuple[int, ...]

    @property
    def courses(self) -> range:
        """All courses, 1 first."""
        return range(1, len(self.open_pitches) + 1)

    def pitch_at(self, location: Location) -> int:
        """The sounding pitch of a place on the neck; `ValueError` for a course that the instrument lacks."""
        if location.course not in self.courses:
            raise ValueError(f"course {location.course} is not in 1..{len(self.open_pitches)}")
        return self.open_pitches[location.course - 1] + location.fret

    def fret_of(self, course: int, pitch: int) -> int | None:
        """The fret that sounds `pitch` on `course`; None below the open string."""
        fret = pitch - self.open_pitches[course - 1]
        return fret if fret >= 0 else None

    def locations_of(self, pitch: int, last_fret: int) -> tuple[Location, ...]:
        """Every place that sounds `pitch` on a neck of `last_fret` frets, course 1 first."""
        frets = ((course, self.fret_of(course, pitch)) for course in self.courses)
        return tuple(Location(course, fret) for course, fret in frets if fret is not None and fret <= last_fret)


def _read_tunings() -> tuple[dict[str, Tuning], dict[str, Tuning]]:
    rows = json.loads((SHARED / "tunings.json").read_text(encoding="utf-8"))["tunings"]
    tunings: dict[str, Tuning] = {}
    by_any_name: dict[str, Tuning] = {}
    for row in rows:
        open_pitches = tuple(pitch_named(name) for name in reversed(row["open_strings"].split()))
        tuning = tunings[row["name"]] = Tuning(row["name"], open_pitches)
        by_any_name |= {folded(name): tuning for name in (row["name"], *row.get("also", ()))}
    return tunings, by_any_name


_TUNINGS, _BY_ANY_NAME = _read_tunings()

TUNINGS: Mapping[str, Tuning] = _TUNINGS
"""Every tuning by its name."""


def tuning_named(name: str) -> Tuning:
    """The tuning of that name or by-name, e.g. `drop-d`, `half step down`; `UnknownWord` with the nearest one."""
    key = folded(name).removesuffix("-tuning")
    if key not in _BY_ANY_NAME:
        raise UnknownWord(name, "a tuning", TUNINGS)
    return _BY_ANY_NAME[key]
