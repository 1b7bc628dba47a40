"""The working tempi that were found, kept as they were said, so that days, keys and articulations can be compared.

A run is known by its player, its line as it was, and when it ended. Its passes are kept too, so that a better estimate
can be made of them. Ladders, bursts and hidden tempi end with no such figure; nothing is kept of them but their takes.

`notes_a_second` makes lines of different note values comparable; `articulation` is what the line is made of, in the
words of `articulation_of`. They are in no take, so when a history is made anew of the folder of takes, what can still
be read of them in the damaged file is brought over.
"""

import json
import sqlite3
import zlib
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

import trainer
from trainer.coaching.asking import Pass
from trainer.coaching.clean import notes_a_second
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.working_tempo import Drift, Estimate
from trainer.history.opening import NOT_OURS, copied, errors_in_words, facts_in_words, transaction
from trainer.history.store import SIMULATED_PLAYER, History
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict
from trainer.theory.technique import Technique

WORKING = "working tempo"
"""The one procedure that ends with an estimate."""
_WORDS = {Technique.SLIDE: "slides", Technique.HAMMER: "hammer-ons", Technique.PULL: "pull-offs"}
_ARTICULATION_SHARE = 0.05
"""Of the notes: what is rarer does not name a line. Our own choice."""


@dataclass(frozen=True, slots=True)
class TempoRun:
    """A run to be kept."""

    exercise: Exercise
    ended: datetime
    estimate: Estimate
    passes: tuple[Pass, ...]
    procedure: str = WORKING
    is_simulated: bool = False
    """Nobody's hands played it."""


@dataclass(frozen=True, slots=True)
class KeptRun:
    """A run that was kept."""

    name: str
    """The line's."""
    day: date
    estimate: Estimate
    notes_a_second: float
    articulation: str
    procedure: str
    passes: tuple[Pass, ...]


def run_of(sitting: TempoSitting, ended: datetime, *, is_simulated: bool = False) -> TempoRun | None:
    """The run that a sitting was; None while it goes on, and when no working tempo was looked for."""
    if not sitting.is_over or sitting.estimate is None:
        return None
    return TempoRun(sitting.exercise, ended, sitting.estimate, sitting.procedure.passes, is_simulated=is_simulated)


def articulation_of(exercise: Exercise) -> str:
    """How the notes of a line are begun: `picked`, or with what else."""
    counts = Counter(note.technique for note in exercise.notes)
    least = _ARTICULATION_SHARE * len(exercise.notes)
    found = [words for technique, words in _WORDS.items() if counts[technique] and counts[technique] >= least]
    return "picked" if not found else " and ".join(found)


def keep_run(history: History, run: TempoRun, player: str = "") -> None:
    """Keep a run; once, however often it is told."""
    found = run.estimate
    whose = player or (SIMULATED_PLAYER if run.is_simulated else "")
    with errors_in_words(history.path), transaction(history.connection):
        history.connection.execute(
            "INSERT OR IGNORE INTO tempo_runs (player_id, exercise_id, ended, qpm, low_qpm, high_qpm, notes_a_second,"
            " articulation, procedure, drift, passes, program) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                history.player_id(whose),
                history.exercise_id(run.exercise),
                run.ended.isoformat(timespec="seconds"),
                found.qpm,
                found.low_qpm,
                found.high_qpm,
                notes_a_second(run.exercise, found.qpm),
                articulation_of(run.exercise),
                run.procedure,
                None if found.drift is None else found.drift.value,
                json.dumps([[one.qpm, one.is_clean] for one in run.passes]),
                f"boxwalk {trainer.__version__}",
            ),
        )


def tempo_runs(history: History, player: str, name: str | None = None) -> tuple[KeptRun, ...]:
    """The runs of a player, over one line or over all, the oldest first."""
    with facts_in_words(history.path):
        rows = history.connection.execute(
            "SELECT name, day, qpm, low_qpm, high_qpm, drift, notes_a_second, articulation, procedure, passes"
            " FROM tempo_runs JOIN exercises ON exercises.id = exercise_id"
            " WHERE player_id = (SELECT id FROM players WHERE name = ?1) AND (?2 IS NULL OR name = ?2)"
            " ORDER BY unixepoch(ended), tempo_runs.id",
            (player, name),
        )
        return tuple(_kept(*row) for row in rows)


def bring_over(damaged: Path, history: History) -> int:
    """Keep the runs that can still be read of a damaged file; how many they are."""
    count = 0
    for player, run in _left_in(damaged):
        keep_run(history, run, player)
        count += 1
    return count


def _left_in(damaged: Path) -> Iterator[tuple[str, TempoRun]]:
    """Players and runs, up to the row at which the damage begins."""
    with suppress(sqlite3.Error, OSError), copied(damaged) as connection:
        for player, serial, ended, procedure, *found in connection.execute(
            "SELECT players.name, serial, ended, procedure, qpm, low_qpm, high_qpm, drift, passes FROM tempo_runs"
            " JOIN players ON players.id = player_id JOIN exercises ON exercises.id = exercise_id"
            " ORDER BY tempo_runs.id"
        ):
            with suppress(*NOT_OURS):
                exercise = exercise_from_dict(json.loads(zlib.decompress(serial)))
                estimate, played = _estimated(*found)
                yield player, TempoRun(exercise, datetime.fromisoformat(ended), estimate, played, procedure)


def _estimated(
    qpm: float, low_qpm: float, high_qpm: float, drift: str | None, passes: str
) -> tuple[Estimate, tuple[Pass, ...]]:
    played = tuple(Pass(float(tempo), bool(is_clean)) for tempo, is_clean in json.loads(passes))
    return Estimate(qpm, low_qpm, high_qpm, len(played), None if drift is None else Drift(drift)), played


def _kept(
    name: str,
    day: str,
    qpm: float,
    low_qpm: float,
    high_qpm: float,
    drift: str | None,
    speed: float,
    articulation: str,
    procedure: str,
    passes: str,
) -> KeptRun:
    estimate, played = _estimated(qpm, low_qpm, high_qpm, drift, passes)
    return KeptRun(name, date.fromisoformat(day), estimate, speed, articulation, procedure, played)
