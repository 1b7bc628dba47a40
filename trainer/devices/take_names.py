"""Which files of a folder say by their names that they are takes of an exercise.

A name begins with its date and ends with the exercise's name (`recording.take_path`), perhaps with a number where two
were begun in one second; whoever opens the file makes sure that its header says the same.
"""

import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from trainer.devices.recording import take_path

_NAMED = re.compile(r"\d{4}-\d\d-\d\d_\d\d-\d\d-\d\d_(?P<name>.+?)(?:_\d+)?")


def takes_named(exercise_name: str, folder: Path) -> Iterator[Path]:
    """The files whose names say that they are takes of an exercise, the newest first."""
    wanted = part_of(exercise_name)
    for path in sorted(folder.glob("*.mid"), reverse=True):
        if named_part(path.stem) == wanted:
            yield path


def part_of(exercise_name: str) -> str:
    """What the names of this exercise's takes say behind their date."""
    return named_part(take_path(Path(), datetime(2000, 1, 1), exercise_name).stem)


def named_part(stem: str) -> str:
    """What a name says behind its date; empty for a name of another kind."""
    match = _NAMED.fullmatch(stem)
    return match["name"] if match else ""
