"""Tunings: the sounding pitch of each open string.

Conventions: pitches are MIDI numbers as they sound (60 = middle C, open low E of a guitar = 40), course 1 first.
"""

from dataclasses import dataclass

from trainer.theory.fretboard import Location


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
