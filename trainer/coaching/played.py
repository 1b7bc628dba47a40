"""A pass over the line as the coach sees it: when each note was due, when it came, and what else was wrong with it.

Conventions: ms from any origin, one for the written and one for the played times; floats, for these are statistics.
`index` counts the notes of one pass. A note that the player never got to is open: that is no miss.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from trainer.following.ledger import Ledger
from trainer.following.verdict import Match, Missed, TechniqueResult, WrongNote
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

NS_PER_MS = 1_000_000
LEAST_SHARE_PLAYED = 0.5
"""A pass with fewer of its notes matched is a beginning or a tail, not a pass. Our own choice."""


class Outcome(StrEnum):
    """What came of a written note, its timing aside."""

    CLEAN = "clean"
    MISSED = "missed"
    WRONG = "wrong"
    """Another pitch or another string in its place."""
    OTHERWISE = "otherwise"
    """Played in time, but not begun as written: a slide that was picked, a pull-off that was not pulled."""
    OPEN = "open"
    """Never reached."""


FAILURES = frozenset({Outcome.MISSED, Outcome.WRONG, Outcome.OTHERWISE})


@dataclass(frozen=True, slots=True)
class PlayedPass:
    """One pass; all three are as long as the line."""

    due_ms: tuple[float, ...]
    """When each note is written, at the tempo of the run."""
    played_ms: tuple[float | None, ...]
    """When it came; None where it was not matched."""
    outcomes: tuple[Outcome, ...]
    entries: frozenset[int] = frozenset()
    """Notes before which the player had jumped: nothing led to them."""

    def __post_init__(self) -> None:
        if not len(self.due_ms) == len(self.played_ms) == len(self.outcomes):
            raise ValueError("a pass needs as many due times as played times and outcomes")

    @property
    def share_played(self) -> float:
        """How much of the line was matched."""
        return sum(played is not None for played in self.played_ms) / len(self.played_ms)

    def within(self, length: int, first_note: int) -> "PlayedPass":
        """A pass over a stretch, as part of a pass over the whole line of `length` notes, whose others are open.

        `first_note` is where the stretch begins; one that runs over the line's end goes on at its beginning.
        """
        if len(self.due_ms) == length and not first_note:
            return self
        places = [(first_note + step) % length for step in range(len(self.due_ms))]
        due: list[float] = [0.0] * length
        played: list[float | None] = [None] * length
        outcomes = [Outcome.OPEN] * length
        for step, place in enumerate(places[:length]):
            due[place], played[place], outcomes[place] = self.due_ms[step], self.played_ms[step], self.outcomes[step]
        entries = {places[step] for step in self.entries} | {first_note} | ({0} if 0 in places else set())
        return PlayedPass(tuple(due), tuple(played), tuple(outcomes), frozenset(entries))


def passes_of(
    exercise: Exercise, ledger: Ledger, *, tempo: Tempo, pass_length: int, first_note: int = 0
) -> tuple[PlayedPass, ...]:
    """The passes of a run that were played, in order; `exercise` is the line as often as it was asked for.

    Of several attempts at a note the latest counts, as everywhere. `first_note`: the run begins with that note of the
    line, after a pause; the first pass is then shorter.
    """
    count = len(exercise.notes)
    latest = [ledger.of_written(index) for index in range(count)]
    places = [index for index, attempt in enumerate(latest) if isinstance(attempt, Match | WrongNote)]
    reached = range(places[0], places[-1] + 1) if places else range(0)
    jumped_to = {jump.to_index for jump in ledger.jumps}
    played: list[PlayedPass] = []
    starts = [0, *range(pass_length - first_note, count, pass_length)] if first_note else range(0, count, pass_length)
    for first, end in pairwise([*starts, count]):
        span = range(first, end)
        attempts = [latest[index] for index in span]
        entries = frozenset(index - first for index in span if index in jumped_to) | _broken(attempts)
        outcomes = [_outcome(ledger, index, is_reached=index in reached) for index in span]
        one = PlayedPass(
            due_ms=tuple(tempo.ns(exercise.notes[index].onset_quarters) / NS_PER_MS for index in span),
            played_ms=tuple(
                attempt.onset_ns / NS_PER_MS if isinstance(attempt, Match) else None for attempt in attempts
            ),
            # Nothing sounds that a slide or a slur could begin from where the player goes on from elsewhere.
            outcomes=tuple(
                Outcome.CLEAN if outcome is Outcome.OTHERWISE and index in entries else outcome
                for index, outcome in enumerate(outcomes)
            ),
            entries=entries,
        )
        if one.share_played >= LEAST_SHARE_PLAYED:
            played.append(one)
    return tuple(played)


def _outcome(ledger: Ledger, index: int, *, is_reached: bool) -> Outcome:
    match ledger.of_written(index):
        case Match():
            technique = ledger.technique_of(index)
            is_otherwise = technique is not None and technique.result is TechniqueResult.OTHERWISE
            return Outcome.OTHERWISE if is_otherwise else Outcome.CLEAN
        case WrongNote():
            return Outcome.WRONG
        case Missed():
            return Outcome.MISSED if is_reached else Outcome.OPEN
        case None:
            return Outcome.OPEN


def _broken(attempts: Sequence[Match | WrongNote | Missed | None]) -> frozenset[int]:
    """Notes whose latest attempt was heard before that of a note in front of them: what stands between was a jump."""
    entries: set[int] = set()
    heard = -1
    for index, attempt in enumerate(attempts):
        if isinstance(attempt, Match | WrongNote):
            if attempt.heard < heard:
                entries.add(index)
            heard = attempt.heard
    return frozenset(entries)
