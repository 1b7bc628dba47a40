"""The whole passes of a line that the history knows, each with how many of its notes were as written."""

from dataclasses import dataclass
from fractions import Fraction

from trainer.following.verdict import Pace, TechniqueResult
from trainer.history import letters
from trainer.history.judged import exercise_hash
from trainer.history.opening import facts_in_words
from trainer.history.store import History
from trainer.score.exercise import Exercise

OTHERWISE = frozenset(
    letter for letter, (result, _) in letters.TECHNIQUES_BY_LETTER.items() if result is TechniqueResult.OTHERWISE
)


@dataclass(frozen=True, slots=True)
class WholePass:
    """One time through a line, with every note reached."""

    take_id: int
    file: str
    began: str
    """When its take began, ISO 8601."""
    number: int
    """Counted in the take, from 0."""
    as_written: int
    """Notes as written, as the result counts them."""
    quarters_per_minute: Fraction


def whole_passes(history: History, line: Exercise, player: str, pace: Pace) -> tuple[WholePass, ...]:
    """Every whole pass over a line by one player at one pace, the oldest first; `HistoryError` when it cannot be read.

    Takes of a stretch of it are passed over.
    """
    with facts_in_words(history.path):
        rows = history.connection.execute(
            "SELECT takes.id, takes.file, began, number, outcomes, techniques, tempo_numerator, tempo_denominator"
            " FROM passes JOIN takes ON takes.id = take_id JOIN exercises ON exercises.id = exercise_id"
            " JOIN players ON players.id = player_id"
            " WHERE hash = ? AND players.name = ? AND pace = ? AND first_note IS NULL"
            " ORDER BY began_s, takes.id, number",
            (exercise_hash(line), player, pace.value),
        )
        return tuple(
            WholePass(take_id, file, began, number, _as_written(outcomes, techniques), Fraction(above, below))
            for take_id, file, began, number, outcomes, techniques, above, below in rows
            if len(outcomes) == len(line.notes) and letters.OPEN not in outcomes
        )


def _as_written(outcomes: str, techniques: str) -> int:
    return sum(
        outcome in letters.MATCHED and technique not in OTHERWISE
        for outcome, technique in zip(outcomes, techniques, strict=True)
    )
