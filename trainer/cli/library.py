"""`boxwalk exercises` and `boxwalk show`: what there is to play."""

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints

if TYPE_CHECKING:
    from rich.table import Table

    from trainer.score.exercise import Exercise
    from trainer.score.finding import Wanted
    from trainer.score.hand import HandLimits


@click.command()
@click.argument("words", nargs=-1)
@click.option("--tag", "tags", multiple=True, help="Only lines with this tag, e.g. fours, legato, slid.")
@click.option("--key", default="", help='Only lines in this key or scale, e.g. "A minor", dorian.')
@click.option("--strings", type=int, help="Only lines that use this many strings.")
@click.option("--technique", "techniques", multiple=True, help="picked, legato, slid, unslid or double stops.")
@click.option("--tempo", metavar="LOW-HIGH", default="", help="Only lines whose tempo lies between, e.g. 60-90.")
@click.option("--at-most", multiple=True, metavar="PART=NUMBER", help='Of a part of difficulty: "notes a second=4".')
@click.option("--at-least", multiple=True, metavar="PART=NUMBER", help='The same the other way: "shifts=8".')
@click.option("--family", default="", metavar="NAME", help="An exercise and its twins.")
@click.option("--step", type=int, help="Only this step of the path from first steps to fast.")
@click.option("--not-played", is_flag=True, help="Only lines of which no take of yours is kept (simulated ones apart).")
@click.option("--path", "by_path", is_flag=True, help="Show the path, step by step.")
def exercises(**options: Any) -> None:
    """List the exercises, your own among them; WORDS narrow the list by name, title, key and text."""
    from rich.console import Console

    from trainer.cli.naming import own_folders
    from trainer.score.library import load_all
    from trainer.score.practice_path import PATH

    lines, broken = load_all(own_folders())
    wanted = _wanted(options, _played(lines) if options["not_played"] else frozenset())
    found = [line for line in lines if wanted.fits(line)]
    console = Console()
    if options["by_path"]:
        for step in PATH:
            of_step = sorted(
                (line for line in found if line.name in step.exercises),
                key=lambda line: step.exercises.index(line.name),
            )
            if of_step:
                console.print(f"[bold]{step.number}. {step.title}[/bold]  {step.about}")
                console.print(_table(of_step))
                console.print()
    else:
        console.print(_table(found) if found else "No exercise fits. `boxwalk exercises` lists them all.")
    for complaint in broken:
        click.echo(f"Left out: {complaint}", err=True)


def _table(lines: "list[Exercise]") -> "Table":
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("name", "key", "strings", "notes", "tempo"):
        table.add_column(heading, no_wrap=True, justify="right" if heading in ("notes", "tempo") else "left")
    table.add_column("tags", overflow="fold")
    for line in lines:
        first, last = line.courses[0], line.courses[-1]
        courses = f"{first}" if first == last else f"{first}-{last}"
        tempo = f"{float(line.tempo.quarters_per_minute):g}"
        table.add_row(line.name, line.key, courses, str(len(line.notes)), tempo, ", ".join(line.tags))
    return table


def _played(lines: "tuple[Exercise, ...]") -> frozenset[str]:
    from trainer.devices.recording import takes_folder
    from trainer.twins import names_played

    return names_played([line.name for line in lines], takes_folder())


def _wanted(options: dict[str, Any], besides: frozenset[str]) -> "Wanted":
    from trainer.score.finding import Wanted
    from trainer.theory.naming import UnknownWord

    slowest, fastest = _tempos(options["tempo"])
    try:
        return Wanted(
            words=options["words"],
            tags=frozenset(options["tags"]),
            key=options["key"],
            strings=options["strings"],
            techniques=frozenset(options["techniques"]),
            slowest=slowest,
            fastest=fastest,
            at_least=_bounds(options["at_least"]),
            at_most=_bounds(options["at_most"]),
            family=options["family"],
            step=options["step"],
            besides=besides,
        )
    except UnknownWord as error:
        raise Complaint(str(error)) from error


