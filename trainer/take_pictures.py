"""Pictures of takes, written to new files only: what is there is never overwritten."""

import io
from itertools import count
from pathlib import Path

import pygame


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
