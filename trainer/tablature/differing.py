"""What differs between a line and what was played of it, in one short sentence for each note.

Notes count from 1, as they stand in the tablature.
"""

from collections.abc import Iterator, Sequence

from trainer.following.ledger import Ledger
from trainer.following.verdict import Extra, Missed, Slip, TechniqueResult, WrongNote
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise, ScoreNote
from trainer.tablature.state import place_of
from trainer.theory.fretboard import Location
from trainer.theory.naming import counted
from trainer.theory.technique import Technique

AS_WRITTEN = "Note for note the same."
_BEGUN = {
    Technique.PICK: "picked",
    Technique.HAMMER: "hammered on",
    Technique.PULL: "pulled off",
    Technique.SLIDE: "slid",
}


def differences(exercise: Exercise, ledger: Ledger, onsets: Sequence[NoteOnset]) -> tuple[str, ...]:
    """Each note that was not played as written, in order, then how many were played besides."""
    found = [
        f"Note {index + 1}: {words}"
        for index, note in enumerate(exercise.notes)
        for words in _of_note(index, note, exercise, ledger, onsets)
    ]
    extra = sum(isinstance(verdict, Extra) and verdict.charged for verdict in ledger.heard)
    if extra:
        found.append(f"{counted(extra, 'note')} more than there are.")
    return tuple(found) or (AS_WRITTEN,)


def _of_note(
    index: int, note: ScoreNote, exercise: Exercise, ledger: Ledger, onsets: Sequence[NoteOnset]
) -> Iterator[str]:
    match ledger.of_written(index):
        case None | Missed():
            yield f"left out, {_where(note.location)}."
        case WrongNote(slip=slip, heard=heard):
            played = place_of(onsets[heard], exercise.tuning, note.course)
            if played is None:
                yield f"another note in place of {_where(note.location)}."
            elif slip is Slip.STRING:
                yield f"the same pitch, but {_where(played)}; it was {_where(note.location)}."
            else:
                yield f"{_where(played)} in place of {_where(note.location)}."
        case _:
            told = ledger.technique_of(index)
            if told is not None and told.result is TechniqueResult.OTHERWISE and told.played is not None:
                yield f"{_BEGUN[told.played]}, not {_BEGUN[told.written]}."


def _where(location: Location) -> str:
    return f"string {location.course} fret {location.fret}"
