"""How each note of a line is begun: picked, hammered on, pulled off, or slid into.

A hammer-on or pull-off needs the note before to sound on the same string, lower or higher; a slide needs it fretted on
the same string, or begins as a grace. What a pattern asks for must be possible, else the line is refused; what the
articulation asks for in general happens where it is possible, and the pick begins the rest.
"""

from dataclasses import dataclass
from fractions import Fraction

from trainer.score.articulation import Articulation, ShiftKind
from trainer.score.errors import Unplayable
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique


@dataclass(frozen=True, slots=True)
class Shift:
    """The hand's coming into a position from another one."""

    kind: ShiftKind
    same_step: tuple[Location, ...]
    """Where the old position has the steps that are played first in the new one."""
    below: tuple[Location, ...]
    """The scale notes below them on their strings."""


@dataclass(frozen=True, slots=True)
class Onset:
    """One or more notes that begin together, before it is decided how."""

    locations: tuple[Location, ...]
    asked: Technique | None
    """What the pattern asks for."""
    position: int
    group: int
    place_in_group: int
    shift: Shift | None
    """Set where the hand comes into another position."""
    onset_quarters: Fraction
    duration_quarters: Fraction

    @property
    def end_quarters(self) -> Fraction:
        """Where the notes end."""
        return self.onset_quarters + self.duration_quarters

    def fret_on(self, course: int) -> int | None:
        """The fret played on a string; None when it is not played."""
        return next((location.fret for location in self.locations if location.course == course), None)


@dataclass(frozen=True, slots=True)
class Attack:
    """How one note is begun."""

    technique: Technique = Technique.PICK
    slide_from: Location | None = None

    @property
    def uses_pick(self) -> bool:
        """Whether the pick strikes: for a picked note, and where a grace begins."""
        return self.technique is Technique.PICK or self.slide_from is not None


PICKED = Attack()


def attacks_of(onset: Onset, previous: Onset | None, articulation: Articulation) -> tuple[Attack, ...]:
    """How each of the notes of `onset` is begun; `Unplayable` for what its pattern or shift cannot have."""
    return tuple(_attack(onset, place, previous, articulation) for place in range(len(onset.locations)))


def _attack(onset: Onset, place: int, previous: Onset | None, articulation: Articulation) -> Attack:
    location = onset.locations[place]
    is_held = previous is not None and previous.end_quarters == onset.onset_quarters
    fret_before = previous.fret_on(location.course) if previous is not None and is_held else None
    if onset.asked is not None:
        return _asked(onset.asked, location, fret_before)
    if onset.shift is not None:
        return _shifted(onset.shift, place, location, fret_before)
    is_slurred = len(onset.locations) == 1 and (
        articulation is Articulation.ONE_A_STRING or (articulation is Articulation.LEGATO and onset.place_in_group > 0)
    )
    if not is_slurred or fret_before is None or fret_before == location.fret:
        return PICKED
    return Attack(Technique.HAMMER if fret_before < location.fret else Technique.PULL)


def _asked(technique: Technique, location: Location, fret_before: int | None) -> Attack:
    where = f"fret {location.fret} of string {location.course}"
    if fret_before is None:
        names = {Technique.HAMMER: "a hammer-on", Technique.PULL: "a pull-off", Technique.SLIDE: "a slide"}
        why = "needs a note before it on the same string"
        if technique is Technique.SLIDE:
            why += ": nothing slides across strings"
        raise Unplayable(f"{names[technique]} to {where} {why}", "cell")
    if technique is Technique.HAMMER and fret_before >= location.fret:
        raise Unplayable(f"a hammer-on to {where} needs a lower note before it, not fret {fret_before}", "cell")
    if technique is Technique.PULL and fret_before <= location.fret:
        raise Unplayable(f"a pull-off to {where} needs a higher note before it, not fret {fret_before}", "cell")
    if technique is Technique.SLIDE:
        _check_slide(Location(location.course, fret_before), location, "cell")
    return Attack(technique)


def _shifted(shift: Shift, place: int, location: Location, fret_before: int | None) -> Attack:
    match shift.kind:
        case ShiftKind.PICKED:
            return PICKED
        case ShiftKind.FROM_BELOW:
            return _grace(shift.below[place], location)
        case ShiftKind.FROM_LAST:
            if fret_before is None:
                raise Unplayable(
                    f"a slide to fret {location.fret} of string {location.course} cannot cross strings: "
                    "the note before it lies on another one",
                    "shifts",
                )
        case ShiftKind.SLID:
            if fret_before is None or fret_before == location.fret:
                return _grace(shift.same_step[place], location)
    _check_slide(Location(location.course, fret_before), location, "shifts")
    return Attack(Technique.SLIDE)


def _grace(source: Location, target: Location) -> Attack:
    _check_slide(source, target, "shifts")
    return Attack(Technique.SLIDE, slide_from=source)


def _check_slide(source: Location, target: Location, field: str) -> None:
    where = f"a slide from fret {source.fret} to fret {target.fret} of string {target.course}"
    if source.fret < 0:
        raise Unplayable(f"a slide to fret {target.fret} of string {target.course} would begin behind the nut", field)
    if source.fret == 0 or target.fret == 0:
        raise Unplayable(f"{where} is impossible: an open string cannot slide", field)
    if source.fret == target.fret:
        raise Unplayable(f"{where} goes nowhere", field)
