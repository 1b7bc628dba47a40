"""The table of returned homework, for the terminal."""

from rich.console import Console
from rich.table import Table as Grid
from rich.text import Text

from trainer.homework.answering import Change, Row
from trainer.homework.collecting import Table

HEADINGS = (
    "pupil",
    "exercise",
    "target",
    "there",
    "fastest clean",
    "working",
    "weakest",
    "min",
    "last",
    "change",
)


def show_table(console: Console, table: Table) -> None:
    """One assignment: pupil by exercise, then what is to be said of each file."""
    assignment = table.assignment
    console.print(Text(f"{assignment.title}, edition {assignment.edition}, given out {assignment.made[:10]}"))
    grid = Grid(box=None, pad_edge=False, header_style="bold")
    for heading in HEADINGS:
        grid.add_column(heading, overflow="fold", justify="right" if heading in ("target", "min") else "left")
    for pupil in table.pupils:
        for row in pupil.rows:
            # A text of a stranger is never read as markup.
            grid.add_row(*(Text(cell) for cell in (pupil.pupil, *_cells(row))))
    console.print(grid)
    console.print(
        "There: clean passes at the target or faster, of those asked for. Fastest clean: the fastest tempo with a "
        "clean pass, and how many at that tempo were. Working: clean four times of five, with its 80 % interval. "
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


def _cells(row: Row) -> tuple[str, ...]:
    fastest, working = row.fastest, row.working
    return (
        row.task.exercise.name,
        f"{float(row.task.target_qpm):g}",
        f"{row.clean_at_target} of {row.task.passes}",
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
        tempo = "first clean pass" if now is not None else "none clean yet"
    else:
        tempo = f"{float(now - change.fastest_qpm):+g}" if now != change.fastest_qpm else "same tempo"
    return f"{tempo}, {change.more_clean:+d} clean, {change.more_ms / 60_000:+.1f} min since {change.since[:10]}"
