"""What is known about a written note at this moment, gathered from the verdicts."""

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.following.ledger import Ledger
from trainer.following.verdict import Match, Missed, TechniqueResult, TechniqueVerdict, WrongNote
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise
from trainer.theory.fretboard import Location
from trainer.theory.tuning import Tuning


@dataclass(frozen=True, slots=True)
class NoteState:
    """The latest attempt at a written note."""

    verdict: Match | WrongNote | Missed | None = None
    technique: TechniqueVerdict | None = None
    played: Location | None = None
    """Where the note was that was played instead."""

    @property
    def is_settled(self) -> bool:
        """Whether it can no longer change."""
        return self.verdict is not None and self.verdict.settled

    @property
    def deviation_ns(self) -> int | None:
        """How late the attempt was, negative = early."""
        return None if self.verdict is None or isinstance(self.verdict, Missed) else self.verdict.deviation_ns


TO_COME = NoteState()
"""A note that nothing is known about yet."""


def state_of(index: int, exercise: Exercise, ledger: Ledger, onsets: Sequence[NoteOnset]) -> NoteState:
    """The latest attempt at note `index`; `onsets` are the heard notes by their ordinals."""
    verdict = ledger.of_written(index)
    if verdict is None:
        return TO_COME
    played = None
    if isinstance(verdict, WrongNote):
        played = place_of(onsets[verdict.heard], exercise.tuning, exercise.notes[index].course)
    return NoteState(verdict, ledger.technique_of(index), played)


def next_slip(ledger: Ledger, notes: int, after: int) -> int:
    """The next note that was missed, played wrong or begun otherwise; round to the first; `after` without any."""
    for step in range(1, notes + 1):
        index = (after + step) % notes
        verdict, technique = ledger.of_written(index), ledger.technique_of(index)
        if isinstance(verdict, WrongNote | Missed) or (
            technique is not None and technique.result is TechniqueResult.OTHERWISE
        ):
            return index
    return after


def place_of(onset: NoteOnset, tuning: Tuning, near_course: int) -> Location | None:
    """Where a heard note lies on the neck; on the string nearest to `near_course` if the device does not name one.

    None for a pitch that no string reaches.
    """
    courses = [onset.course] if onset.course is not None else sorted(tuning.courses, key=lambda c: abs(c - near_course))
    for course in courses:
        if course in tuning.courses:
            fret = tuning.fret_of(course, onset.pitch)
            if fret is not None and fret <= 36:
                return Location(course, fret)
    return None
