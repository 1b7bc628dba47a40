"""Returned files taken in: read as from strangers, kept for the next time, and judged into tables."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from trainer.history.judged import ear_fingerprint
from trainer.homework import folders
from trainer.homework.collecting import Table, tables
from trainer.homework.container import read_file
from trainer.homework.errors import HomeworkError
from trainer.homework.gathering import program
from trainer.homework.pieces import Progress
from trainer.homework.returned import ENDING, Returned, returned_in
from trainer.theory.naming import UnknownWord


@dataclass(frozen=True, slots=True)
class Intake:
    """The tables, and a sentence for each file that is not in them."""

    tables: tuple[Table, ...]
    left_out: tuple[str, ...]


def taken_in(
    paths: Sequence[Path], pupil: str | None = None, progress: Progress | None = None, *, with_others: bool = False
) -> Intake:
    """The tables of the files in `paths`, compared with those that were collected before.

    Without paths all that was collected before is shown; `with_others`: what others gave back of the same homework,
    too. `pupil`: only the files of this one are judged; `HomeworkError` when there are none.
    """
    new, left_out = _read(paths)
    identities = {one.assignment.identity for one in new}
    files = {_key(one): one for one in new}
    for one in folders.kept_returned(identities if paths else None):
        files.setdefault(_key(one), one)
    show = frozenset(
        (one.assignment.identity, one.tag)
        for one in (new if paths and not with_others else files.values())
        if pupil is None or pupil.casefold().startswith(one.pupil.casefold())
    )
    if pupil is not None and not show:
        raise HomeworkError(
            str(UnknownWord(pupil, "a pupil in the table", sorted({one.pupil for one in files.values()})))
        )
    ear, cache = program(ear_fingerprint()), folders.judged_before()
    return Intake(tables(tuple(files.values()), folders.made_editions, ear, show, cache, progress), tuple(left_out))


def _key(one: Returned) -> tuple[str, str, str, tuple[bytes, ...]]:
    return one.tag, one.made, one.assignment.identity, one.takes


def _read(paths: Iterable[Path]) -> tuple[list[Returned], list[str]]:
    read: dict[bytes, Returned] = {}
    left_out: list[str] = []
    for path in files_in(paths):
        try:
            data = read_file(path)
            if data not in read:
                read[data] = returned_in(data)
        except HomeworkError as error:
            left_out.append(f"{path} {error}")
            continue
        try:
            folders.keep_returned(read[data], data)
        except HomeworkError as error:
            left_out.append(f"a copy of {path} for the next time: {error}")
    return list(read.values()), left_out


def files_in(paths: Iterable[Path]) -> Iterator[Path]:
    """The files themselves, and the returned files in folders."""
    for path in paths:
        try:
            inside = sorted(file for file in path.iterdir() if file.suffix.lower() == ENDING) if path.is_dir() else None
        except (OSError, ValueError):
            inside = None  # whoever reads it says why it cannot be
        yield from [path] if inside is None else inside
