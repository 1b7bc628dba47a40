"""What `boxwalk history` prints: one table for each kind of row."""

from typing import Any

from rich.table import Table

from trainer.history.figures import Verdicts
from trainer.history.tempo_runs import KeptRun


def _share(verdicts: Verdicts) -> str:
    return f"{100 * verdicts.within / verdicts.judged:.0f} %" if verdicts.judged else ""


def _count(number: int) -> str:
    return str(number) if number else ""


def _table(headings: tuple[str, ...], rows: list[tuple[str, ...]], left: int = 1) -> Table:
    table = Table(box=None, pad_edge=False, collapse_padding=True, header_style="bold")
    for place, heading in enumerate(headings):
        table.add_column(heading, overflow="fold", justify="left" if place < left else "right")
    for row in rows:
        table.add_row(*row)
    return table


def _days_table(rows: tuple[Any, ...]) -> Table:
    return _table(
        ("day", "minutes", "takes", "passes", "breaks", "in time", "off", "wrong", "missed", "otherwise"),
        [
            (
                row.day,
                f"{row.minutes:.1f}",
                str(row.takes),
                str(row.passes),
                f"{row.breaks}, {row.break_minutes:.0f} min" if row.breaks else "",
                _share(row.verdicts),
                _count(row.verdicts.early + row.verdicts.late),
                _count(row.verdicts.wrong_pitch + row.verdicts.wrong_string),
                _count(row.verdicts.missed),
                _count(row.verdicts.otherwise),
            )
            for row in rows
        ],
    )


def _lines_table(rows: tuple[Any, ...]) -> Table:
    return _table(
        ("line", "last played", "minutes", "takes", "clean", "best", "in time"),
        [
            (
                row.name,
                row.last_day,
                f"{row.minutes:.1f}",
                str(row.takes),
                f"{row.clean_passes} of {row.passes}",
                "" if row.best_clean_tempo_qpm is None else f"{row.best_clean_tempo_qpm:g}",
                _share(row.verdicts),
            )
            for row in rows
        ],
        left=2,
    )


def _takes_table(rows: tuple[Any, ...]) -> Table:
    return _table(
        ("began", "line", "tempo", "clean", "in time", "off", "wrong", "missed"),
        [
            (
                row.began[:16].replace("T", " "),
                row.name,
                "free" if row.pace == "free" else f"{row.tempo_qpm:g}",
                f"{row.clean_passes} of {row.passes}",
                _share(row.verdicts),
                _count(row.verdicts.early + row.verdicts.late),
                _count(row.verdicts.wrong_pitch + row.verdicts.wrong_string),
                _count(row.verdicts.missed),
            )
            for row in rows
        ],
        left=2,
    )


def _tempi_table(rows: tuple[KeptRun, ...]) -> Table:
    return _table(
        ("day", "line", "tempo", "80 % between", "notes a second", "passes", "played", "drift"),
        [
            (
                row.day.isoformat(),
                row.name,
                f"{row.estimate.qpm:.0f}",
                f"{row.estimate.low_qpm:.0f}-{row.estimate.high_qpm:.0f}",
                f"{row.notes_a_second:.1f}",
                str(row.estimate.passes),
                row.articulation,
                row.estimate.drift or "",
            )
            for row in rows
        ],
        left=2,
    )


TABLES = {"day": _days_table, "line": _lines_table, "take": _takes_table, "tempo": _tempi_table}
"""By what a row is."""
