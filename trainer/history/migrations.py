"""The form of the history file, version by version.

`MIGRATIONS[n]` makes version n + 1 of version n, by statements that are run in one transaction with the change of the
version number (`PRAGMA user_version`). A migration that has been released is never changed; a new form is a new one.
A statement is SQL, or a function of the connection where SQL cannot say it.
"""

import sqlite3
from collections.abc import Callable

from trainer.history.pass_facts import facts_of_passes, kept_window_ns

APPLICATION_ID = 0x42585741
"""Marks the file as this program's (`PRAGMA application_id`)."""

_FIRST = (
    "CREATE TABLE players (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT",
    # What was played on, and how it was read: one row for each profile that a device has had.
    """CREATE TABLE devices (
        id INTEGER PRIMARY KEY, name TEXT NOT NULL, profile TEXT NOT NULL, UNIQUE (name, profile)
    ) STRICT""",
    # Lines as they were when played. `hash` is the SHA-256 of the line's serial form; `serial` is that form, deflated.
    """CREATE TABLE exercises (
        id INTEGER PRIMARY KEY, hash TEXT NOT NULL UNIQUE, name TEXT NOT NULL, title TEXT NOT NULL,
        note_count INTEGER NOT NULL, serial BLOB NOT NULL
    ) STRICT""",
    "CREATE INDEX exercises_by_name ON exercises (name)",
    # `file`: name in the folder of takes, or a whole path elsewhere. `digest`: SHA-256 of the file.
    """CREATE TABLE takes (
        id INTEGER PRIMARY KEY,
        file TEXT NOT NULL UNIQUE,
        digest BLOB NOT NULL UNIQUE,
        size_bytes INTEGER NOT NULL,
        player_id INTEGER NOT NULL REFERENCES players,
        device_id INTEGER NOT NULL REFERENCES devices,
        exercise_id INTEGER NOT NULL REFERENCES exercises,
        began TEXT NOT NULL,
        day TEXT NOT NULL GENERATED ALWAYS AS (substr(began, 1, 10)) VIRTUAL,
        began_s INTEGER NOT NULL GENERATED ALWAYS AS (unixepoch(began)) STORED,
        ends_at_ns INTEGER NOT NULL,
        pace TEXT NOT NULL CHECK (pace IN ('click', 'free')),
        tempo_numerator INTEGER NOT NULL,
        tempo_denominator INTEGER NOT NULL,
        tempo_qpm REAL NOT NULL GENERATED ALWAYS AS (1.0 * tempo_numerator / tempo_denominator) VIRTUAL,
        starts_at_ns INTEGER NOT NULL,
        passes INTEGER NOT NULL,
        first_note INTEGER,
        last_note INTEGER,
        seed INTEGER,
        program TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX takes_by_player ON takes (player_id, began_s)",
    "CREATE INDEX takes_by_exercise ON takes (exercise_id, player_id, began_s)",
    # The whole file of a take, deflated; apart from `takes`, so that no view has to walk over it.
    "CREATE TABLE streams (take_id INTEGER PRIMARY KEY REFERENCES takes ON DELETE CASCADE, file BLOB NOT NULL) STRICT",
    # Whatever settles verdicts: program version, fingerprint of the code that judges, and the limits.
    """CREATE TABLE ears (
        id INTEGER PRIMARY KEY, program TEXT NOT NULL, fingerprint TEXT NOT NULL, tolerance TEXT NOT NULL,
        UNIQUE (program, fingerprint, tolerance)
    ) STRICT""",
    # What one ear said of a take, but for the letters in `passes`; the blobs are laid out in `packing`.
    """CREATE TABLE judgements (
        take_id INTEGER PRIMARY KEY REFERENCES takes ON DELETE CASCADE,
        ear_id INTEGER NOT NULL REFERENCES ears,
        notes BLOB NOT NULL,
        extras BLOB NOT NULL,
        jumps BLOB NOT NULL,
        earlier TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX judgements_by_ear ON judgements (ear_id)",
    # One letter a written note, see `letters`: a pass is read by eye and counted by SQL.
    """CREATE TABLE passes (
        take_id INTEGER NOT NULL REFERENCES takes ON DELETE CASCADE,
        number INTEGER NOT NULL,
        outcomes TEXT NOT NULL,
        techniques TEXT NOT NULL,
        PRIMARY KEY (take_id, number)
    ) STRICT, WITHOUT ROWID""",
)

# The letters counted where they lie: ten years of them took 0.8 s to count whenever they were asked for, now 0.2 s. The
# database derives the counts itself, so that they cannot say anything but the letters.
_SECOND = (
    """CREATE TABLE counted_passes (
        take_id INTEGER NOT NULL REFERENCES takes ON DELETE CASCADE,
        number INTEGER NOT NULL,
        outcomes TEXT NOT NULL,
        techniques TEXT NOT NULL,
        within INTEGER NOT NULL GENERATED ALWAYS AS (length(outcomes) - length(replace(outcomes, '.', ''))) STORED,
        early INTEGER NOT NULL GENERATED ALWAYS AS (length(outcomes) - length(replace(outcomes, '<', ''))) STORED,
        late INTEGER NOT NULL GENERATED ALWAYS AS (length(outcomes) - length(replace(outcomes, '>', ''))) STORED,
        pitch INTEGER NOT NULL GENERATED ALWAYS AS (length(outcomes) - length(replace(outcomes, 'p', ''))) STORED,
        string INTEGER NOT NULL GENERATED ALWAYS AS (length(outcomes) - length(replace(outcomes, 's', ''))) STORED,
        missed INTEGER NOT NULL GENERATED ALWAYS AS (length(outcomes) - length(replace(outcomes, 'x', ''))) STORED,
        open INTEGER NOT NULL GENERATED ALWAYS AS (length(outcomes) - length(replace(outcomes, '_', ''))) STORED,
        otherwise INTEGER NOT NULL GENERATED ALWAYS AS (
            length(techniques) - length(replace(replace(replace(replace(replace(
                techniques, 'P', ''), 'H', ''), 'L', ''), 'S', ''), '!', ''))
        ) STORED,
        is_clean INTEGER NOT NULL GENERATED ALWAYS AS (
            outcomes NOT GLOB '*[^.]*' AND techniques NOT GLOB '*[A-Z!]*'
        ) STORED,
        PRIMARY KEY (take_id, number)
    ) STRICT, WITHOUT ROWID""",
    """INSERT INTO counted_passes (take_id, number, outcomes, techniques)
        SELECT take_id, number, outcomes, techniques FROM passes""",
    "DROP TABLE passes",
    "ALTER TABLE counted_passes RENAME TO passes",
)

# What came of judging takes again: how many letters became which (JSON, `{"x.": 2}`), and how many notes that stayed
# matched had their times moved.
_THIRD = (
    """CREATE TABLE changes (
        take_id INTEGER PRIMARY KEY REFERENCES takes ON DELETE CASCADE,
        ear_id INTEGER NOT NULL REFERENCES ears,
        former_ear_id INTEGER NOT NULL REFERENCES ears,
        outcomes TEXT NOT NULL,
        techniques TEXT NOT NULL,
        moved INTEGER NOT NULL
    ) STRICT""",
)


def _count_pass_facts(connection: sqlite3.Connection) -> None:
    """Fill in, for the passes that are there, what the third form did not keep."""
    takes = connection.execute(
        "SELECT judgements.take_id, notes, extras, serial, tempo_numerator, tempo_denominator, tolerance"
        " FROM judgements JOIN takes ON takes.id = take_id JOIN exercises ON exercises.id = exercise_id"
        " JOIN ears ON ears.id = ear_id"
    )
    for take_id, notes, extras, *line_and_limits in takes:
        words = connection.execute(
            "SELECT outcomes FROM passes WHERE take_id = ? ORDER BY number", (take_id,)
        ).fetchall()
        window_ns = kept_window_ns(*line_and_limits)
        facts = facts_of_passes(notes, extras, [outcomes for (outcomes,) in words])
        connection.executemany(
            "UPDATE passes SET extra = ?, spread_ns = ?, window_ns = ? WHERE take_id = ? AND number = ?",
            [(one.extra, one.spread_ns, window_ns, take_id, number) for number, one in enumerate(facts)],
        )


# What a clean pass is lies in one place (`trainer.coaching.clean`), no longer in the form of the history: the facts
# that it is counted from are kept instead. And the working tempi that were found: an estimate is a fact of its day,
# with the passes (JSON, `[[tempo, clean], ...]`) that it can be made of again.
_FOURTH: tuple["Statement", ...] = (
    "ALTER TABLE passes DROP COLUMN is_clean",
    "ALTER TABLE passes ADD COLUMN extra INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE passes ADD COLUMN spread_ns INTEGER",
    "ALTER TABLE passes ADD COLUMN window_ns INTEGER",
    _count_pass_facts,
    """CREATE TABLE tempo_runs (
        id INTEGER PRIMARY KEY,
        player_id INTEGER NOT NULL REFERENCES players,
        exercise_id INTEGER NOT NULL REFERENCES exercises,
        ended TEXT NOT NULL,
        day TEXT NOT NULL GENERATED ALWAYS AS (substr(ended, 1, 10)) VIRTUAL,
        qpm REAL NOT NULL,
        low_qpm REAL NOT NULL,
        high_qpm REAL NOT NULL,
        notes_a_second REAL NOT NULL,
        articulation TEXT NOT NULL,
        procedure TEXT NOT NULL,
        drift TEXT,
        passes TEXT NOT NULL,
        program TEXT NOT NULL,
        UNIQUE (player_id, exercise_id, ended)
    ) STRICT""",
)

Statement = str | Callable[[sqlite3.Connection], None]
MIGRATIONS: tuple[tuple[Statement, ...], ...] = (_FIRST, _SECOND, _THIRD, _FOURTH)
