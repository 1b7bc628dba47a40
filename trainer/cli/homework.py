"""`boxwalk homework make`, `open`, `return`, `collect`: what a teacher asks for, and what comes back."""

import json
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint
from trainer.cli.player import player_of, player_option
from trainer.cli.window import window_option

if TYPE_CHECKING:
    from trainer.homework.assignment import Assignment
    from trainer.homework.collecting import Table
    from trainer.homework.folders import Opened

A_FEW = 50
"""Takes that are judged before anybody wonders."""


@contextmanager
def _complaints(where: object = "") -> Iterator[None]:
    """What is wrong with homework or an exercise, as a `Complaint`; `where` is the file it is about."""
    from trainer.cli.complaint import complaints
    from trainer.homework.errors import HomeworkError

    try:
        with complaints():
            yield
    except HomeworkError as error:
        raise Complaint(f"{where} {error}" if where else str(error)) from error


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


@click.group()
def homework() -> None:
    """Give out exercises as one file, and get takes and measurements back as one."""


@homework.command()
@click.argument("tasks", nargs=-1, metavar="EXERCISE...")
@click.option("--title", default="", help="What the homework is called.")
@click.option("--teacher", default="", metavar="NAME", help="Who gives it out.")
@click.option("--for", "pupils", multiple=True, metavar="NAME", help="A pupil; give it again for each of a group.")
@click.option("--note", default="", help="What is to be said about all of it.")
@click.option("--target", type=float, metavar="QPM", help="Target of every exercise. Default: the line's own tempo.")
@click.option("--passes", type=click.IntRange(1, 200), default=5, show_default=True, help="Clean passes at the target.")
@click.option("--again", metavar="FILE", help="A new edition of this homework; what is not given anew stays.")
@click.option("-o", "--output", type=click.Path(dir_okay=False, path_type=Path), help="The file to write.")
def make(tasks: tuple[str, ...], again: str | None, output: Path | None, **options: Any) -> None:
    r"""Make homework of each EXERCISE: a name, a file, or a line of text, then what is asked, between semicolons.

    \b
    boxwalk homework make "two-gates; target 96; passes 4; note Watch the slide" \
        "quarry-steps; articulation legato; target 80" --title "Week 12" --for Ana --for Ben

    After an exercise may stand: target, passes, articulation (a variation of it), note.
    """
    from trainer.homework.assignment import assignment_in
    from trainer.homework.container import read_file
    from trainer.homework.making import Wanted, assigned, give_out, latest_made
    from trainer.homework.tasks import task_from_words

    with _complaints(again or ""):
        former = None if again is None else latest_made(assignment_in(read_file(Path(again))))
    if not tasks and former is None:
        raise Complaint("which exercises? Give names, files or lines of text; `boxwalk exercises` lists the names")
    with _complaints():
        asked = [task_from_words(words, _own_folders(), options["target"], options["passes"]) for words in tasks]
        wanted = Wanted(options["title"], options["teacher"], options["pupils"], options["note"]).else_as_in(former)
        assignment = assigned(asked, wanted, former, identity=secrets.token_hex(6), made=_now())
        written = give_out(assignment, Path(), output)
    click.echo("\n".join(_in_words(assignment)))
    click.echo(f"Written to {written.path} ({written.size_bytes / 1000:.0f} kB), edition {assignment.edition}.")


def _own_folders() -> tuple[Path, ...]:
    from trainer.cli.naming import own_folders

    return own_folders()


def _in_words(assignment: "Assignment", names: dict[str, str] | None = None) -> list[str]:
    """What is asked for, a line each."""
    from trainer.theory.naming import counted

    by = f", from {assignment.teacher}" if assignment.teacher else ""
    lines = [f"{assignment.title}{by}, edition {assignment.edition}"]
    lines += [f"For {', '.join(assignment.pupils)}."] if assignment.pupils else []
    lines += [assignment.note] if assignment.note else []
    for number, task in enumerate(assignment.tasks, start=1):
        name = task.exercise.name if names is None else names[task.digest]
        words = f"  {number}. {name}: {counted(task.passes, 'clean pass')} at ♩ = {float(task.target_qpm):g}"
        words += f", {task.articulation}" if task.articulation else ""
        lines += [words] + ([f"     {task.note}"] if task.note else [])
    return lines


@homework.command("open")
@click.argument("file", required=False, type=click.Path(dir_okay=False, path_type=Path))
def open_file(file: Path | None) -> None:
    """Open homework: its exercises become own exercises, and what is to be done is listed.

    Without FILE, list what has been opened before.
    """
    from trainer.homework import folders
    from trainer.homework.container import read_file

    if file is None:
        with _complaints():
            known = folders.all_opened()
        for one in known:
            click.echo("\n".join(_in_words(one.assignment, one.names)))
        if not known:
            click.echo("No homework has been opened yet: `boxwalk homework open FILE`.")
        return
    with _complaints(file):
        opened, sentence = folders.open_homework(read_file(file), _now(), secrets.token_hex(4))
    click.echo(sentence)
    click.echo("\n".join(_in_words(opened.assignment, opened.names)))
    first = opened.names[opened.assignment.tasks[0].digest]
    click.echo(f"Play with `boxwalk practise {first}`, or from the list in the window; every take is kept.")
    click.echo("When done: `boxwalk homework return`.")


