"""What is kept of homework in the data folder.

    homework/made/<identity>-<edition>.walkwork       the teacher's: what was given out
    homework/returned/<pupil>_<...>.walkdone          the teacher's: what came back, as it came
    homework/opened/<identity>-<edition>.walkwork     the pupil's: what was opened
    homework/opened/<identity>.json                   the pupil's: since when, and which own exercise is which line
    homework/judged.sqlite                            what takes came to here; may be deleted at any time

Every file is written whole or not at all. A file that is there is never changed by one from elsewhere, so opening the
same file twice does nothing, and another file that says it is the same edition is refused.
"""

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

from pydantic import Field

from trainer.devices.own_exercises import exercises_folder
from trainer.devices.recording import takes_folder
from trainer.homework import assignment as given
from trainer.homework.assignment import (
    Assignment,
    Digest,
    Identity,
    Moment,
    Task,
    Told,
    assignment_bytes,
    assignment_in,
    parsed,
)
from trainer.homework.cache import Cache
from trainer.homework.container import read_file
from trainer.homework.errors import HomeworkError
from trainer.homework.line import line_digest
from trainer.homework.pieces import measuring_program
from trainer.homework.returned import ENDING as RETURN_ENDING
from trainer.homework.returned import Returned, returned_in, take_digest
from trainer.homework.wording import exercise_name, file_part, shown
from trainer.keeping import checked_name, keep_line
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_files, load_exercise
from trainer.sheets.errors import SheetError
from trainer.sheets.saving import save

_KIND = "boxwalk_opened"
_EDITION_FILE = re.compile(r"([0-9a-f]{12})-([0-9]{1,4})\.walkwork")
_MOST_OF_ONE_NAME = 1000


@dataclass(frozen=True, slots=True)
class Opened:
    """Homework that a pupil has opened, in its latest edition."""

    assignment: Assignment
    text: bytes
    """Of the assignment, as it came."""
    since: str
    """When its first edition was opened."""
    tag: str
    names: dict[str, str]
    """By the digest of a line, what it is called among the pupil's exercises."""


def homework_folder() -> Path:
    """Beside the takes."""
    return takes_folder().with_name("homework")


def judged_before() -> Cache:
    """What takes came to when they were judged here."""
    return Cache(homework_folder() / "judged.sqlite", measuring_program())


def write(path: Path, data: bytes) -> None:
    """Write a file whole; `HomeworkError` when that fails, and then an older one is untouched."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        save(path, data)
    except SheetError as error:
        raise HomeworkError(str(error)) from error
    except OSError as error:
        raise HomeworkError(f"{path}: cannot be saved ({error.strerror or error}); nothing was changed") from error


def free_path(folder: Path, stem: str, ending: str) -> Path:
    """A path in `folder` that nothing has yet."""
    for number in range(1, _MOST_OF_ONE_NAME):
        path = folder / f"{stem}{'' if number == 1 else f'-{number}'}{ending}"
        if not path.exists():
            return path
    raise HomeworkError(f"{folder}: there are too many files called {stem}{ending} already")


def keep_made(assignment: Assignment) -> None:
    """Keep what is given out, and to whom: later it is what returned files are judged by."""
    write(_edition_path("made", assignment), assignment_bytes(assignment))


def made_editions(identity: str) -> tuple[Assignment, ...]:
    """The editions of one assignment that were made here, the oldest first."""
    return tuple(one for one, _ in _editions("made", identity))


def _edition_path(which: str, assignment: Assignment) -> Path:
    return homework_folder() / which / f"{assignment.identity}-{assignment.edition}{given.ENDING}"


def _editions(which: str, identity: str) -> list[tuple[Assignment, bytes]]:
    found: list[tuple[Assignment, bytes]] = []
    folder = homework_folder() / which
    for path in sorted(folder.glob(f"{identity}-*{given.ENDING}")):
        try:
            data = read_file(path)
            found.append((assignment_in(data), data))
        except HomeworkError:
            continue  # damaged: what else is there still serves
    return sorted(found, key=lambda each: each[0].edition)


def open_homework(data: bytes, now: str, tag: str) -> tuple[Opened, str]:
    """Take homework in: its lines become own exercises, and it is remembered. Also a sentence on what was done.

    `tag` is for homework that was not opened before.
    """
    assignment = assignment_in(data)
    try:
        before, mended = opened(assignment.identity), ""
    except HomeworkError as error:
        before, mended = None, _set_aside(_record_path(assignment.identity), error)
        now = assignment.made  # when it was opened is lost; it was not before this
    same = [one for one, _ in _editions("opened", assignment.identity) if one.edition == assignment.edition]
    if same and same[0].content != assignment.content:
        raise HomeworkError(
            f"says it is edition {assignment.edition} of {assignment.title!r}, but is not the one that was opened: "
            "ask for a file with a new edition. Nothing was changed"
        )
    if before is not None and before.assignment.edition > assignment.edition:
        newer = before.assignment.edition
        return before, f"This is edition {assignment.edition}; edition {newer} was opened already and stays."
    names = dict(before.names) if before is not None else {}
    names |= {task.digest: _own_name(task.exercise, names.get(task.digest)) for task in assignment.tasks}
    now_opened = Opened(
        assignment,
        given.text_of(assignment).encode(),
        before.since if before is not None else now,
        before.tag if before is not None else tag,
        names,
    )
    write(_edition_path("opened", assignment), data)
    told = {_KIND: given.VERSION, "identity": assignment.identity, "since": now_opened.since}
    told |= {"tag": now_opened.tag, "names": names}
    write(_record_path(assignment.identity), json.dumps(told, indent=1).encode())
    if before is None:
        return now_opened, mended or "Opened."
    is_again = before.assignment.edition == assignment.edition
    return now_opened, "It was open already." if is_again else f"Edition {assignment.edition} takes the former's place."


def own_line(opened: Opened, task: Task) -> Exercise:
    """The line of a task under the name that it has among the pupil's exercises."""
    return replace(task.exercise, name=opened.names.get(task.digest, task.exercise.name))


