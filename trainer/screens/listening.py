"""A line that is let sound while it stands on a screen, and which of its notes sounds now."""

from bisect import bisect_right
from collections.abc import Callable

from trainer.score.exercise import Exercise


class Listening:
    """One line at a time; `hear(exercise)` tells when its first beat is heard, `hush()` is silent again."""

    def __init__(self, hear: Callable[[Exercise], int], hush: Callable[[], None]) -> None:
        self._hear = hear
        self._hush = hush
        self._exercise: Exercise | None = None
        self._rounds = 1
        self._from_ns = 0
        self._now_ns = 0

    @property
    def is_on(self) -> bool:
        """Whether a line sounds."""
        return self._exercise is not None

    def start(self, exercise: Exercise, rounds: int = 1) -> None:
        """Let a line sound from its beginning; `hear` makes it sound so many times."""
        self._from_ns = self._now_ns = self._hear(exercise)
        self._exercise, self._rounds = exercise, rounds

    def stop(self) -> None:
        """Be silent."""
        if self._exercise is not None:
            self._exercise = None
            self._hush()

    def advance(self, now_ns: int) -> None:
        """Time has passed; behind the end of the line it is silent."""
        self._now_ns = now_ns
        if self._exercise is not None:
            round_ns = self._exercise.tempo.ns(self._exercise.length_quarters)
            if now_ns - self._from_ns > self._rounds * round_ns:
                self.stop()

    @property
    def index(self) -> int | None:
        """The note that sounds now; None in silence and before the first one."""
        if self._exercise is None:
            return None
        tempo = self._exercise.tempo
        since_ns = self._now_ns - self._from_ns
        round_ns = tempo.ns(self._exercise.length_quarters)
        since_ns -= max(0, min(self._rounds - 1, since_ns // round_ns)) * round_ns
        index = bisect_right(self._exercise.notes, since_ns, key=lambda note: tempo.ns(note.onset_quarters)) - 1
        return index if index >= 0 else None
