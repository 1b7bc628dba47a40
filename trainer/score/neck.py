"""The neck as a recipe uses it: its positions, on the strings that it names.

Conventions: the steps of a position are numbered from 1, its lowest note on the lowest of the strings (see `cells`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainer.score.errors import Unplayable
from trainer.score.recipe import Recipe
from trainer.score.route import Ladder
from trainer.theory.fretboard import Location
from trainer.theory.positions import Positions


def neck_of(recipe: Recipe) -> "Neck":
    """The neck of a recipe; `Unplayable` when it names strings that the tuning lacks."""
    for course in recipe.strings:
        if course not in recipe.tuning.courses:
            last = len(recipe.tuning.courses)
            raise Unplayable(f"there is no string {course}: {recipe.tuning.name} has strings 1 to {last}", "strings")
    notes_a_string = recipe.notes_a_string or recipe.key.scale.notes_a_string
    positions = Positions(recipe.key, recipe.tuning, notes_a_string, recipe.last_fret)
    courses = tuple(positions.rising(recipe.strings or recipe.tuning.courses))
    return Neck(positions, courses, recipe.strings_at_a_time)


@dataclass(frozen=True, slots=True)
class Neck:
    """The positions of a recipe on the strings that it uses."""

    positions: Positions
    courses: tuple[int, ...]
    """Lowest-pitched first."""
    strings_at_a_time: int | None = None
    """For lines that go on to other strings with each position."""

    def part(self, visit: int) -> "Neck":
        """The strings on which the `visit`th position is played: some after the other, up and back down."""
        parts = self._parts()
        there_and_back = parts + parts[-2:0:-1]
        return there_and_back[visit % len(there_and_back)]

    def _parts(self) -> list["Neck"]:
        """The groups of strings that are played at a time, lowest first; the last ones overlap where they must."""
        size = min(self.strings_at_a_time or len(self.courses), len(self.courses))
        last = len(self.courses) - size
        starts = sorted({min(start, last) for start in range(0, len(self.courses), size)})
        return [Neck(self.positions, self.courses[start : start + size]) for start in starts]

    def degree_of(self, rung: int) -> int:
        """The degree of the scale that the lowest step on a rung is, from 1."""
        key = self.positions.key
        pitch = self.positions.tuning.pitch_at(self.place(rung, 1))
        return key.first_step_from(pitch) % self.positions.count + 1

    def place(self, rung: int, step: int, *, lowered: int = 0) -> Location:
        """Where a step of the form on a rung lies, or the scale note `lowered` notes below it on the same string.

        Steps below 1 and past the last are borrowed from other forms; the fret may lie off the neck.
        """
        a_string = self.positions.notes_a_string
        string = min(max((step - 1) // a_string, 0), len(self.courses) - 1)
        return self.positions.location(rung, self.courses[string], step - 1 - string * a_string - lowered)

    def ladder(self, steps: Sequence[int]) -> Ladder:
        """The rungs on which all `steps` lie on the neck, whichever of the strings are played."""
        parts = self._parts()

        def places(rung: int) -> Iterator[Location]:
            return (part.place(rung, step) for part in parts for step in steps)

        def why_not(rung: int) -> str:
            for place in places(rung):
                if place.fret > (last := self.positions.last_fret):
                    return f"it needs fret {place.fret} of string {place.course}, and the last is {last}"
                if place.fret < 0:
                    return f"on string {place.course} it lies behind the nut"
            return "the route may not go there"

        is_on_neck = self.positions.is_on_neck
        rungs = (rung for rung in self.positions.rungs(self.courses) if all(map(is_on_neck, places(rung))))
        return Ladder(tuple(rungs), self.positions.count, why_not)
