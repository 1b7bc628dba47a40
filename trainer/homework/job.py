"""Work that goes on beside the frames of a window, on a thread of its own.

It is asked how far it is and never waited for. What it raises is kept for whoever asks for its result.
"""

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from trainer.homework.pieces import Progress

Result = TypeVar("Result")


class StoppedError(Exception):
    """Nobody wants the result any more."""


class Job(Generic[Result]):
    """`act(progress)` begins at once."""

    def __init__(self, act: Callable[[Progress], Result]) -> None:
        self.done = 0
        self.of = 0
        """How many takes are judged, and of how many."""
        self._act = act
        self._result: Result | None = None
        self._error: Exception | None = None
        self._is_stopped = False
        self._thread = threading.Thread(target=self._work, name="homework", daemon=True)
        self._thread.start()

    @property
    def is_over(self) -> bool:
        """Whether there is a result."""
        return not self._thread.is_alive()

    @property
    def result(self) -> Result:
        """What came of it; raises what the work raised."""
        self._thread.join()
        if self._error is not None:
            raise self._error
        if self._result is None:
            raise StoppedError
        return self._result

    def stop(self) -> None:
        """End it with the next take that is judged."""
        self._is_stopped = True

    def _work(self) -> None:
        try:
            self._result = self._act(self._progress)
        except Exception as error:
            self._error = error

    def _progress(self, done: int, of: int) -> None:
        if self._is_stopped:
            raise StoppedError
        self.done, self.of = done, of
