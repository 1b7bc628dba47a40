"""Ghosts: the last and the best whole pass over a line, found among the kept takes and judged again.

The history says which pass it is, where it knows the takes; files that it does not have yet are judged here, the newest
ones. What is played against is always a ledger made now from the take itself, by the program's own limits: no figure
that stands anywhere is believed. Passes of contests count like any other.

Best: most notes as written; of passes that are equal in that the fastest, then the latest.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from itertools import islice
from pathlib import Path

from trainer.devices.recording import CONTEST
from trainer.devices.take_names import takes_named
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Pace
from trainer.history.errors import HistoryError
from trainer.history.judged import session_over
from trainer.history.opening import history_path
from trainer.history.store import History, TakeFile, take_file
from trainer.history.whole_passes import whole_passes
from trainer.judging import JudgingError
from trainer.playing.take import TakeError
from trainer.score.exercise import Exercise
from trainer.session import Session
from trainer.tablature.figures import pass_summary
from trainer.tablature.ghost import Ghost, GhostChoice
from trainer.tablature.state import state_of

MOST_UNKNOWN = 8
"""So many of the newest files are judged that the history does not have."""
MOST_KEPT = 32
"""When so many judged takes are kept, all are let go: a bound on memory."""
UNREADABLE = (TakeError, JudgingError, HistoryError, ValueError, KeyError, TypeError)
"""What cannot be read or judged is nobody's ghost; `boxwalk takes` says why."""


@dataclass(frozen=True, slots=True)
class _Candidate:
    """One whole pass, as it is known before it is judged again."""

    began: str
    number: int
    as_written: int
    quarters_per_minute: Fraction
    read: Callable[[], Session]


class Ghosts:
    """Finds them in a folder of takes; `player()` is whose takes count, as the history calls players."""

    def __init__(self, folder: Path | None, player: Callable[[], str]) -> None:
        self._folder = folder
        self._player = player
        self._judged: dict[tuple[str, int], Session] = {}
        """By the name of a file and what is in it."""

    def of(self, line: Exercise, pace: Pace, choice: GhostChoice) -> Ghost | None:
        """The pass to play against; None when none is wanted or none is kept."""
        if self._folder is None or choice is GhostChoice.OFF:
            return None
        candidates = self._candidates(self._folder, line, pace)
        while candidates:
            chosen = max(candidates, key=_latest if choice is GhostChoice.LAST else _fitness)
            try:
                ghost = _ghost(chosen.read(), chosen)
            except (*UNREADABLE, OSError):
                ghost = None
            if ghost is not None:
                return ghost
            candidates.remove(chosen)
        return None

    def _candidates(self, folder: Path, line: Exercise, pace: Pace) -> list[_Candidate]:
        found: list[_Candidate] = []
        known: set[str] = set()
        try:
            with History.read(history_path(folder), folder) as history:
                for one in whole_passes(history, line, self._player(), pace):
                    known.add(one.file)
                    read = self._reader(folder, one.take_id, one.file)
                    found.append(_Candidate(one.began, one.number, one.as_written, one.quarters_per_minute, read))
                known |= history.known_files().keys()
        except HistoryError:
            pass  # the files tell
        return found + self._not_taken_in(folder, line, pace, known)

    def _not_taken_in(self, folder: Path, line: Exercise, pace: Pace, known: set[str]) -> list[_Candidate]:
        """The whole passes in the newest files that the history does not have."""
        files = (path for name in (line.name, f"{CONTEST} {line.name}") for path in takes_named(name, folder))
        found: list[_Candidate] = []
        for path in islice((path for path in files if path.name not in known), MOST_UNKNOWN):
            try:
                kept = take_file(path, folder)
                session = self._session(kept)
            except (*UNREADABLE, OSError):
                continue
            if self._is_of(kept, session, line, pace):
                found += _passes_in(kept, session)
        return found

    def _is_of(self, kept: TakeFile, session: Session, line: Exercise, pace: Pace) -> bool:
        is_whole = kept.header.first_note is None and session.pass_length == len(line.notes)
        is_line = is_whole and session.exercise.notes[: session.pass_length] == line.notes
        return is_line and kept.player == self._player() and kept.header.pace == pace.value

    def _reader(self, folder: Path, take_id: int, file: str) -> Callable[[], Session]:
        """Reads a take that the history has: its file, else the bytes that the history keeps."""

        def read() -> Session:
            if (folder / file).is_file():
                return self._session(take_file(folder / file, folder))
            with History.read(history_path(folder), folder) as history:
                return self._session(history.file_of(take_id))

        return read

    def _session(self, kept: TakeFile) -> Session:
        key = kept.name, hash(kept.data)
        if key not in self._judged:
            if len(self._judged) >= MOST_KEPT:
                self._judged.clear()
            self._judged[key] = session_over(kept.take, kept.header, tolerance=Tolerance())
        return self._judged[key]


def _fitness(one: _Candidate) -> tuple[int, Fraction, tuple[float, int]]:
    return one.as_written, one.quarters_per_minute, _latest(one)


def _latest(one: _Candidate) -> tuple[float, int]:
    return datetime.fromisoformat(one.began).timestamp(), one.number


def _passes_in(kept: TakeFile, session: Session) -> list[_Candidate]:
    """The whole passes of a judged take."""
    found: list[_Candidate] = []
    for number in range(len(session.exercise.notes) // session.pass_length):
        as_written = _as_written(session, number)
        if as_written is not None:
            header = kept.header
            found.append(_Candidate(header.date, number, as_written, header.quarters_per_minute, lambda: session))
    return found


def _indices(session: Session, number: int) -> range:
    return range(number * session.pass_length, (number + 1) * session.pass_length)


def _as_written(session: Session, number: int) -> int | None:
    """How many notes of a pass were as written; None when not all of them were reached."""
    indices = _indices(session, number)
    if any(session.ledger.of_written(index) is None for index in indices):
        return None
    return pass_summary(session.exercise, session.ledger, indices).as_written


def _ghost(session: Session, chosen: _Candidate) -> Ghost | None:
    """A pass as it is judged now; None when it turns out not to be whole."""
    as_written = _as_written(session, chosen.number)
    if as_written is None:
        return None
    states = {
        place: state_of(index, session.exercise, session.ledger, session.onsets)
        for place, index in enumerate(_indices(session, chosen.number))
    }
    return Ghost(states, as_written, float(chosen.quarters_per_minute), chosen.began)
