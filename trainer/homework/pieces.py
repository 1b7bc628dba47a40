"""The pieces of work on takes, each done once: what was done before is in the cache, the rest goes to all cores."""

import hashlib
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import BrokenExecutor
from dataclasses import dataclass

from trainer.history.judged import EAR, code_fingerprint
from trainer.history.processes import each, processes_for
from trainer.homework.cache import Cache, Entry
from trainer.homework.errors import HomeworkError
from trainer.homework.line import line_digest
from trainer.homework.measuring import MeasuredTake, Unused, measured
from trainer.homework.returned import take_digest
from trainer.homework.weakest import Weakest, weakest_of
from trainer.score.exercise import Exercise

Progress = Callable[[int, int], None]
"""Told how many of how many takes are judged; what it raises ends the judging."""
KEPT_TOGETHER = 50
"""Results are kept by so many, so that judging that is ended is not in vain."""


def measuring_program() -> str:
    """A digest of all the code that figures depend on."""
    return code_fingerprint((*EAR, "coaching", "homework"))


@dataclass(frozen=True, slots=True)
class _Take:
    """A take to be judged by lines, which are named by their digests."""

    lines: Mapping[str, Exercise]
    data: bytes

    @property
    def key(self) -> str:
        return _key("take", *sorted(self.lines), take_digest(self.data))

    def done(self) -> Entry:
        return measured(self.lines, self.data)


@dataclass(frozen=True, slots=True)
class _Passes:
    """The takes of a line whose weakest transition is to be found, the oldest first."""

    line: Exercise
    takes: tuple[MeasuredTake, ...]

    @property
    def key(self) -> str:
        return _key("passes", line_digest(self.line), *(take.digest for take in self.takes))

    def done(self) -> Entry:
        return weakest_of(self.line, self.takes)


_Piece = _Take | _Passes


def _key(*parts: str) -> str:
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def _worked(given: tuple[str, _Piece]) -> tuple[str, Entry]:
    key, piece = given
    return key, piece.done()


def judged(
    wanted: Iterable[tuple[Mapping[str, Exercise], bytes]], cache: Cache, progress: Progress | None = None
) -> list[MeasuredTake | Unused]:
    """What each take comes to by its lines, in order."""
    pieces = [_Take(lines, data) for lines, data in wanted]
    found = _found(pieces, cache, progress)
    return [entry for entry in found if not isinstance(entry, Weakest)]


def weakest(wanted: Iterable[tuple[Exercise, tuple[MeasuredTake, ...]]], cache: Cache) -> list[Weakest]:
    """The weakest transition in the takes of each line, in order."""
    found = _found([_Passes(line, takes) for line, takes in wanted], cache, None)
    return [entry for entry in found if isinstance(entry, Weakest)]


def _found(pieces: Iterable[_Piece], cache: Cache, progress: Progress | None) -> list[Entry]:
    keyed = [(piece.key, piece) for piece in pieces]
    found = cache.known(key for key, _ in keyed)
    left = {key: piece for key, piece in keyed if key not in found}
    fresh: dict[str, Entry] = {}
    if left and progress is not None:
        progress(0, len(left))
    try:
        for done, (key, entry) in enumerate(each(_worked, left.items(), processes_for(len(left))), start=1):
            found[key] = fresh[key] = entry
            if progress is not None:
                progress(done, len(left))
            if len(fresh) == KEPT_TOGETHER:
                cache.keep(fresh)
                fresh = {}
    except BrokenExecutor as error:
        raise HomeworkError("a process that judged takes was ended; what was judged is kept, so try again") from error
    finally:
        cache.keep(fresh)
    return [found[key] for key, _ in keyed]
