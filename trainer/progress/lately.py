"""What was played lately, as the history tells: the transition that was drilled last, and the takes of the last hour.

Drills are kept as exercises of their own.
"""

import re
from dataclasses import dataclass
from datetime import datetime

from trainer.coaching.drills import DRILL_WORDS
from trainer.history.opening import errors_in_words
from trainer.history.store import History
from trainer.score.exercise import Exercise

_SMALL = re.compile(rf"-(\d+)-(\d+)-({'|'.join(DRILL_WORDS)})\Z")


@dataclass(frozen=True, slots=True)
class LastDrill:
    """A transition that was drilled, and when that began on the day it was last drilled."""

    to_index: int
    began: datetime


def last_drill(history: History, line: Exercise, player: str) -> LastDrill | None:
    """The transition of `line` that a player drilled last; None when none ever was."""
    with errors_in_words(history.path):
        rows = history.connection.execute(
            "SELECT exercises.name, day, min(began) FROM takes JOIN exercises ON exercises.id = exercise_id"
            " WHERE player_id = (SELECT id FROM players WHERE name = ?1)"
            " AND substr(exercises.name, 1, length(?2) + 1) = ?2 || '-'"
            " GROUP BY exercises.name, day ORDER BY day DESC, max(began_s) DESC",
            (player, line.name),
        ).fetchall()
    for name, _, began in rows:
        found = _SMALL.fullmatch(name, len(line.name))
        if found is not None and int(found[2]) < len(line.notes):
            return LastDrill(_drilled_note(int(found[1]), int(found[2])), datetime.fromisoformat(began))
    return None


def _drilled_note(first: int, last: int) -> int:
    """The second note of the transition that the smallest drill from `first` to `last` is for."""
    return first + 2 if first else max(1, last - 1)


def takes_since(history: History, player: str, since_s: int) -> tuple[tuple[int, int], ...]:
    """When the takes of a player began and ended from a moment on, seconds of the epoch, the oldest first."""
    with errors_in_words(history.path):
        rows = history.connection.execute(
            "SELECT began_s, began_s + ends_at_ns / 1000000000 FROM takes"
            " WHERE player_id = (SELECT id FROM players WHERE name = ?) AND began_s >= ? ORDER BY began_s, takes.id",
            (player, since_s),
        )
        return tuple(rows)
