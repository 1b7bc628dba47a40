"""`boxwalk sheet`: an exercise, or a booklet of them, as a file for people or for other programs."""

from pathlib import Path

import click

from trainer.cli.complaint import Complaint, complaints


@click.command()
@click.argument("exercises", nargs=-1, required=True, metavar="EXERCISE...")
@click.option(
    "--to",
    "path",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    metavar="FILE",
    help="The file to write; its ending says what it becomes.",
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Size of a page.")
@click.option("--title", default="", help="Title of a booklet.")
@click.option("--engraved", is_flag=True, help="A .pdf with standard notation, by LilyPond where it is installed.")
def sheet(exercises: tuple[str, ...], path: Path, paper: str, title: str, *, engraved: bool) -> None:
    """Write EXERCISE to a sheet or a file for other programs; several make a booklet with a contents page.

    \b
    .pdf             sheet to print: tablature, rhythm, count, fingers, necks
    .svg             the same as pictures, one for each page
    .txt             text tablature
    .musicxml .mxl   notation and tablature staves for notation programs
    .mid             MIDI, a channel for each string; techniques are lost
    .ly              source for the engraver LilyPond
    """  # noqa: D301 - click reads the backspace as "keep these lines"
    from trainer.cli.naming import exercise_named
    from trainer.sheets.errors import SheetError
    from trainer.sheets.kinds import files_of
    from trainer.sheets.paper import PAPERS
    from trainer.sheets.saving import save

    with complaints():
        lines = [exercise_named(words) for words in exercises]
    try:
        for file, data in files_of(lines, path, title=title, paper=PAPERS[paper], engraved=engraved):
            save(file, data)
            click.echo(f"{file}")
    except SheetError as error:
        raise Complaint(str(error)) from error
