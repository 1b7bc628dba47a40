"""What is kept beside a take: a note about it, and pictures of it. The take itself is never changed.

A note is a text file next to the take (`playing.take.note_path`); an empty one is deleted. A picture is written to a
new file only: what is there is never overwritten.
"""

import io
from itertools import count
from pathlib import Path

import pygame

from trainer.playing.take import note_path
from trainer.sheets.errors import SheetError
from trainer.sheets.saving import save

MOST_BYTES = 20_000
"""Of a note no more is read: it may come from elsewhere."""


def read_note(take: Path) -> str:
    """The note about a take, in one line; empty when there is none that can be read."""
    try:
        with note_path(take).open("rb") as file:
            return " ".join(file.read(MOST_BYTES).decode("utf-8", errors="replace").split())
    except OSError:
        return ""


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


def write_picture(surface: pygame.Surface, path: Path) -> None:
    """Write a PNG to a new file; `FileExistsError` when there is one, another `OSError` when it cannot be written."""
    stream = io.BytesIO()
    pygame.image.save(surface, stream, "picture.png")
    with path.open("xb") as file:
        file.write(stream.getvalue())


def picture_beside(surface: pygame.Surface, take: Path) -> str:
    """Write a picture into the folder `pictures` beside the folder of a take; where, in a sentence."""
    folder = take.parent.parent / "pictures"
    try:
        folder.mkdir(exist_ok=True)
        for number in count(1):
            path = folder / f"{take.stem}{'' if number == 1 else f'_{number}'}.png"
            try:
                write_picture(surface, path)
            except FileExistsError:
                continue
            return f"Written to {path}"
    except OSError as error:
        return f"The picture could not be written: {error}"
    raise AssertionError("there is always a free name")
