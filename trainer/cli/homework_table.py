"""The table of returned homework, for the terminal."""

from rich.console import Console
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text

from trainer.homework.answering import Row
from trainer.homework.cells import HEADINGS, MEANINGS, cells
from trainer.homework.collecting import Table

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
    console.print(f"{MEANINGS} Clean is what `boxwalk tempo` counts as clean.", style="dim")
    for pupil in table.pupils:
        for remark in pupil.remarks:
            console.print(Text(f"{pupil.pupil}: {remark}."))
    if table.missing:
        console.print(Text(f"Nothing yet from {', '.join(table.missing)}."))
    if table.pupils:
        console.print("Any take: `boxwalk homework collect --replay PUPIL EXERCISE` (and --take NUMBER).", style="dim")


def _grid(table: Table) -> Grid:
    grid = Grid(box=None, pad_edge=False, header_style="bold")
    for heading in ("pupil", "exercise", *HEADINGS):
        grid.add_column(heading, overflow="fold", justify="right" if heading in ("target", "min") else "left")
    for pupil in table.pupils:
        for row in pupil.rows:
            grid.add_row(*(Text(cell) for cell in (pupil.pupil, row.task.exercise.name, *cells(row))))
    return grid


def _in_a_line(row: Row) -> str:
    *told, change = cells(row)
    words = (f"{heading} {cell}" for heading, cell in zip(HEADINGS[:-1], told, strict=True) if cell)
    return f"{row.task.exercise.name}: {'; '.join((*words, change))}"
