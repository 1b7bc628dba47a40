"""What a player played last, for whoever wants to go on with it."""

from dataclasses import dataclass
from fractions import Fraction

from trainer.history.opening import errors_in_words
from trainer.history.store import SIMULATED_PLAYER, History

MOST = 40
"""So many are told: among them drills, which nobody goes on with."""


@dataclass(frozen=True, slots=True)
class LastTake:
    """One take."""

    name: str
    """Of the line."""
    began: str
    """ISO 8601, with its offset."""
    quarters_per_minute: Fraction
    pace: str
    is_simulated: bool


def last_takes(history: History, player: str) -> tuple[LastTake, ...]:
    """The last takes of a player, and those that were played for show, the newest first."""
    with errors_in_words(history.path):
        rows = history.connection.execute(
            "SELECT name, began, tempo_numerator, tempo_denominator, pace, seed IS NOT NULL"
            " FROM takes JOIN exercises ON exercises.id = exercise_id"
            " WHERE player_id IN (SELECT id FROM players WHERE name IN (?, ?))"
            " ORDER BY began_s DESC, takes.id DESC LIMIT ?",
            (player, SIMULATED_PLAYER, MOST),
        )
        return tuple(
            LastTake(name, began, Fraction(numerator, denominator), pace, bool(is_simulated))
            for name, began, numerator, denominator, pace, is_simulated in rows
        )