def _tempos(text: str) -> tuple[Fraction, Fraction | None]:
    low, _, high = text.partition("-")
    try:
        return Fraction(low or 0), Fraction(high) if high else None
    except (ValueError, ZeroDivisionError) as error:
        raise Complaint(f"{text!r} is not a range of tempos: expected such as 60-90, 60- or -90") from error


def _bounds(texts: tuple[str, ...]) -> dict[str, float]:
    bounds: dict[str, float] = {}
    for text in texts:
        part, _, number = text.partition("=")
        try:
            bounds[part.strip()] = float(number)
        except ValueError as error:
            raise Complaint(
                f'{text!r} is not a bound: expected a part and a number, such as "notes a second=4"'
            ) from error
    return bounds


@click.command()
@click.argument("exercise")
@click.option("--width", type=click.IntRange(40, 400), default=100, show_default=True, help="Columns to fill.")
@click.option("--parts", is_flag=True, help="Say what makes the line hard, part by part, and each string change.")
@click.option("--hand", metavar="NAME", default="", help="Warn of what is too far for: adult, small hand, child, bass.")
@click.option("--beside", metavar="OTHER", help="A second line under it, beat under beat, and where they differ.")
def show(
    exercise: str,
    width: int,
    parts: bool,  # noqa: FBT001 - click passes options by name
    hand: str,
    beside: str | None,
) -> None:
    """Print EXERCISE as text tablature with its count line and a legend.

    EXERCISE is a name from the list, a file (.toml, .musicxml, .xml, .mxl, .mid, .txt, .tab), or a line of text such as
    "B minor pentatonic, strings 1-2, positions 1 2 3, fours down". What of a file could not be used is said below.
    """
    from trainer.cli.importing import echo_remarks, remarks_about
    from trainer.cli.naming import exercise_named
    from trainer.sheets.text_tablature import text_beside, text_tablature

    with complaints():
        line, remarks = exercise_named(exercise), remarks_about(exercise)
        other = None if beside is None else exercise_named(beside)
    limits = _limits(hand)
    click.echo(text_tablature(line, width=width) if other is None else text_beside(line, other, width=width))
    if parts:
        _echo_parts(line, limits)
    if limits is not None:
        _echo_strains(line, limits)
    echo_remarks(remarks)


def _limits(hand: str) -> "HandLimits | None":
    from trainer.score.hand import limits_of
    from trainer.theory.naming import UnknownWord

    try:
        return limits_of(hand or "any")
    except UnknownWord as error:
        raise Complaint(str(error)) from error


def _echo_parts(line: "Exercise", limits: "HandLimits | None") -> None:
    from trainer.score.difficulty import Path, parts_of, string_changes
    from trainer.score.finding import PART_NAMES, part_of

    parts = parts_of(line, limits)
    click.echo("What makes it hard, part by part:")
    for name in PART_NAMES:
        click.echo(f"  {part_of(parts, name):>6g}  {name}")
    bars: dict[int, list[str]] = {}
    for change in string_changes(line):
        bar = int(line.notes[change.index].onset_quarters // line.meter.bar_quarters) + 1
        mark = {Path.INSIDE: "in", Path.OUTSIDE: "out", Path.ONE_WAY: "on"}[change.path]
        bars.setdefault(bar, []).append(f"{change.from_course}>{change.to_course} {mark}")
    if bars:
        click.echo("String changes of the pick (in: between the strings, out: around them, on: in one direction):")
    for bar, changes in bars.items():
        click.echo(f"  bar {bar}: {', '.join(changes)}")


def _echo_strains(line: "Exercise", limits: "HandLimits") -> None:
    from trainer.score.playability import strains_of

    strains = strains_of(line, limits)
    for strain in strains:
        click.echo(f"Too far: {strain.told}.")
    if not strains:
        click.echo(f"All of it lies under the hand: {limits.name}.")
