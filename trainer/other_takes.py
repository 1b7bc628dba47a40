"""Two takes over each other: the other takes of a line, found by their files and judged when one of them is wanted."""

from collections.abc import Iterator
from pathlib import Path

from trainer.devices.recording import CONTEST
from trainer.devices.take_names import takes_named
from trainer.history.judged import session_over
from trainer.judging import JudgingError
from trainer.playing.take import Take, TakeError, read_take
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict
from trainer.session import Session
from trainer.tablature.figures import pass_summary
from trainer.tablature.other_take import OtherTake
from trainer.tablature.state import NoteState, state_of

UNREADABLE = (TakeError, JudgingError, ValueError, KeyError, TypeError)


def other_files(line: Exercise, folder: Path, path: Path | None) -> tuple[Path, ...]:
    """The files that may be takes of a line, the newest first, without the one at `path`."""
    names = (line.name, f"{CONTEST} {line.name}")
    found = {file for name in names for file in takes_named(name, folder)}
    return tuple(sorted((file for file in found if file != path), key=lambda file: file.name, reverse=True))


def other_take(path: Path, line: Exercise) -> OtherTake | None:
    """A take of a line, judged; None when it cannot be read, or is of another line or a stretch of this one."""
    try:
        return judged_beside(read_take(path), line)
    except UNREADABLE:
        return None


def judged_beside(take: Take, line: Exercise) -> OtherTake | None:
    """The same of a take that was read; raises what `session_over` does."""
    header = take.header
    if header is None or exercise_from_dict(header.exercise).notes != line.notes:
        return None
    session = session_over(take, header)
    attempted = [index for index in range(len(session.exercise.notes)) if session.ledger.of_written(index) is not None]
    as_written = pass_summary(session.exercise, session.ledger, attempted).as_written
    when = header.date[:16].replace("T", " ")
    words = (
        f"other take: {when}, ♩ = {float(header.quarters_per_minute):g}, {as_written} of {len(attempted)} as written"
    )
    passes = max(1, -(-(max(attempted, default=0) + 1) // session.pass_length))
    return OtherTake(dict(_states(session)), passes, words)


def _states(session: Session) -> Iterator[tuple[tuple[int, int], NoteState]]:
    for index in range(len(session.exercise.notes)):
        before, note = divmod(index, session.pass_length)
        yield (before + 1, note), state_of(index, session.exercise, session.ledger, session.onsets)
