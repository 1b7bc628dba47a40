"""What makes a line hard, part by part: no single number, because each part is practised in its own way.

Conventions: the fretting hand is that of least movement (`fingering`); a shift is a move of the index finger's fret.
The pick goes from one stroke to the next. A string change is *inside* when it happens between the two strings (up on
the thicker and then down on the thinner, or down on the thinner and then up on the thicker) and *outside* when the pick
goes around them (down, then up on the thinner; up, then down on the thicker). Two strokes of one direction are neither.
With strict alternation, two notes a string from a down-stroke on change strings inside upwards and outside downwards;
three notes a string take turns. (Common teaching terms; strings are compared by their place, not by their pitch.)
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.hand import GUITAR_SCALE_MM, HandLimits, fret_distance_mm
from trainer.score.playability import holds_of
from trainer.score.tempo import NS_PER_MINUTE
from trainer.theory.technique import Stroke, Technique


class Path(StrEnum):
    """How the pick goes from one string to another."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    ONE_WAY = "one way"
    """Both strokes have one direction, as in sweeping."""


@dataclass(frozen=True, slots=True)
class StringChange:
    """Two strokes in a row on different strings."""

    index: int
    """The note after the change."""
    from_course: int
    to_course: int
    path: Path


@dataclass(frozen=True, slots=True)
class Parts:
    """What a line asks for, each part by itself."""

    notes_a_second: float
    """At its own tempo, where it is densest within a beat."""
    shifts: int
    longest_shift_frets: int
    widest_reach_mm: int
    """Between the frets of two notes in a row that are played without a shift."""
    string_changes: int
    """From note to note, picked or not."""
    string_skips: int
    """Those over a string that is not played."""
    inside: int
    outside: int
    strokes: int
    slurs: int
    """Hammer-ons and pull-offs."""
    slides: int


def parts_of(exercise: Exercise, limits: HandLimits | None = None) -> Parts:
    """The parts of an exercise's difficulty, as `limits` or else an adult's hand plays it."""
    notes = exercise.notes
    hands = holds_of(notes, limits)
    moves = [abs(after.grip.index_fret - before.grip.index_fret) for before, after in pairwise(hands)]
    scale_mm = limits.scale_length_mm if limits else GUITAR_SCALE_MM
    reaches = [
        fret_distance_mm(min(frets), max(frets), scale_mm)
        for (before, after), move in zip(pairwise(hands), moves, strict=True)
        if not move
        for frets in [before.frets | after.frets]
    ]
    steps = [abs(after.course - before.course) for before, after in pairwise(_single(notes))]
    paths = [change.path for change in string_changes(exercise)]
    return Parts(
        notes_a_second=_notes_a_second(exercise),
        shifts=sum(move > 0 for move in moves),
        longest_shift_frets=max(moves, default=0),
        widest_reach_mm=round(max(reaches, default=0)),
        string_changes=sum(step > 0 for step in steps),
        string_skips=sum(step > 1 for step in steps),
        inside=paths.count(Path.INSIDE),
        outside=paths.count(Path.OUTSIDE),
        strokes=len({note.onset_quarters for note in notes if note.stroke is not None}),
        slurs=sum(note.technique in {Technique.HAMMER, Technique.PULL} for note in notes),
        slides=sum(note.technique is Technique.SLIDE for note in notes),
    )


def string_changes(exercise: Exercise) -> tuple[StringChange, ...]:
    """Every string change of the pick in a line of single notes; chords are left out."""
    strokes = [
        (index, note)
        for index, note in enumerate(exercise.notes)
        if note.stroke is not None and not _is_chord(exercise.notes, index)
    ]
    return tuple(
        StringChange(index, before.course, after.course, _path(before, after))
        for (_, before), (index, after) in pairwise(strokes)
        if before.course != after.course
    )


def _path(before: ScoreNote, after: ScoreNote) -> Path:
    if before.stroke is after.stroke:
        return Path.ONE_WAY
    is_to_thinner = after.course < before.course
    return Path.INSIDE if is_to_thinner == (before.stroke is Stroke.UP) else Path.OUTSIDE


def _is_chord(notes: tuple[ScoreNote, ...], index: int) -> bool:
    onset = notes[index].onset_quarters
    return any(notes[other].onset_quarters == onset for other in (index - 1, index + 1) if 0 <= other < len(notes))


def _single(notes: tuple[ScoreNote, ...]) -> Iterator[ScoreNote]:
    return (note for index, note in enumerate(notes) if not _is_chord(notes, index))


def _notes_a_second(exercise: Exercise) -> float:
    """Onsets a second within the densest beat of the line, to a tenth."""
    onsets = sorted({note.onset_quarters for note in exercise.notes})
    beat = exercise.meter.beat_quarters
    counts: dict[Fraction, int] = {}
    for onset in onsets:
        counts[onset // beat * beat] = counts.get(onset // beat * beat, 0) + 1
    beat_ns = exercise.tempo.ns(beat)
    beats_a_second = Fraction(NS_PER_MINUTE, 60) / beat_ns
    return round(float(max(counts.values(), default=0) * beats_a_second), 1)
