"""`boxwalk exercises` and `boxwalk show`: what there is to play."""

import click

from trainer.cli.complaint import complaints


@click.command()
@click.argument("words", nargs=-1)
@click.option("--tag", "tags", multiple=True, help="Only lines with this tag, e.g. fours, legato, slid.")
@click.option("--strings", type=int, help="Only lines that use this many strings.")
def exercises(words: tuple[str, ...], tags: tuple[str, ...], strings: int | None) -> None:
    """List the exercises; WORDS narrow the list by name, title, key and text."""
    from rich.console import Console
    from rich.table import Table

    from trainer.cli.naming import own_folders
    from trainer.score.library import exercise_names, load_exercise

    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("name", "key", "strings", "notes", "tempo"):
        table.add_column(heading, no_wrap=True, justify="right" if heading in ("notes", "tempo") else "left")
    table.add_column("tags")
    found = 0
    with complaints():
        for name in exercise_names(own_folders()):
            line = load_exercise(name, own_folders())
            text = " ".join((name, line.title, line.key, line.about, *line.tags)).lower()
            if not all(word.lower() in text for word in words) or not set(tags) <= set(line.tags):
                continue
            if strings is not None and len(line.courses) != strings:
                continue
            found += 1
            courses = f"{line.courses[0]}-{line.courses[-1]}"
            tempo = f"{float(line.tempo.quarters_per_minute):g}"
            table.add_row(name, line.key, courses, str(len(line.notes)), tempo, ", ".join(line.tags))
    Console().print(table if found else "No exercise fits. `boxwalk exercises` lists them all.")


@click.command()
@click.argument("exercise")
@click.option("--width", type=click.IntRange(40, 400), default=100, show_default=True, help="Columns to fill.")
def show(exercise: str, width: int) -> None:
    """Print EXERCISE as text tablature with its count line and a legend.

    EXERCISE is a name from the list, a file (.toml, .musicxml, .xml, .mxl, .mid, .txt, .tab), or a line of text such as
    "B minor pentatonic, strings 1-2, positions 1 2 3, fours down". What of a file could not be used is said below.
    """
    from trainer.cli.importing import echo_remarks, remarks_about
    from trainer.cli.naming import exercise_named
    from trainer.sheets.text_tablature import text_tablature

    with complaints():
        line, remarks = exercise_named(exercise), remarks_about(exercise)
    click.echo(text_tablature(line, width=width))
    echo_remarks(remarks)
