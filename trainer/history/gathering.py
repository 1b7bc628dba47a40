"""Taking takes in: those of the folder that are not in the history yet, or are longer now than they were then."""

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from trainer.history.errors import DamagedHistoryError, HistoryError
from trainer.history.judged import JudgedTake, heard_over
from trainer.history.opening import put_aside
from trainer.history.processes import each
from trainer.history.store import ForeignTakeError, History, TakeFile, take_file
from trainer.history.tempo_runs import bring_over
from trainer.judging import JudgingError
from trainer.playing.take import TakeError
from trainer.score.errors import ExerciseError
from trainer.theory.naming import counted

UNREADABLE = (TakeError, ExerciseError, JudgingError)
"""What is wrong with a file, never with the history."""


@dataclass(frozen=True, slots=True)
class Gathered:
    """What came of it."""

    taken_in: int
    unread: tuple[str, ...]
    """A sentence for each take of ours that cannot be read; files from elsewhere are passed over."""


def missing_files(history: History) -> tuple[Path, ...]:
    """The files of the folder of takes that are not in the history as they are now, the oldest first."""
    known = history.known_files()
    found = _sizes(history.takes_folder)
    return tuple(history.takes_folder / name for name in sorted(found) if known.get(name) != found[name])


def gather(
    history: History, paths: Iterable[Path], told: Callable[[], bool] = lambda: True, *, processes: int = 1
) -> Gathered:
    """Judge the takes in files and take them in; `told` is called after each and says whether to go on."""
    taken_in = 0
    unread: list[str] = []
    for found in each(_judge, ((path, history.takes_folder) for path in paths), processes):
        if isinstance(found, str):
            unread.append(found)
        elif found is not None:
            history.add(*found)
            taken_in += 1
        if not told():
            break
    return Gathered(taken_in, tuple(unread))


def _judge(place: tuple[Path, Path]) -> tuple[TakeFile, JudgedTake] | str | None:
    """A take that nobody followed live, judged; a sentence when it cannot be read, None when it is from elsewhere."""
    try:
        kept = take_file(*place)
        return kept, heard_over(kept.take, kept.header)
    except ForeignTakeError:
        return None
    except UNREADABLE as error:
        return str(error)


def opened(path: Path, takes_folder: Path) -> tuple[History, str | None]:
    """The history; a damaged one is put aside and made anew, which the sentence then says."""
    try:
        return History.open(path, takes_folder), None
    except DamagedHistoryError as error:
        return made_anew(path, takes_folder, error)


def made_anew(path: Path, takes_folder: Path, error: DamagedHistoryError) -> tuple[History, str]:
    """Put a damaged history aside and begin another, and a sentence that says so; the takes are to be gathered."""
    aside = put_aside(path)
    history = History.open(path, takes_folder)
    runs = bring_over(aside, history)
    tempi = f"; {counted(runs, 'working tempo', 'working tempi')} could be read in it and stay" if runs else ""
    return history, f"{error} It is kept as {aside}, and a new one is made of the takes in {takes_folder}{tempi}."


def _sizes(folder: Path) -> dict[str, int]:
    try:
        with os.scandir(folder) as entries:
            return {entry.name: entry.stat().st_size for entry in entries if entry.name.endswith(".mid")}
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise HistoryError(f"The folder {folder} cannot be read ({error.strerror or error}).") from error
