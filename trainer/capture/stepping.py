"""A phrase that was written down, shown moment by moment: what the board has to show after each of them.

A moment is where one note or one chord begins; they count from 0.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Self

from trainer.capture.free_play import Board, Sounded
from trainer.score.counting import count_syllables
from trainer.score.exercise import Exercise
from trainer.theory.scale import Key


@dataclass(frozen=True, slots=True)
class SteppedPhrase:
    """A line up to one of its moments."""

    line: Exercise
    key: Key | None
    """What degrees are counted in."""
    is_held: bool
    moment: int = 0

    @classmethod
    def at_end(cls, line: Exercise, board: Board) -> Self:
        """The whole of what was played, in the key in which it stood on the board."""
        whole = cls(line, board.key, board.is_held)
        return whole.at(len(whole.onsets) - 1)

    @property
    def onsets(self) -> tuple[Fraction, ...]:
        """When each moment is, in quarters."""
        return tuple(sorted({note.onset_quarters for note in self.line.notes}))

    def at(self, moment: int) -> Self:
        """The same up to another moment, or as near as there is one."""
        return replace(self, moment=max(0, min(len(self.onsets) - 1, moment)))

    def at_note(self, index: int) -> Self:
        """The same up to the moment of a note."""
        return self.at(self.onsets.index(self.line.notes[index].onset_quarters))

    def board(self) -> Board:
        """What there is to show: the notes so far, of which the last ones sound."""
        onset = self.onsets[self.moment]
        shown = [note for note in self.line.notes if note.onset_quarters <= onset]
        notes = tuple(
            Sounded(index, note.pitch, (note.location,), is_sounding=note.onset_quarters == onset)
            for index, note in enumerate(shown)
        )
        return Board(notes, self.key, self.is_held, shown[-1].position)

    def alone(self) -> Exercise:
        """The notes of this moment as a line of their own, to be heard."""
        onset = self.onsets[self.moment]
        notes = tuple(
            replace(note, onset_quarters=Fraction(0)) for note in self.line.notes if note.onset_quarters == onset
        )
        return replace(self.line, notes=notes)

    def counts(self) -> Mapping[int, str]:
        """What is counted at each note, by its index."""
        words = dict(zip(self.onsets, count_syllables(self.onsets, self.line.meter), strict=True))
        return {index: words[note.onset_quarters] for index, note in enumerate(self.line.notes)}
