"""`boxwalk replay`: a kept take, gone through like a recording, or a picture of it."""

import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.cli.complaint import Complaint, complaints
from trainer.cli.takes import take_path_of
from trainer.cli.window import window_option

if TYPE_CHECKING:
    from trainer.playing.take import Take, TakeHeader
    from trainer.score.exercise import Exercise

_NOTES = re.compile(r"(\d{1,6})-(\d{1,6})")


@dataclass(frozen=True, slots=True)
class Kept:
    """A take that says what was played."""

    path: Path
    take: "Take"
    header: "TakeHeader"
    exercise: "Exercise"


@click.command()
@click.argument("take")
@click.option("--beside", metavar="OTHER", help="Another take of the same line, under it on the same tablature.")
@click.option("--picture", metavar="FILE", help="Write a PNG of it instead; FILE must not be there yet.")
@click.option("--width", type=int, default=1600, show_default=True, help="Of the picture, in pixels.")
@click.option("--notes", metavar="FIRST-LAST", help="Picture only the bars of these notes, counted from 0.")
@window_option
def replay(
    take: str, beside: str | None, picture: str | None, width: int, notes: str | None, size: tuple[int, int]
) -> None:
    """Show TAKE (a file, or a name from the list) on the screen, followed and judged again as it runs, with its sound.

    Keys and mouse go through it: F1 there says how.
    """
    kept = _kept(take)
    second = None if beside is None else _beside(beside, kept.exercise)
    if picture is not None:
        _write_picture(kept, second, Path(picture), width, notes)
        return
    if notes is not None:
        raise Complaint("--notes says what a picture holds; it goes with --picture FILE")
    from trainer.cli.replay_window import open_replay
    from trainer.other_takes import other_files

    others = list(other_files(kept.exercise, kept.path.parent, kept.path))
    if second is not None:
        others = [second, *(one for one in others if one != second)]
    open_replay(kept.take, kept.header, kept.exercise, size, others, shows_other=second is not None, path=kept.path)


def _beside(name: str, exercise: "Exercise") -> Path:
    """The file of a take of this line; complains about one of another line."""
    other = _kept(name)
    if other.exercise.notes != exercise.notes:
        raise Complaint(
            f"--beside: {other.path} is a take of {other.exercise.name!r} as it was played then, not of the same notes"
            f" as {exercise.name!r}"
        )
    return other.path


def _kept(name: str) -> Kept:
    """A take that says what was played; complains about any other."""
    from trainer.playing.take import read_take
    from trainer.score.serial import exercise_from_dict

    path = take_path_of(name)
    with complaints():
        take = read_take(path)
        if take.header is None:
            raise Complaint(
                f"{path} does not say what was played; `boxwalk judge EXERCISE {name}` judges any MIDI file"
            )
        try:
            exercise = exercise_from_dict(dict(take.header.exercise))
        except (ValueError, KeyError, TypeError) as error:
            raise Complaint(f"{path}: the line in it cannot be read: {error}") from error
        if not exercise.notes:
            raise Complaint(
                f"{path} is a phrase that no line was given for; `boxwalk capture --from {name}` writes it down"
            )
    return Kept(path, take, take.header, exercise)


def _write_picture(kept: Kept, second: Path | None, file: Path, width_px: int, notes: str | None) -> None:
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    from trainer.devices.remembered import Memory
    from trainer.replaying import picture_of
    from trainer.screens.look import look_of, wear
    from trainer.take_pictures import write_picture

    look = Memory().look
    wear(look_of(look.theme, look.text_percent))
    ends = _ends(notes)
    with complaints():
        try:
            surface = picture_of(kept.path, kept.take, kept.header, kept.exercise, second, width_px, ends)
        except ValueError as error:
            raise Complaint(str(error)) from error
    try:
        write_picture(surface, file)
    except FileExistsError:
        raise Complaint(f"{file} is there already: give another name") from None
    except OSError as error:
        raise Complaint(f"{file}: {error.strerror or error}") from error
    click.echo(f"Written to {file}: {surface.get_width()} x {surface.get_height()} pixels.")


def _ends(words: str | None) -> tuple[int, int] | None:
    if words is None:
        return None
    match = _NOTES.fullmatch(words.strip())
    if match is None:
        raise Complaint(f"--notes {words!r}: expected the first and the last one, such as 8-23")
    return int(match[1]), int(match[2])
