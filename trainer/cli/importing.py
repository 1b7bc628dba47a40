"""`boxwalk import`: a file of another program as an exercise of one's own."""

from pathlib import Path

import click

from trainer.cli.complaint import complaints


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--part", default="", metavar="N|NAME", help="Which part, where the file has several.")
@click.option("--save", "name", metavar="NAME", help="Keep it among your own exercises under this name.")
@click.option("--width", type=click.IntRange(40, 400), default=100, show_default=True, help="Columns to fill.")
def import_file(file: Path, part: str, name: str | None, width: int) -> None:
    """Read FILE (.musicxml, .xml, .mxl, .mid, .txt, .tab), show it, and say what of it could not be used.

    What is kept lists its notes one by one and can be edited; `boxwalk practise NAME` plays it.
    """
    from dataclasses import replace

    from trainer.keeping import checked_name, keep_line
    from trainer.score.file_reading import read_file
    from trainer.sheets.text_tablature import text_tablature

    with complaints():
        if name is not None:
            checked_name(name)
        reading = read_file(file, part)
    click.echo(text_tablature(reading.exercise, width=width))
    echo_remarks(reading.remarks)
    if name is not None:
        with complaints():
            path = keep_line(replace(reading.exercise, name=name), name)
        click.echo(f"Kept as {path}: `boxwalk practise {name}` plays it.")


def echo_remarks(remarks: tuple[str, ...]) -> None:
    """Print what there is to say about a file, one sentence a line."""
    for remark in remarks:
        click.echo(f"* {remark}")


def remarks_about(words: str) -> tuple[str, ...]:
    """What there is to say about the file that `words` name; nothing about an exercise that is no file."""
    from trainer.score.file_reading import READABLE, read_file

    path = Path(words)
    is_file = path.suffix.lower() in READABLE and path.is_file()
    return read_file(path).remarks if is_file else ()
