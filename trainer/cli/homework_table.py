"""The table of returned homework, for the terminal."""

from rich.console import Console
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text

from trainer.homework.answering import Change, Row
from trainer.homework.collecting import Table

HEADINGS = ("pupil", "exercise", "target", "there", "fastest clean", "working", "weakest", "min", "last", "change")
_TABLE_COLUMNS = 120
"""On a narrower terminal the rows are told one below the other."""


def show_table(console: Console, table: Table) -> None:
    """One assignment: pupil by exercise, then what is to be said of each file.

    All that comes from a file is shown as text: nothing of a stranger is read as markup.
    """
    assignment = table.assignment
    console.print(Text(f"{assignment.title}, edition {assignment.edition}, given out {assignment.made[:10]}"))
    if console.width >= _TABLE_COLUMNS:
        console.print(_grid(table))
    else:
        for pupil in table.pupils:
            console.print(Text(pupil.pupil), style="bold")
            for row in pupil.rows:
                console.print(Padding(Text(_in_a_line(row)), (0, 0, 0, 2)))
    console.print(
        "There: clean passes at the target or faster, and how many were asked for. Fastest clean: the fastest tempo "
        "with a clean pass, and how many at that tempo were. Working: clean four times of five, and the 80 % interval. "
        "Clean is what `boxwalk tempo` counts as clean.",
        style="dim",
    )
    for pupil in table.pupils:
        for remark in pupil.remarks:
            console.print(Text(f"{pupil.pupil}: {remark}."))
    if table.missing:
        console.print(Text(f"Nothing yet from {', '.join(table.missing)}."))
    if table.pupils:
        console.print("Any take: `boxwalk homework collect --replay PUPIL EXERCISE` (and --take NUMBER).", style="dim")


def _grid(table: Table) -> Grid:
    grid = Grid(box=None, pad_edge=False, header_style="bold")
    for heading in HEADINGS:
        grid.add_column(heading, overflow="fold", justify="right" if heading in ("target", "min") else "left")
    for pupil in table.pupils:
        for row in pupil.rows:
            grid.add_row(*(Text(cell) for cell in (pupil.pupil, *_cells(row))))
    return grid


def _in_a_line(row: Row) -> str:
    exercise, *cells = _cells(row)
    told = (f"{heading} {cell}" for heading, cell in zip(HEADINGS[2:-1], cells[:-1], strict=True) if cell)
    return f"{exercise}: {'; '.join((*told, cells[-1]))}"


def _cells(row: Row) -> tuple[str, ...]:
    fastest, working = row.fastest, row.working
    return (
        row.task.exercise.name,
        f"{float(row.task.target_qpm):g}",
        f"{row.clean_at_target} (asked {row.task.passes})",
        "none" if fastest is None else f"{float(fastest.qpm):g} ({fastest.clean} of {fastest.passes})",
        "not enough" if working is None else f"{working.qpm:.0f} ({working.low_qpm:.0f}-{working.high_qpm:.0f})",
        row.weakest.words,
        f"{row.played_ms / 60_000:.1f}",
        row.last_played,
        _change(row.change, row),
    )


def _change(change: Change | None, row: Row) -> str:
    if change is None:
        return "first file"
    now = None if row.fastest is None else row.fastest.qpm
    if change.fastest_qpm is None or now is None:
        tempo = "first clean pass" if now is not None else "none clean"
    else:
        tempo = f"{float(now - change.fastest_qpm):+g}" if now != change.fastest_qpm else "same tempo"
    return f"{tempo}, {change.more_clean:+d} clean, {change.more_ms / 60_000:+.1f} min since {change.since[:10]}"