@homework.command("return")
@click.argument("which", required=False)
@click.option("--name", default="", callback=player_of, help="Who gives it back, as the teacher will see it.")
@click.option("--with-simulated", is_flag=True, help="Takes by the simulated player too; they are marked as such.")
@click.option("-o", "--output", type=click.Path(dir_okay=False, path_type=Path), help="The file to write.")
@player_option
def give_back(which: str | None, name: str, player: str, output: Path | None, *, with_simulated: bool) -> None:
    """Put the takes of homework into one file for the teacher; WHICH is a word of its title, when several are open.

    Only takes of its exercises go in, of this player, and from the moment it was opened.
    """
    from trainer.devices.recording import takes_folder
    from trainer.homework import folders
    from trainer.homework.collecting import told
    from trainer.homework.gathering import gathered
    from trainer.homework.giving_back import give_back as give
    from trainer.theory.naming import counted

    if not (name or player):
        raise Complaint("who gives it back? Say it with --name NAME; the teacher's table shows it")
    with _complaints():
        opened = _which(folders.all_opened(), which)
        found = gathered(opened, takes_folder(), player, folders.judged_before(), with_simulated=with_simulated)
        given = give(opened, found, name or player, _now(), Path(), output)
    for figures in given.returned.figures:
        click.echo(f"{opened.names[figures.digest]}: {told(figures)}")
    for remark in found.remarks:
        click.echo(remark, err=True)
    path, size, takes = given.written.path, given.written.size_bytes, counted(len(found.takes), "take")
    notes = f", {counted(len(found.notes), 'note')} about them" if found.notes else ""
    click.echo(f"Written to {path} ({size / 1000:.0f} kB): {takes}{notes}, your name, nothing else.")


def _which(known: "tuple[Opened, ...]", which: str | None) -> "Opened":
    if not known:
        raise Complaint("no homework has been opened yet: `boxwalk homework open FILE`")
    words = (which or "").casefold()
    fitting = [one for one in known if words in one.assignment.title.casefold() or words == one.assignment.identity]
    if len(fitting) == 1:
        return fitting[0]
    titles = "; ".join(repr(one.assignment.title) for one in fitting or known)
    raise Complaint(f"which homework? There are: {titles}" if not which or fitting else f"no {which!r} among: {titles}")


@homework.command()
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="All that was measured as JSON.")
@click.option(
    "--replay", nargs=2, metavar="PUPIL EXERCISE", help="Show a take: the last of those at the fastest tempo."
)
@click.option("--take", type=click.IntRange(1), metavar="NUMBER", help="With --replay: which take, 1 is the oldest.")
@window_option
def collect(
    paths: tuple[Path, ...],
    replay: tuple[str, str] | None,
    take: int | None,
    size: tuple[int, int],
    *,
    as_json: bool,
) -> None:
    """Show returned files (or whole folders of them) as one table, judged again here.

    Each file is kept, so that the next one can be compared with it. Without PATHS, what was collected before is shown.
    """
    if take is not None and replay is None:
        raise Complaint("--take goes with --replay PUPIL EXERCISE")
    from trainer.homework.intake import taken_in

    with _complaints():
        intake = taken_in(paths, None if replay is None else replay[0], _say_progress)
    found = intake.tables
    for sentence in intake.left_out:
        click.echo(f"Left out: {sentence}", err=True)
    if replay is not None:
        _replay(found, *replay, take, size)
    elif as_json:
        from trainer.homework.telling import table_values

        values = {"assignments": [table_values(table) for table in found], "left_out": intake.left_out}
        click.echo(json.dumps(values, ensure_ascii=False, indent=1))
    elif not found:
        raise Complaint("there is nothing to show" + ("" if paths else ": give the files that came back"))
    else:
        from rich.console import Console

        from trainer.cli.homework_table import show_table

        console = Console()
        for table in found:
            show_table(console, table)


def _say_progress(done: int, takes: int) -> None:
    if done == 0 and takes > A_FEW:
        click.echo(f"Judging {takes} takes ...", err=True)


def _replay(found: "tuple[Table, ...]", pupil: str, exercise: str, number: int | None, size: tuple[int, int]) -> None:
    from trainer.homework.finding import best_take, kept_take, row_named

    with _complaints():
        rows, row = row_named(found, pupil, exercise)
        if not row.takes:
            raise Complaint(f"{rows.pupil} gave back no take of {row.task.exercise.name}")
        if number is not None and number > len(row.takes):
            raise Complaint(f"--take {number}: there are {len(row.takes)}, 1 is the oldest")
        kept = kept_take(rows, best_take(row) if number is None else row.takes[number - 1])
    from trainer.cli.replay_window import open_replay

    open_replay(kept.take, kept.header, kept.line, size, note=kept.note)
