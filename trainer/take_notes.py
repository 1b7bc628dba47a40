"""Notes about takes: a text file next to the take, which itself is never changed; an empty note is deleted."""

from pathlib import Path

from trainer.playing.take import LONGEST_NOTE, note_path
from trainer.sheets.errors import SheetError
from trainer.sheets.saving import save

MOST_BYTES = 20_000
"""Of a note no more is read: it may come from elsewhere."""


def read_note(take: Path) -> str:
    """The note about a take, in one line that can be shown; empty when there is none that can be read."""
    try:
        with note_path(take).open("rb") as file:
            text = file.read(MOST_BYTES).decode("utf-8", errors="replace")
    except OSError:
        return ""
    printable = "".join(sign if sign.isprintable() else " " for sign in text)
    return " ".join(printable.split())[:LONGEST_NOTE]


def keep_note(take: Path, text: str) -> str:
    """Keep a note about a take, or delete it when it is empty; what came of it, in a sentence."""
    path = note_path(take)
    try:
        if not text:
            path.unlink(missing_ok=True)
            return "The note was deleted."
        save(path, f"{text}\n".encode())
    except (OSError, SheetError) as error:
        return f"The note could not be kept: {error}"
    return f"The note is kept with the take: {path}"
