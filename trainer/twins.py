"""Twins compared: the last kept take of an exercise and of each variation of it, judged in the same way.

Nothing is stored for this: each take is read and judged again, so that the figures are those of the program as it is
now. A take of a stretch or a loop is passed over, because its figures say nothing about the whole line; what was still
ahead when the player stopped is left open.

Conventions: a take is found by its file's name, which begins with its date and ends with the exercise's name, and is
believed only when its header names the exercise too. `clean` counts notes as the result screen does: matched, and begun
as written as far as that was heard.
"""

import re
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path

from trainer.devices.recording import take_path
from trainer.judging import Asked, JudgingError, session_for
from trainer.playing.take import Take, TakeError, read_take
from trainer.score.serial import exercise_from_dict
from trainer.session import Session
from trainer.tablature.figures import TakeFigures, pass_summary

_NAMED = re.compile(r"\d{4}-\d\d-\d\d_\d\d-\d\d-\d\d_(?P<name>.+?)(?:_\d+)?")


def last_figures(name: str, folder: Path) -> TakeFigures | None:
    """The figures of the last take of a whole line in a folder of takes; None when there is none."""
    for path in _takes_of(name, folder):
        try:
            take = read_take(path)
            if take.header is not None and take.header.exercise_name == name and take.header.first_note is None:
                found = figures_of(take)
                if found is not None:
                    return found
        except (TakeError, JudgingError, ValueError, KeyError, TypeError):
            continue  # what cannot be read or judged compares with nothing; `boxwalk takes` says why
    return None


def figures_of(take: Take) -> TakeFigures | None:
    """What a take of ours came to; None for one without a header or an attempted note."""
    header = take.header
    if header is None:
        return None
    session = session_for(exercise_from_dict(dict(header.exercise)), header, Asked())
    _play(session, take)
    attempted = [i for i in range(len(session.exercise.notes)) if session.ledger.of_written(i) is not None]
    if not attempted:
        return None
    summary = pass_summary(session.exercise, session.ledger, attempted, is_timed=session.is_timed)
    return TakeFigures(
        date=header.date,
        is_simulated=header.seed is not None,
        pace=header.pace,
        quarters_per_minute=header.quarters_per_minute,
        notes=summary.notes,
        clean=summary.clean,
        bias_ms=summary.bias_ms,
        spread_ms=summary.spread_ms,
        techniques=summary.techniques,
    )


def _play(session: Session, take: Take) -> None:
    for message in take.messages:
        session.feed(message)
    session.stop(max([take.ends_at_ns, *(message.stamp_ns for message in take.messages[-1:])]))


def _takes_of(name: str, folder: Path) -> Iterator[Path]:
    """The files whose names say that they are takes of an exercise, the newest first."""
    wanted = _part_of(name)
    for path in sorted(folder.glob("*.mid"), reverse=True):
        if _named_part(path.stem) == wanted:
            yield path


def _part_of(exercise_name: str) -> str:
    """What the names of this exercise's takes say behind their date."""
    return _named_part(take_path(Path(), datetime(2000, 1, 1), exercise_name).stem)


def _named_part(stem: str) -> str:
    match = _NAMED.fullmatch(stem)
    return match["name"] if match else ""


def names_played(names: Iterable[str], folder: Path) -> frozenset[str]:
    """Those of `names` of which a take by a player is kept; the simulated player's takes do not count."""
    by_part: dict[str, list[Path]] = {}
    for path in folder.glob("*.mid"):
        by_part.setdefault(_named_part(path.stem), []).append(path)
    return frozenset(
        name
        for name in names
        if any(_is_by_a_player(path) for path in sorted(by_part.get(_part_of(name), ()), reverse=True))
    )


def _is_by_a_player(path: Path) -> bool:
    try:
        header = read_take(path).header
    except TakeError:
        return False
    return header is not None and header.seed is None
