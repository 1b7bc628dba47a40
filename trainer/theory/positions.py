"""Positions: the shapes in which a scale lies under the hand.

With `n` notes a string, a position runs through consecutive notes of the scale, `n` on each string, from the lowest
string to the highest. Position `p` starts on scale degree `p` on the lowest string (common practice for the pentatonic;
other books number from another shape). A scale of `k` notes so has `k` positions, and the same position again lies 12
frets up: each place on this ladder is a *form*, and neighbouring forms share all but one note of every string, so that
with two notes a string the upper note of one is the lower note of the next. A form is known by its *rung*: the scale
step (see `scale`) of its first note on the lowest string.

Strings are taken in the order of their pitch, which only matters to re-entrant tunings.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.theory.fretboard import Location
from trainer.theory.scale import Key
from trainer.theory.tuning import Tuning


@dataclass(frozen=True, slots=True)
class Form:
    """One position in one octave, as far as it lies on the neck."""

    number: int
    """The position's number, 1 = it starts on the root."""
    rung: int
    """The scale step of its first note on the lowest string; the next higher form has the next rung."""
    notes: tuple[Location, ...]
    """What can be played of it, lowest note first."""
    hidden: int = 0
    """How many of its notes lie past the last fret or behind the nut."""

    @property
    def is_whole(self) -> bool:
        """Whether all of it lies on the neck."""
        return self.hidden == 0

    def frets(self, course: int) -> tuple[int, ...]:
        """The frets of the form on one string, lowest first."""
        return tuple(note.fret for note in self.notes if note.course == course)


@dataclass(frozen=True, slots=True)
class Positions:
    """All positions of a key on a neck."""

    key: Key
    tuning: Tuning
    notes_a_string: int
    last_fret: int = 24

    def __post_init__(self) -> None:
        if not 1 <= self.notes_a_string <= len(self.key.scale.degrees):
            raise ValueError(f"{self.notes_a_string} notes a string are not in 1..{len(self.key.scale.degrees)}")

    @property
    def count(self) -> int:
        """How many positions the scale has before the first one comes again an octave higher."""
        return len(self.key.scale.degrees)

    def number_of(self, rung: int) -> int:
        """The number of the position on a rung, 1..count."""
        return rung % self.count + 1

    def location(self, rung: int, course: int, nth: int) -> Location:
        """Where the `nth` note of a form on a string lies, 0 = its lowest there.

        Below 0 or above the last it is borrowed from a lower or higher form. The fret may lie off the neck.
        """
        step = rung + self._strings_below(course) * self.notes_a_string + nth
        return Location(course, self.key.pitch_of_step(step) - self.tuning.open_pitches[course - 1])

    def is_on_neck(self, location: Location) -> bool:
        """Whether the neck has such a place."""
        return location.course in self.tuning.courses and 0 <= location.fret <= self.last_fret

    def form(self, rung: int, courses: Sequence[int] | None = None) -> Form:
        """The form on a rung, on all strings or some; what lies off the neck is hidden."""
        notes = [
            self.location(rung, course, nth) for course in self.rising(courses) for nth in range(self.notes_a_string)
        ]
        visible = tuple(note for note in notes if self.is_on_neck(note))
        return Form(self.number_of(rung), rung, visible, len(notes) - len(visible))

    def forms(self, courses: Sequence[int] | None = None) -> tuple[Form, ...]:
        """Every form that lies whole on the neck, on all strings or some, lowest first."""
        forms = (self.form(rung, courses) for rung in self.rungs(courses))
        return tuple(form for form in forms if form.is_whole)

    def rungs(self, courses: Sequence[int] | None = None) -> range:
        """Every rung whose form has at least one note on the neck, on all strings or some."""
        chosen = self.rising(courses)
        lowest = min(self._rung_of(course, 0) for course in chosen) - self.notes_a_string + 1
        highest = max(self._rung_of(course, self.last_fret + 1) for course in chosen) - 1
        return range(lowest, highest + 1)

    def rising(self, courses: Sequence[int] | None = None) -> list[int]:
        """The strings, all or some, lowest-pitched first."""
        chosen = self.tuning.courses if courses is None else courses
        return sorted(chosen, key=self._strings_below)

    def low(self, number: int, courses: Sequence[int] | None = None) -> Form | None:
        """The lowest whole form of a position; None when the neck is too short for any."""
        return next((form for form in self.forms(courses) if form.number == number), None)

    def octave_up(self, number: int, courses: Sequence[int] | None = None) -> Form | None:
        """The form 12 frets above the low one; None when it passes the last fret."""
        low = self.low(number, courses)
        if low is None:
            return None
        return next((form for form in self.forms(courses) if form.rung == low.rung + self.count), None)

    def _rising(self, courses: Sequence[int] | None) -> list[int]:
        """The strings, lowest-pitched first."""
        chosen = self.tuning.courses if courses is None else courses
        return sorted(chosen, key=self._strings_below)

    def _strings_below(self, course: int) -> int:
        """How many strings of the instrument are tuned lower; of two equal ones the higher-numbered counts as lower."""
        own = (self.tuning.open_pitches[course - 1], -course)
        return sum((pitch, -other) < own for other, pitch in enumerate(self.tuning.open_pitches, start=1))

    def _rung_of(self, course: int, fret: int) -> int:
        """The rung whose first note on a string is the lowest one at or above a fret."""
        step = self.key.first_step_from(self.tuning.open_pitches[course - 1] + fret)
        return step - self._strings_below(course) * self.notes_a_string