def _set_aside(path: Path, error: HomeworkError) -> str:
    """Keep a damaged record beside the new one, and say so."""
    kept = free_path(path.parent, path.stem, ".damaged")
    try:
        path.rename(kept)
    except OSError as trouble:
        raise HomeworkError(f"{error}, but it cannot be set aside ({trouble.strerror or trouble})") from trouble
    return f"Opened anew: the record of it was damaged and is kept as {kept}. Takes since it was made count."


def _own_name(line: Exercise, known: str | None) -> str:
    """The name of the exercise that is this line; it is kept under a free name when there is none yet."""
    files = exercise_files([exercises_folder()])
    wanted = exercise_name(line.name)
    digest = line_digest(line)
    for name in (known, *(wanted if number == 1 else f"{wanted}-{number}" for number in range(1, _MOST_OF_ONE_NAME))):
        if name is None:
            continue
        if name in files:
            if _is_line(files[name], digest):
                return name
        elif name != known:
            try:
                keep_line(
                    replace(line, name=name, title=shown(line.title, 80), about=shown(line.about, given.LONGEST_NOTE)),
                    checked_name(name),
                )
            except ExerciseError as error:
                raise HomeworkError(str(error)) from error
            return name
    raise HomeworkError(f"there are too many exercises called {wanted} already")


def _is_line(path: Path, digest: str) -> bool:
    try:
        return line_digest(load_exercise(str(path))) == digest
    except ExerciseError:
        return False


def _record_path(identity: str) -> Path:
    return homework_folder() / "opened" / f"{identity}.json"


class _ToldOpened(Told):
    identity: Identity
    since: Moment
    tag: Annotated[str, Field(pattern=r"^[0-9a-f]{8}$")]
    names: dict[Digest, str]


def opened(identity: str) -> Opened | None:
    """Homework that was opened, in its latest edition; None when it was not."""
    editions = _editions("opened", identity)
    path = _record_path(identity)
    if not editions or not path.is_file():
        return None
    try:
        told = parsed(_ToldOpened, read_file(path), _KIND)
    except HomeworkError as error:
        raise HomeworkError(f"{path}: {error}. Open the homework again to mend it") from error
    latest, _ = editions[-1]
    return Opened(latest, given.text_of(latest).encode(), told.since, told.tag, told.names)


def _identities(which: str) -> list[str]:
    matches = [_EDITION_FILE.fullmatch(path.name) for path in (homework_folder() / which).glob("*")]
    return sorted({match[1] for match in matches if match})


def all_made() -> tuple[Assignment, ...]:
    """All homework that was made here, each in its latest edition, the newest last."""
    found = [editions[-1] for identity in _identities("made") if (editions := made_editions(identity))]
    return tuple(sorted(found, key=lambda one: one.made))


def all_opened(troubles: list[str] | None = None) -> tuple[Opened, ...]:
    """All homework that was opened, the newest last.

    `HomeworkError` for a record that cannot be read; a sentence in `troubles` instead, where they are asked for.
    """
    found: list[Opened | None] = []
    for identity in _identities("opened"):
        try:
            found.append(opened(identity))
        except HomeworkError as error:
            if troubles is None:
                raise
            troubles.append(str(error))
    return tuple(sorted((one for one in found if one is not None), key=lambda one: (one.since, one.assignment.made)))


def keep_returned(returned: Returned, data: bytes) -> None:
    """Keep a returned file as it came, once."""
    stem = f"{file_part(returned.pupil, 'pupil')}_{returned.assignment.identity}_{take_digest(data)[:16]}"
    path = homework_folder() / "returned" / f"{stem}{RETURN_ENDING}"
    if not path.is_file():
        write(path, data)


def kept_returned(identities: Iterable[str] | None = None) -> tuple[Returned, ...]:
    """The returned files that were collected before, of these assignments or of all."""
    wanted = None if identities is None else set(identities)
    found: list[Returned] = []
    for path in sorted((homework_folder() / "returned").glob(f"*{RETURN_ENDING}")):
        if wanted is not None and not any(f"_{identity}_" in path.name for identity in wanted):
            continue
        try:
            found.append(returned_in(read_file(path)))
        except HomeworkError:
            continue  # damaged since: the others still serve
    return tuple(found)
