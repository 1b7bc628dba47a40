"""Judging old takes by today's ear: on all cores, to be stopped at any time and gone on with later.

Which takes are still to be judged stands in the history itself: those whose verdicts are of another ear than today's
(the code that judges, by its fingerprint, and the limits). So a run that was stopped goes on where it was, a run after
nothing has changed has nothing to do, and what changed can be told of all of it.
"""

import json
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from trainer.following.tolerance import Tolerance
from trainer.history.gathering import UNREADABLE
from trainer.history.judged import Changed, JudgedTake, changed, ear_of, heard_over
from trainer.history.opening import errors_in_words, facts_in_words, transaction
from trainer.history.processes import each, processes_for
from trainer.history.store import History, take_file_of


@dataclass(slots=True)
class Rejudged:
    """What came of it, summed up as it goes."""

    takes: int = 0
    changed_takes: int = 0
    notes: Counter[str] = field(default_factory=Counter)
    """Former letter and new letter -> how many notes."""
    techniques: Counter[str] = field(default_factory=Counter)
    moved: int = 0
    lines: Counter[str] = field(default_factory=Counter)
    """Name of a line -> how many of its notes have another outcome or technique now."""
    unread: list[str] = field(default_factory=list)

    def count(self, name: str, change: Changed) -> None:
        """Add one take of a line."""
        self.takes += 1
        self.notes.update(change.outcomes)
        self.techniques.update(change.techniques)
        self.moved += change.moved
        of_line = sum(change.outcomes.values()) + sum(change.techniques.values())
        self.changed_takes += bool(of_line)
        if of_line:
            self.lines[name] += of_line


def takes_to_judge(history: History) -> tuple[int, ...]:
    """The takes whose verdicts are not of today's ear, the oldest first."""
    ear = ear_of(Tolerance())
    with errors_in_words(history.path):
        rows = history.connection.execute(
            "SELECT takes.id FROM takes LEFT JOIN judgements ON take_id = takes.id LEFT JOIN ears ON ears.id = ear_id"
            " WHERE fingerprint IS NOT ? OR tolerance IS NOT ? ORDER BY began_s, takes.id",
            (ear.fingerprint, ear.tolerance),
        )
        return tuple(row[0] for row in rows)


def rejudge(
    history: History,
    take_ids: tuple[int, ...],
    told: Callable[[], None] = lambda: None,
    *,
    processes: int | None = None,
    is_kept: bool = True,
) -> Rejudged:
    """Judge takes again and say what changed; `told` is called after each. Without `is_kept` nothing is changed.

    What is done is kept at once, so that an interruption (which passes through) loses at most what is being judged.
    """
    result = Rejudged()
    names = _names(history)
    files = ((take_id, *history.file_bytes(take_id)) for take_id in take_ids)
    for take_id, now in each(_judge, files, processes or processes_for(len(take_ids))):
        if isinstance(now, str):
            result.unread.append(now)
        else:
            with facts_in_words(history.path):
                change = changed(history.judged(take_id), now)
            if is_kept:
                with errors_in_words(history.path), transaction(history.connection):
                    history.judge_again(take_id, now, change)
            result.count(names[take_id], change)
        told()
    return result


def changes_by_today(history: History) -> Rejudged:
    """What today's ear has changed so far, in this run and in those before."""
    ear = ear_of(Tolerance())
    result = Rejudged()
    with facts_in_words(history.path):
        rows = history.connection.execute(
            "SELECT exercises.name, outcomes, techniques, moved FROM changes JOIN ears ON ears.id = ear_id"
            " JOIN takes ON takes.id = take_id JOIN exercises ON exercises.id = exercise_id"
            " WHERE fingerprint = ? AND tolerance = ?",
            (ear.fingerprint, ear.tolerance),
        )
        for name, outcomes, techniques, moved in rows:
            result.count(name, Changed(json.loads(outcomes), json.loads(techniques), moved))
    return result


def _judge(file: tuple[int, str, bytes]) -> tuple[int, JudgedTake | str]:
    """What today's ear says of a take; a sentence when it cannot be read."""
    take_id, name, data = file
    try:
        kept = take_file_of(name, data)
        return take_id, heard_over(kept.take, kept.header, tolerance=Tolerance())
    except UNREADABLE as error:
        return take_id, str(error)


def _names(history: History) -> dict[int, str]:
    with errors_in_words(history.path):
        return dict(
            history.connection.execute("SELECT takes.id, name FROM takes JOIN exercises ON exercises.id = exercise_id")
        )
