"""`boxwalk report`: progress over some weeks, as sentences here and with pictures in a PDF."""

from pathlib import Path

import click

from trainer.cli.complaint import Complaint
from trainer.cli.history import opened_history
from trainer.cli.player import player_option


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path), required=False)
@click.option("--exercise", default="", metavar="NAME", help="Of one line alone, minutes and breaks aside.")
@click.option(
    "--weeks", type=click.IntRange(1, 104), default=8, show_default=True, help="So many, this one being the last."
)
@player_option
def report(file: Path | None, exercise: str, weeks: int, player: str) -> None:
    """Say what the last weeks show: tempo, timing, the neck, weak transitions, minutes and breaks.

    With FILE.pdf the pictures are written as well, on A4 and readable in grey. Strings are not compared where the
    pickup does not tell them or its latency was never measured.
    """
    from datetime import datetime

    from trainer.progress.gathering import facts_of, first_day
    from trainer.progress.pictures import pictures_of

    if file is not None and file.suffix.lower() != ".pdf":
        raise Complaint(f"{file}: expected a name that ends in .pdf")
    today = datetime.now().astimezone().date()
    with opened_history() as kept:
        _check_name(exercise, kept.played_names(player))
        facts = facts_of(kept, player, first_day(today, weeks), today, exercise)
    pictures = pictures_of(facts)
    for picture in pictures:
        click.echo(f"{picture.title}\n  {picture.sentence}")
    if file is not None:
        from trainer.progress.report import report_pdf
        from trainer.sheets.errors import SheetError
        from trainer.sheets.saving import save

        try:
            save(file, report_pdf(facts, pictures))
        except SheetError as error:
            raise Complaint(str(error)) from error
        click.echo(f"The pictures are in {file}.")


def _check_name(exercise: str, played: frozenset[str]) -> None:
    """`Complaint` for a line that was never played, with the nearest that was."""
    from trainer.theory.naming import UnknownWord

    if exercise and exercise not in played:
        raise Complaint(f"--exercise: {UnknownWord(exercise, 'a line that was played', sorted(played))}")
