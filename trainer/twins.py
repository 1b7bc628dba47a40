"""Twins compared: the last take of an exercise and of each variation of it; and which exercises were ever played.

The history answers. Where it cannot be read, or does not have the newest takes yet, their files are read and judged
again. A take of a stretch or a loop is passed over, because its figures say nothing about the whole line; what was
still ahead when the player stopped is left open.

Conventions: a take file is found by its name (`devices.take_names`) and is believed only when its header names the
exercise too. `as_written` counts notes as the result screen does: matched, and begun
as written as far as that was heard.
"""

from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path

from trainer.devices.take_names import named_part, part_of, takes_named
from trainer.following.ledger import Ledger
from trainer.following.verdict import Pace
from trainer.history.errors import HistoryError
from trainer.history.judged import ledger_of
from trainer.history.opening import facts_in_words, history_path
from trainer.history.store import History
from trainer.judging import Asked, JudgingError, session_for
from trainer.playing.take import Take, TakeError, read_take
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict
from trainer.session import Session
from trainer.tablature.figures import TakeFigures, pass_summary


def last_figures(name: str, folder: Path) -> TakeFigures | None:
    """The figures of the last take of a whole line in a folder of takes; None when there is none."""
    try:
        with History.read(history_path(folder), folder) as history:
            newest = next(takes_named(name, folder), None)
            if newest is None or newest.name in history.known_files():
                return _figures_in(history, name)
    except HistoryError:
        pass  # the files tell
    return _figures_of_files(name, folder)


def _figures_in(history: History, name: str) -> TakeFigures | None:
    """The figures of the last take of a whole line that the history has."""
    with facts_in_words(history.path):
        rows = history.connection.execute(
            "SELECT takes.id, began, seed, pace, tempo_numerator, tempo_denominator, passes, hash FROM takes"
            " JOIN exercises ON exercises.id = exercise_id WHERE name = ? AND first_note IS NULL"
            " ORDER BY began_s DESC, takes.id DESC",
            (name,),
        )
        for take_id, began, seed, pace, numerator, denominator, passes, address in rows:
            line = history.exercise(address).repeated(passes)
            ledger = ledger_of(history.judged(take_id), line)
            tempo = Fraction(numerator, denominator)
            found = _figures(line, ledger, date=began, is_simulated=seed is not None, pace=pace, tempo=tempo)
            if found is not None:
                return found
    return None


def _figures_of_files(name: str, folder: Path) -> TakeFigures | None:
    for path in takes_named(name, folder):
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
    return _figures(
        session.exercise,
        session.ledger,
        date=header.date,
        is_simulated=header.seed is not None,
        pace=header.pace,
        tempo=header.quarters_per_minute,
    )


def _figures(
    line: Exercise, ledger: Ledger, *, date: str, is_simulated: bool, pace: str, tempo: Fraction
) -> TakeFigures | None:
    """What a take came to by its verdicts; None without an attempted note."""
    attempted = [index for index in range(len(line.notes)) if ledger.of_written(index) is not None]
    if not attempted:
        return None
    summary = pass_summary(line, ledger, attempted, is_timed=pace == Pace.CLICK.value)
    return TakeFigures(
        date=date,
        is_simulated=is_simulated,
        pace=pace,
        quarters_per_minute=tempo,
        notes=summary.notes,
        as_written=summary.as_written,
        bias_ms=summary.bias_ms,
        spread_ms=summary.spread_ms,
        techniques=summary.techniques,
    )


def _play(session: Session, take: Take) -> None:
    for message in take.messages:
        session.feed(message)
    session.stop(max([take.ends_at_ns, *(message.stamp_ns for message in take.messages[-1:])]))


def names_played(names: Iterable[str], folder: Path) -> frozenset[str]:
    """Those of `names` of which a take by a player is kept; the simulated player's takes do not count."""
    wanted = frozenset(names)
    known: Iterable[str] = ()
    played: frozenset[str] = frozenset()
    try:
        with History.read(history_path(folder), folder) as history:
            known, played = history.known_files(), history.names_by_hand()
    except HistoryError:
        pass  # the files tell
    by_part: dict[str, list[Path]] = {}
    for path in folder.glob("*.mid"):
        if path.name not in known:
            by_part.setdefault(named_part(path.stem), []).append(path)
    return frozenset(
        name
        for name in wanted
        if name in played or any(_is_by_a_player(path) for path in sorted(by_part.get(part_of(name), ()), reverse=True))
    )


def _is_by_a_player(path: Path) -> bool:
    try:
        header = read_take(path).header
    except TakeError:
        return False
    return header is not None and header.seed is None
