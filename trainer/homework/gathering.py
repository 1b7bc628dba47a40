"""The pupil's takes for a returned file."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import trainer
from trainer.history.judged import ear_fingerprint
from trainer.homework.cache import Cache
from trainer.homework.container import LARGEST_MEMBER_BYTES, MOST_TAKES
from trainer.homework.errors import HomeworkError
from trainer.homework.folders import Opened
from trainer.homework.line import line_digest, line_in
from trainer.homework.measuring import MeasuredTake, figures_of
from trainer.homework.pieces import Progress, judged
from trainer.homework.returned import Returned, moment, take_digest
from trainer.playing.take import TakeError, TakeHeader, take_in
from trainer.score.exercise import Exercise
from trainer.take_notes import read_note
from trainer.theory.naming import counted

_DATED = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}_")


@dataclass(frozen=True, slots=True)
class Gathered:
    """The takes that count for homework, the oldest first."""

    takes: tuple[bytes, ...]
    measured: tuple[MeasuredTake, ...]
    remarks: tuple[str, ...]
    """Which takes were left out that the player may have meant, and why."""
    notes: Mapping[str, str] = field(default_factory=dict)
    """What was noted about them, by the digest of the take."""


def gathered(
    opened: Opened, folder: Path, player: str, cache: Cache, progress: Progress | None = None, *, with_simulated: bool
) -> Gathered:
    """The kept takes of the lines of `opened` by one player since it was opened; `cache`, `progress` as in `pieces`."""
    lines = opened.assignment.lines
    names = {opened.names[digest] for digest in lines} | {line.name for line in lines.values()}
    candidates: list[tuple[str, bytes]] = []
    notes: dict[str, str] = {}
    left_out = {"of another form of the line": 0, "by the simulated player": 0, "that cannot be read": 0}
    for path in _files_since(folder, opened.since):
        try:
            data = path.read_bytes()
            header = take_in(data).header if len(data) <= LARGEST_MEMBER_BYTES else None
        except (TakeError, OSError):
            left_out["that cannot be read"] += _names_one(path, names)
            continue
        if header is None or header.player != player or moment(header.date) < moment(opened.since):
            continue
        if header.seed is not None and not with_simulated:
            left_out["by the simulated player"] += header.exercise_name in names
        elif header.exercise_name in names or _is_of(lines, header):
            candidates.append((header.date, data))
            notes[take_digest(data)] = read_note(path)
    takes = [data for _, data in sorted(candidates)]
    found = list(zip(takes, judged([(lines, data) for data in takes], cache, progress), strict=True))
    counting = [(data, one) for data, one in found if isinstance(one, MeasuredTake)]
    left_out["of another form of the line"] += len(found) - len(counting)
    remarks = [f"Left out: {counted(count, 'take')} {why}." for why, count in left_out.items() if count]
    if len(counting) > MOST_TAKES:
        remarks.append(f"Left out: the {len(counting) - MOST_TAKES} oldest takes; {MOST_TAKES} go into a file.")
    kept = counting[-MOST_TAKES:]
    noted = {one.digest: words for _, one in kept if (words := notes[one.digest])}
    return Gathered(tuple(data for data, _ in kept), tuple(one for _, one in kept), tuple(remarks), noted)


def _files_since(folder: Path, since: str) -> list[Path]:
    """The files of takes, without those whose names say that they are older: years of practice need not be read."""
    try:
        first_day = (date.fromisoformat(since[:10]) - timedelta(days=1)).isoformat()
    except (ValueError, OverflowError):
        first_day = ""
    return [path for path in sorted(folder.glob("*.mid")) if not _DATED.match(path.name) or path.name[:10] >= first_day]


def _names_one(path: Path, names: Iterable[str]) -> bool:
    return any(path.stem.endswith(f"_{name}") for name in names)


def _is_of(lines: Mapping[str, Exercise], header: TakeHeader) -> bool:
    """Whether the line was played under another name."""
    try:
        return line_digest(line_in(header.exercise)) in lines
    except HomeworkError:
        return False


def returned_of(opened: Opened, found: Gathered, pupil: str, made: str) -> Returned:
    """What goes back."""
    return Returned(
        assignment=opened.assignment,
        assignment_text=opened.text,
        pupil=pupil,
        tag=opened.tag,
        made=made,
        ear=program(ear_fingerprint()),
        figures=tuple(
            figures_of(task.digest, [one for one in found.measured if one.line == task.digest])
            for task in opened.assignment.tasks
        ),
        takes=found.takes,
        notes=found.notes,
    )


def program(fingerprint: str) -> str:
    """The version of this program and of its ear, in words."""
    return f"boxwalk {trainer.__version__} {fingerprint}"
