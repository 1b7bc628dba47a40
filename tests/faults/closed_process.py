"""Runs the commands of a player's and a teacher's day, and tells of every socket that is made on the way.

Standard output: a line `command: exit code`, or `socket: event`. Argument 1 is the folder for what is written;
BOXWALK_DATA names the data folder. Sockets that a C library opens by itself (X11, JACK: both local) are not seen.

Reference: Python's documentation, "Audit events table".
"""

import sys
from pathlib import Path
from typing import Any

from click.testing import CliRunner

WATCHED = ("socket.", "urllib.", "http.client.", "ftplib.", "smtplib.", "poplib.", "imaplib.", "telnetlib.", "nntplib.")
LINE = "B minor pentatonic, strings 1-2, positions 1, fours down, sixteenths, tempo 300"
QUICK = ("--headless", "--silent", "--passes", "1", "--count-in", "0")


def commands(folder: Path) -> tuple[tuple[str, ...], ...]:
    """All that needs no window and nobody's hands."""
    return (
        ("doctor",),
        ("ports",),
        ("exercises",),
        ("show", "two-gates"),
        ("new", LINE, "--name", "short-walk", "--save"),
        ("vary", "short-walk", "mirrored=yes", "--name", "short-walk-back", "--save"),
        ("homework", "make", "short-walk; target 96", "--title", "Week", "-o", str(folder / "week.walkwork")),
        ("homework", "open", str(folder / "week.walkwork")),
        ("practise", "short-walk", *QUICK),
        ("practise", "short-walk", *QUICK, "--player", "Žofia"),
        ("takes",),
        ("takes", "--twins", "short-walk"),
        ("history", "--player", "Žofia"),
        ("history", "--by", "take"),
        ("rejudge",),
        ("coach", "short-walk", "--player", "Žofia"),
        ("plan",),
        ("report", str(folder / "weeks.pdf")),
        ("export", str(folder / "export")),
        *(
            ("sheet", "two-gates", "--to", str(folder / f"sheet{kind}"))
            for kind in (".pdf", ".svg", ".musicxml", ".mid")
        ),
        ("import", str(folder / "sheet.musicxml"), "--save", "come-back"),
        ("homework", "return", "--name", "Žofia", "--with-simulated", "-o", str(folder / "week.walkdone")),
        ("homework", "collect", str(folder)),
        ("history", "--forget", "Žofia", "--yes"),
    )


def main() -> None:
    folder = Path(sys.argv[1])
    sys.addaudithook(tell)
    from trainer.cli import main as boxwalk

    for arguments in commands(folder):
        result = CliRunner().invoke(boxwalk, arguments)
        say(f"{' '.join(arguments[:2])}: {result.exit_code}")
        if result.exit_code:
            say(result.output)


def tell(event: str, arguments: tuple[Any, ...]) -> None:
    if event.startswith(WATCHED):
        say(f"socket: {event} {arguments!r:.200}")


def say(words: str) -> None:
    sys.__stdout__.write(words + "\n")  # type: ignore[union-attr]  # there is one: it is the test's pipe


if __name__ == "__main__":
    main()
