"""What was played in some weeks, as the pictures need it: values without a database.

`Facts` holds days and, for each line, its passes; `gathering` fills it from the history.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from trainer.history.figures import Day
from trainer.history.passes import PassPlayed
from trainer.history.tempo_runs import KeptRun
from trainer.score.exercise import Exercise
from trainer.theory.technique import Technique

SLURS = frozenset({Technique.HAMMER, Technique.PULL})


@dataclass(frozen=True, slots=True)
class Ears:
    """What the pickups of a line's takes can tell."""

    knows_strings: bool = True
    """Each string came on a channel of its own."""
    is_calibrated: bool = True
    """The latency of each string was measured and taken off."""


@dataclass(frozen=True, slots=True)
class LinePlayed:
    """One line over the weeks."""

    exercise: Exercise
    passes: tuple[PassPlayed, ...]
    """The oldest first."""
    ears: Mapping[int, Ears]
    """By take."""
    runs: tuple[KeptRun, ...] = ()
    """The working tempi that were found by a run, the oldest first."""

    @property
    def is_legato(self) -> bool:
        """Whether any note of it is hammered or pulled."""
        return any(note.technique in SLURS for note in self.exercise.notes)


@dataclass(frozen=True, slots=True)
class Facts:
    """All that was played in some weeks by one player."""

    player: str
    first: date
    last: date
    days: tuple[Day, ...]
    """Those with playing, the oldest first."""
    lines: tuple[LinePlayed, ...]
    """The one with the most passes first."""

    @property
    def weeks(self) -> int:
        """How many calendar weeks, Monday to Sunday, are touched."""
        return (self.last.toordinal() - 1) // 7 - (self.first.toordinal() - 1) // 7 + 1


def day_of(one: PassPlayed) -> date:
    """The day on which a pass was played."""
    return date.fromisoformat(one.began[:10])
