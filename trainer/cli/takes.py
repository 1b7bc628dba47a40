"""`boxwalk takes`: what has been played."""

from pathlib import Path

import click

from trainer.cli.complaint import Complaint, complaints


@click.command()
@click.argument("words", nargs=-1)
@click.option("--twins", metavar="EXERCISE", help="Set the last take of EXERCISE beside those of its twins instead.")
def takes(words: tuple[str, ...], twins: str | None) -> None:
    """List the kept takes, the newest first; WORDS narrow the list."""
    from rich.console import Console
    from rich.table import Table

    from trainer.devices.recording import list_takes, takes_folder

    folder = takes_folder()
    if twins is not None:
        _echo_twins(twins, folder)
        return
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("take", "exercise", "pace", "tempo", "passes", "notes heard", "input"):
        table.add_column(heading, overflow="fold")
    found = 0
    for take in list_takes(folder):
        header = take.header
        row = (
            (take.path.name, take.trouble or "a MIDI file from elsewhere", "", "", "", str(take.note_ons), "")
            if header is None
            else (
                take.path.name,
                header.exercise_name,
                header.pace,
                f"{float(header.quarters_per_minute):g}",
                str(header.passes),
                str(take.note_ons),
                header.input,
            )
        )
        if all(word.lower() in " ".join(row).lower() for word in words):
            found += 1
            table.add_row(*row)
    console = Console()
    console.print(f"Takes are kept in {folder}", highlight=False, soft_wrap=True)
    console.print(table if found else "None yet." if not words else "None fits.")


def _echo_twins(name: str, folder: Path) -> None:
    """An exercise and its twins, each with the figures of its last take, judged now."""
    from rich.console import Console
    from rich.table import Table

    from trainer.cli.naming import exercise_named, own_folders
    from trainer.score.finding import twins_of
    from trainer.score.library import load_all
    from trainer.twins import last_figures

    with complaints():
        line = exercise_named(name)
    twins = twins_of(line, load_all(own_folders())[0])
    if not twins:
        raise Complaint(f"{line.name!r} has no twins: `boxwalk vary {line.name} CHANGE --save` makes one")
    found = {twin.name: last_figures(twin.name, folder) for twin in (line, *twins)}
    table = Table(box=None, pad_edge=False, header_style="bold")
    headings = next((list(figures.words) for figures in found.values() if figures), [])
    for heading in ("exercise", *headings):
        table.add_column(heading, no_wrap=True)
    for twin, figures in found.items():
        table.add_row(twin, *(figures.words.values() if figures else ["no take kept yet"][: len(headings)]))
    console = Console()
    console.print(table if headings else f"No take of {line.name} or of its twins is kept yet.")


def take_path_of(name: str) -> Path:
    """The file that a user means: a path, or a name in the folder of takes, with or without `.mid`."""
    from difflib import get_close_matches

    from trainer.devices.recording import takes_folder

    folder = takes_folder()
    for path in (Path(name), folder / name, folder / f"{name}.mid"):
        if path.is_file():
            return path
    near = get_close_matches(name, [path.name for path in folder.glob("*.mid")], n=3)
    hint = f"; nearest: {', '.join(near)}" if near else "; `boxwalk takes` lists them"
    raise Complaint(f"there is no take {name!r}{hint}")
