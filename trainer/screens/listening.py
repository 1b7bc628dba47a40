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
        self._from_ns = 0
        self._now_ns = 0

    @property
    def is_on(self) -> bool:
        """Whether a line sounds."""
        return self._exercise is not None

    def start(self, exercise: Exercise) -> None:
        """Let a line sound from its beginning."""
        self._from_ns = self._now_ns = self._hear(exercise)
        self._exercise = exercise

    def stop(self) -> None:
        """Be silent."""
        if self._exercise is not None:
            self._exercise = None
            self._hush()

    def advance(self, now_ns: int) -> None:
        """Time has passed; behind the end of the line it is silent."""
        self._now_ns = now_ns
        exercise = self._exercise
        if exercise is not None and now_ns - self._from_ns > exercise.tempo.ns(exercise.length_quarters):
            self.stop()

    @property
    def index(self) -> int | None:
        """The note that sounds now; None in silence and before the first one."""
        if self._exercise is None:
            return None
        tempo = self._exercise.tempo
        since_ns = self._now_ns - self._from_ns
        index = bisect_right(self._exercise.notes, since_ns, key=lambda note: tempo.ns(note.onset_quarters)) - 1
        return index if index >= 0 else None
