"""What a line asks of the fretting hand: its fingers, and where it goes beyond the limits of a hand."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.fingering import Fretting, Grip, Link, grips_of
from trainer.score.hand import HANDS, HandLimits, fret_distance_mm
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique


@dataclass(frozen=True, slots=True)
class Hold:
    """How the hand lies at one onset."""

    index: int
    """The first note of the onset."""
    locations: tuple[Location, ...]
    link: Link
    grip: Grip

    @property
    def frets(self) -> set[int]:
        """The frets that are held."""
        return {location.fret for location in self.locations if location.fret}


@dataclass(frozen=True, slots=True)
class Strain:
    """Where a line goes beyond a limit."""

    index: int
    """The note that cannot be reached."""
    told: str
    """What is asked for, and the limit, in a sentence."""


def holds_of(notes: Sequence[ScoreNote], limits: HandLimits | None = None) -> tuple[Hold, ...]:
    """The hand at each onset that is fretted, graces included, by least hand movement."""
    rows: list[tuple[int, Fretting]] = []
    index = 0
    for _, together in groupby(notes, key=lambda note: note.onset_quarters):
        chord = list(together)
        graces = tuple(note.slide_from for note in chord if note.slide_from is not None)
        if graces:
            rows.append((index, Fretting(graces)))
        rows.append((index, Fretting(tuple(note.location for note in chord), _link(chord))))
        index += len(chord)
    grips = grips_of([fretting for _, fretting in rows], limits or HANDS["adult"])
    return tuple(
        Hold(index, fretting.locations, fretting.link, grip)
        for (index, fretting), grip in zip(rows, grips, strict=True)
        if grip is not None
    )


def _link(chord: Sequence[ScoreNote]) -> Link:
    techniques = {note.technique for note in chord}
    if Technique.SLIDE in techniques:
        return Link.SLID
    return Link.SLURRED if techniques & {Technique.HAMMER, Technique.PULL} else Link.FREE


def with_fingers(notes: tuple[ScoreNote, ...], limits: HandLimits | None = None) -> tuple[ScoreNote, ...]:
    """The notes with a finger for each fretted one, as `limits` or else an adult's hand plays them."""
    fingers: dict[tuple[Fraction, Location], int] = {}
    for hold in holds_of(notes, limits):
        onset = notes[hold.index].onset_quarters
        fingers |= {(onset, location): finger for location, finger in hold.grip.fingers.items()}
    return tuple(replace(note, finger=fingers.get((note.onset_quarters, note.location))) for note in notes)


def strains_of(exercise: Exercise, limits: HandLimits) -> tuple[Strain, ...]:
    """Everything in a line that a hand with such limits cannot do, in order.

    A reach is asked for where the hand may not move: where notes sound together, and along a row of slurred ones.
    """
    strains: list[Strain] = []
    before: Hold | None = None
    held: set[int] = set()
    for hold in holds_of(exercise.notes, limits):
        where = _where(exercise, hold.index)
        move = 0 if before is None else abs(hold.grip.index_fret - before.grip.index_fret)
        if move > limits.shift_frets:
            limit = f"at most {limits.shift_frets} are set for {limits.name!r}"
            strains.append(Strain(hold.index, f"{where}: the hand moves {move} frets at once: {limit}"))
        held = held | hold.frets if hold.link is Link.SLURRED else hold.frets
        reach_mm = fret_distance_mm(min(held), max(held), limits.scale_length_mm)
        if reach_mm > limits.reach_mm:
            limit = f"a reach of {limits.reach_mm} mm is set for {limits.name!r}"
            told = f"{where}: frets {min(held)} and {max(held)} lie {reach_mm:.0f} mm apart: {limit}"
            strains.append(Strain(hold.index, told))
        before = hold
    return tuple(strains)


def _where(exercise: Exercise, index: int) -> str:
    return f"bar {exercise.notes[index].onset_quarters // exercise.meter.bar_quarters + 1}, note {index + 1}"
