"""Homework as the teacher's screens show it: tables, takes, drafts."""

from trainer.homework.answering import Row
from trainer.homework.assignment import LONGEST_TITLE, Assignment, Task
from trainer.homework.cells import tempo_change
from trainer.homework.collecting import PupilRows, Table
from trainer.homework.measuring import MeasuredTake
from trainer.homework.wording import shown
from trainer.homeworkroom.words import day_of, sentence
from trainer.screens.homework_making_picture import Draft, ItemDraft
from trainer.screens.homework_table_picture import Cell, Grid, PupilRow
from trainer.screens.pick import Pick
from trainer.theory.naming import counted

SIMULATED = ", by the simulated player"


def title_of(task: Task) -> str:
    """The title of an exercise, which may come from a stranger's file."""
    return shown(task.exercise.title, LONGEST_TITLE) or task.exercise.name


def columns_of(table: Table) -> dict[str, Task]:
    """By their digests, the exercises of the latest edition and of those that were answered."""
    tasks = {row.task.digest: row.task for pupil in table.pupils for row in pupil.rows}
    latest = {task.digest: task for task in table.assignment.tasks}
    return latest | {digest: task for digest, task in tasks.items() if digest not in latest}


def grid_of(table: Table) -> Grid:
    """A table as it is shown."""
    tasks = columns_of(table)
    assignment = table.assignment
    edition = f"edition {assignment.edition}, " if assignment.edition > 1 else ""
    about = f"{edition}given out on {day_of(assignment.made)}, {counted(len(table.pupils), 'pupil')} so far"
    return Grid(
        title=assignment.title,
        about=sentence(about),
        exercises=tuple(title_of(task) for task in tasks.values()),
        pupils=tuple(_pupil_row(pupil, tasks) for pupil in table.pupils),
        missing=f"Nothing yet from {', '.join(table.missing)}." if table.missing else "",
    )


def _pupil_row(pupil: PupilRows, tasks: dict[str, Task]) -> PupilRow:
    rows = {row.task.digest: row for row in pupil.rows}
    cells = tuple(_cell(pupil, rows[digest]) if digest in rows else NOT_ASKED for digest in tasks)
    about = f"back on {day_of(pupil.returned.made)}"
    return PupilRow(pupil.pupil, about, cells, tuple(sentence(words) for words in pupil.remarks))


NOT_ASKED = Cell(
    "", "not asked for", "", is_there=False, is_otherwise=False, details=("This edition did not ask for it.",)
)


def _cell(pupil: PupilRows, row: Row) -> Cell:
    parts = [f"{row.played_ms / 60_000:.1f} min", day_of(row.last_played), tempo_change(row)]
    return Cell(
        tempo=f"{_tempo(row)} of {float(row.task.target_qpm):g}",
        weakest=_weakest(row),
        below=" · ".join(part for part in parts if part) if row.takes else "nothing played",
        is_there=row.clean_at_target >= row.task.passes,
        is_otherwise=row.task.digest in pupil.otherwise,
        details=_details(pupil, row),
    )


def _tempo(row: Row) -> str:
    """The working tempo, else the fastest clean one in brackets, else a dash."""
    if row.working is not None:
        return f"{row.working.qpm:.0f}"
    return "–" if row.fastest is None else f"({float(row.fastest.qpm):g})"


def _weakest(row: Row) -> str:
    """The weakest transition by string and fret; empty where none is named."""
    worst, notes = row.weakest, row.task.exercise.notes
    if worst.from_index is None or worst.to_index is None:
        return ""
    one, other = notes[worst.from_index], notes[worst.to_index]
    how = worst.words.partition(": ")[2]
    return f"{one.course}/{one.fret} – {other.course}/{other.fret}: {how}"


def _details(pupil: PupilRows, row: Row) -> tuple[str, ...]:
    target, fastest, working = f"{float(row.task.target_qpm):g}", row.fastest, row.working
    manner = f" ({row.task.articulation})" if row.task.articulation else ""
    clean = f"{row.clean_at_target} of {counted(row.task.passes, 'clean pass')} at ♩ = {target} or faster"
    at = "no pass clean" if fastest is None else f"clean up to {float(fastest.qpm):g}"
    tempo = "the passes do not tell a working tempo"
    if working is not None:
        tempo = f"working tempo {working.qpm:.0f}, 80 % interval {working.low_qpm:.0f} to {working.high_qpm:.0f}"
    played = f"{row.played_ms / 60_000:.1f} minutes in {counted(len(row.takes), 'take')}"
    last = f", the last on {day_of(row.last_played)}" if row.takes else ""
    return (
        f"{pupil.pupil}, {title_of(row.task)}{manner}: {clean}; {at}; {tempo}.",
        f"Weakest transition: {row.weakest.words}.",
        f"{played}{last}. {_since(row)}",
    )


def _since(row: Row) -> str:
    """What is new since the file before."""
    change = row.change
    if change is None:
        return "This is the first file."
    tempo, minutes = tempo_change(row), f"{change.more_ms / 60_000:+.1f} minutes"
    return f"Since the file of {day_of(change.since)}: {tempo}, {change.more_clean:+d} clean at the target, {minutes}."


def take_pick(number: int, take: MeasuredTake) -> Pick:
    """A take to be shown again."""
    at = f"♩ = {float(take.quarters_per_minute):g}" if take.pace == "click" else "at their own pace"
    clean = f"{take.clean.count(True)} of {counted(len(take.clean), 'pass')} clean"
    who = SIMULATED if take.is_simulated else ""
    words = f"Take {number}, {day_of(take.date)} at {take.date[11:16]}, {at}"
    return Pick(take.digest, words, f"{clean}, {take.played_ms / 60_000:.1f} min{who}")


def edition_pick(made: Assignment) -> Pick:
    """Homework to make a new edition of."""
    whom = f" for {', '.join(made.pupils)}" if made.pupils else ""
    about = f"edition {made.edition} of {day_of(made.made)}, {counted(len(made.tasks), 'exercise')}{whom}"
    return Pick(made.identity, f"New edition of {made.title}", about)


def draft_of(made: Assignment) -> Draft:
    """What was given out, to be changed."""
    items = tuple(
        ItemDraft(
            task.digest,
            title_of(task),
            f"{float(task.target_qpm):g}",
            str(task.passes),
            task.articulation,
            task.note,
        )
        for task in made.tasks
    )
    return Draft(made.title, made.teacher, ", ".join(made.pupils), made.note, items)
