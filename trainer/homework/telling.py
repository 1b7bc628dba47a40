"""The table as JSON values."""

from typing import Any

from trainer.homework.answering import Change, Row
from trainer.homework.collecting import Table


def table_values(table: Table) -> dict[str, Any]:
    """All that is known of one assignment; tempi are quarters a minute."""
    return {
        "homework": table.assignment.identity,
        "edition": table.assignment.edition,
        "title": table.assignment.title,
        "missing": list(table.missing),
        "pupils": [
            {
                "pupil": pupil.pupil,
                "returned": pupil.returned.made,
                "edition": pupil.returned.assignment.edition,
                "remarks": list(pupil.remarks),
                "exercises": [_row_values(row) for row in pupil.rows],
            }
            for pupil in table.pupils
        ],
    }


def _row_values(row: Row) -> dict[str, Any]:
    fastest, working, weakest = row.fastest, row.working, row.weakest
    return {
        "exercise": row.task.exercise.name,
        "target": float(row.task.target_qpm),
        "passes_asked": row.task.passes,
        "clean_at_target": row.clean_at_target,
        "fastest_clean": None
        if fastest is None
        else {"tempo": float(fastest.qpm), "clean": fastest.clean, "passes": fastest.passes},
        "working_tempo": None
        if working is None
        else {"tempo": round(working.qpm, 1), "interval": [round(working.low_qpm, 1), round(working.high_qpm, 1)]},
        "weakest": {
            "words": weakest.words,
            "from": weakest.from_index,
            "to": weakest.to_index,
            "late_ms": weakest.late_ms,
            "spread_ms": weakest.spread_ms,
        },
        "takes": len(row.takes),
        "passes": row.passes,
        "minutes": round(row.played_ms / 60_000, 2),
        "last_played": row.last_played or None,
        "change": None if row.change is None else _change_values(row.change),
    }


def _change_values(change: Change) -> dict[str, Any]:
    return {
        "since": change.since,
        "fastest_clean_then": None if change.fastest_qpm is None else float(change.fastest_qpm),
        "clean_at_target": change.more_clean,
        "minutes": round(change.more_ms / 60_000, 2),
    }
