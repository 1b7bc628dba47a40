"""Figures derived from the history, by queries, whenever they are asked for.

Conventions
-----------
- Minutes are those during which takes ran, count-ins included; walking over a standing staff is not counted.
- A pass is *whole* when every note of it was reached. It is *clean* by the rule of `trainer.coaching.clean`, whose
  limits are put into the query. Its tempo is that of the click.
- A break is a time of at least `BREAK_S` between two takes of one day; what lies between two breaks is a sitting.
- Verdicts are counted once for each written note of each pass, by its latest attempt.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from trainer.coaching.clean import CleanRule
from trainer.history.opening import errors_in_words
from trainer.history.store import History

BREAK_S = 5 * 60
"""Five minutes of rest in twenty-five is common advice to players."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Which takes are to be counted; both days are included."""

    player: str = ""
    since: str | None = None
    """A day such as 2026-03-14."""
    until: str | None = None
    words: Sequence[str] = ()
    """Each stands somewhere in the name or the title of the line."""


@dataclass(frozen=True, slots=True)
class Verdicts:
    """How many written notes came out how."""

    within: int = 0
    """Matched within the hit window."""
    early: int = 0
    late: int = 0
    wrong_pitch: int = 0
    wrong_string: int = 0
    missed: int = 0
    otherwise: int = 0
    """Matched, but begun otherwise than written."""

    @property
    def matched(self) -> int:
        """In time or not."""
        return self.within + self.early + self.late

    @property
    def judged(self) -> int:
        """All that were reached."""
        return self.matched + self.wrong_pitch + self.wrong_string + self.missed


@dataclass(frozen=True, slots=True)
class Day:
    """One day of practice."""

    day: str
    minutes: float
    takes: int
    passes: int
    lines: int
    """How many different ones."""
    breaks: int
    break_minutes: float
    longest_sitting_minutes: float
    """From the first take of a sitting to the end of its last."""
    verdicts: Verdicts


@dataclass(frozen=True, slots=True)
class Line:
    """One exercise, over all that was played of it."""

    name: str
    title: str
    first_day: str
    last_day: str
    minutes: float
    takes: int
    passes: int
    """Whole ones."""
    clean_passes: int
    best_clean_tempo_qpm: float | None
    """The fastest click at which a whole pass was clean."""
    verdicts: Verdicts


@dataclass(frozen=True, slots=True)
class ListedTake:
    """One take."""

    take_id: int
    file: str
    began: str
    name: str
    pace: str
    tempo_qpm: float
    minutes: float
    passes: int
    clean_passes: int
    device: str
    verdicts: Verdicts


@dataclass(frozen=True, slots=True)
class Break:
    """A rest between two takes of a day."""

    began_s: int
    """When the take before it ended, seconds of the epoch."""
    minutes: float


_RULE = CleanRule()
# As `coaching.clean.spoiled_by` has it; for whole numbers, n <= ceil(x) is n < x + 1.
_IS_CLEAN = f"""(
    missed + pitch + string + open = 0
    AND otherwise < {_RULE.techniques_otherwise} * length(outcomes) + 1
    AND extra < {_RULE.extra} * length(outcomes) + 1
    AND within >= {_RULE.within_window} * length(outcomes)
    AND (spread_ns IS NULL OR spread_ns <= {_RULE.spread_of_window} * window_ns)
)"""
_PREPARATIONS = (
    "PRAGMA temp_store = MEMORY",
    """CREATE TEMP TABLE IF NOT EXISTS asked (
        take_id INTEGER PRIMARY KEY, day TEXT, began_s INTEGER, ended_s INTEGER, minutes REAL, exercise_id INTEGER,
        is_whole_line INTEGER
    )""",
    # Only the limits of our own rule are put in here, nothing from outside.
    f"""CREATE TEMP VIEW IF NOT EXISTS of_take AS
        SELECT
            take_id,
            sum(open = 0) AS whole_passes,
            sum({_IS_CLEAN}) AS clean_passes,
            sum(within) AS within,
            sum(early) AS early,
            sum(late) AS late,
            sum(pitch) AS pitch,
            sum(string) AS string,
            sum(missed) AS missed,
            sum(otherwise) AS otherwise
        FROM temp.asked CROSS JOIN passes USING (take_id) GROUP BY take_id""",  # noqa: S608 - see above
    """CREATE TEMP VIEW IF NOT EXISTS rests AS
        SELECT *, lag(ended_s) OVER one_day AS ended_before_s, began_s - lag(ended_s) OVER one_day AS rest_s
        FROM temp.asked WINDOW one_day AS (PARTITION BY day ORDER BY began_s, take_id)""",
)
_ASK = """
    INSERT INTO temp.asked
    SELECT id, day, began_s, began_s + ends_at_ns / 1000000000, ends_at_ns / 6e10, exercise_id, first_note IS NULL
    FROM takes
    WHERE player_id = (SELECT id FROM players WHERE name = :player)
        AND (:since IS NULL OR day >= :since) AND (:until IS NULL OR day <= :until)
        AND (:all_lines OR exercise_id IN (SELECT value FROM json_each(:lines)))
    ORDER BY id"""
_DAYS = """
    SELECT day, sum(minutes), count(*), total(whole_passes), count(DISTINCT exercise_id), total(within), total(early),
        total(late), total(pitch), total(string), total(missed), total(otherwise)
    FROM temp.asked LEFT JOIN of_take USING (take_id) GROUP BY day ORDER BY day DESC"""
_LINES = """
    SELECT name, title, min(asked.day), max(asked.day), sum(minutes), count(*), total(whole_passes * is_whole_line),
        total(clean_passes * is_whole_line),
        max(CASE WHEN clean_passes > 0 AND is_whole_line AND pace = 'click' THEN tempo_qpm END),
        total(within), total(early), total(late), total(pitch), total(string), total(missed), total(otherwise),
        max(asked.began_s)
    FROM temp.asked
        CROSS JOIN takes ON takes.id = take_id
        JOIN exercises ON exercises.id = takes.exercise_id
        LEFT JOIN of_take USING (take_id)
    GROUP BY name ORDER BY max(asked.began_s) DESC"""
_NEWEST = """
    DELETE FROM temp.asked WHERE take_id NOT IN (
        SELECT take_id FROM temp.asked ORDER BY began_s DESC, take_id DESC LIMIT :most
    )"""
_LISTED = """
    SELECT takes.id, file, began, exercises.name, pace, tempo_qpm, minutes, coalesce(whole_passes, 0),
        coalesce(clean_passes, 0), devices.name, coalesce(within, 0), coalesce(early, 0), coalesce(late, 0),
        coalesce(pitch, 0), coalesce(string, 0), coalesce(missed, 0), coalesce(otherwise, 0)
    FROM temp.asked
        CROSS JOIN takes ON takes.id = take_id
        JOIN exercises ON exercises.id = takes.exercise_id
        JOIN devices ON devices.id = device_id
        LEFT JOIN of_take USING (take_id)
    ORDER BY takes.began_s DESC, takes.id DESC"""
_BREAKS = "SELECT ended_before_s, rest_s / 60.0 FROM rests WHERE rest_s >= :break_s ORDER BY ended_before_s"
_SITTINGS = """
    WITH numbered AS (
        SELECT *, sum(coalesce(rest_s >= :break_s, 0)) OVER (PARTITION BY day ORDER BY began_s, take_id) AS sitting
        FROM rests
    ),
    sittings AS (
        SELECT day, (max(ended_s) - min(began_s)) / 60.0 AS minutes,
            max(CASE WHEN rest_s >= :break_s THEN rest_s / 60.0 ELSE 0 END) AS break_before
        FROM numbered GROUP BY day, sitting
    )
    SELECT day, sum(break_before > 0), total(break_before), max(minutes) FROM sittings GROUP BY day"""
_ALL_VERDICTS = """
    SELECT total(within), total(early), total(late), total(pitch), total(string), total(missed), total(otherwise)
    FROM of_take"""
EVERYTHING = Asked()


def days(history: History, asked: Asked = EVERYTHING) -> tuple[Day, ...]:
    """Each day on which something was played, the newest first."""
    _ask(history, asked)
    rests = {day: (int(breaks), minutes, longest) for day, breaks, minutes, longest in _rows(history, _SITTINGS)}
    return tuple(
        Day(day, minutes, takes, int(passes), lines, *rests[day], verdicts=_verdicts(counts))
        for day, minutes, takes, passes, lines, *counts in _rows(history, _DAYS)
    )


def lines(history: History, asked: Asked = EVERYTHING) -> tuple[Line, ...]:
    """Each line that was played, by name, the one played last first; stretches count for their line."""
    _ask(history, asked)
    return tuple(
        Line(name, title, first, last, minutes, takes, int(passes), int(clean), best, _verdicts(counts))
        for name, title, first, last, minutes, takes, passes, clean, best, *counts, _ in _rows(history, _LINES)
    )


def takes(history: History, asked: Asked = EVERYTHING, most: int = 100) -> tuple[ListedTake, ...]:
    """The last takes, the newest first."""
    _ask(history, asked)
    with errors_in_words(history.path):
        history.connection.execute(_NEWEST, {"most": most})
    return tuple(
        ListedTake(take_id, file, began, name, pace, tempo_qpm, minutes, passes, clean, device, _verdicts(counts))
        for take_id, file, began, name, pace, tempo_qpm, minutes, passes, clean, device, *counts in _rows(
            history, _LISTED
        )
    )


def breaks(history: History, asked: Asked = EVERYTHING) -> tuple[Break, ...]:
    """The breaks taken, in the order in which they were."""
    _ask(history, asked)
    return tuple(Break(*row) for row in _rows(history, _BREAKS))


def verdict_counts(history: History, asked: Asked = EVERYTHING) -> Verdicts:
    """How all written notes came out."""
    _ask(history, asked)
    (counts,) = _rows(history, _ALL_VERDICTS)
    return _verdicts(counts)


def _ask(history: History, asked: Asked) -> None:
    """Note down which takes are asked for, in a table of this connection alone."""
    run = history.connection.execute
    with errors_in_words(history.path):
        for statement in _PREPARATIONS:
            run(statement)
        wanted = [
            number
            for number, text in run("SELECT id, name || ' ' || title FROM exercises")
            if all(word.lower() in text.lower() for word in asked.words)
        ]
        run("DELETE FROM temp.asked")
        run(
            _ASK,
            {
                "player": asked.player,
                "since": asked.since,
                "until": asked.until,
                "all_lines": not asked.words,
                "lines": str(wanted),
            },
        )


def _rows(history: History, query: str) -> list[tuple[Any, ...]]:
    with errors_in_words(history.path):
        return history.connection.execute(query, {"break_s": BREAK_S}).fetchall()


def _verdicts(counts: Sequence[float]) -> Verdicts:
    return Verdicts(*map(int, counts))
