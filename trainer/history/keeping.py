"""Taking takes in while the program runs, on a thread of its own: the frames never wait for the history.

The main thread hands over a run's session, which has come to its end, and goes on. The thread opens the history when
the program starts, takes in what lies in the folder and is not in it yet, and then each take as it is over. What lies
in the folder is judged note by note, which costs time of the interpreter; it waits while a take is played (`hold`).

When the history cannot be written, `trouble` says so, the take stays a file, and the next take is a new attempt, at
all that is missing. Nothing here raises.
"""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Event, Thread

from trainer.history.errors import DamagedHistoryError, HistoryError, told
from trainer.history.gathering import UNREADABLE, gather, made_anew, missing_files, opened
from trainer.history.judged import judged
from trainer.history.last_takes import LastTake, last_takes
from trainer.history.opening import BUSY_S
from trainer.history.store import History, take_file
from trainer.history.tempo_runs import TempoRun, keep_run
from trainer.session import Session

CLOSING_S = 2 * BUSY_S
"""How long the end of the program waits for the last take, and that take for another program at most half of it; what
is not in by then is taken in at the next start."""
_Job = tuple[Session, Path] | TempoRun


class HistoryKeeper:
    """Owns the thread."""

    def __init__(
        self,
        path: Path,
        takes_folder: Path,
        *,
        player: str = "",
        open_it: Callable[[Path, Path], tuple[History, str | None]] = opened,
    ) -> None:
        self.player = player
        """Whose takes these are; empty: the one player who needs no name."""
        self.trouble: str | None = None
        """A sentence for the player when takes are only files for the time being, or were once."""
        self.played_names: frozenset[str] | None = None
        """The lines that this player has ever played; None while that is not known."""
        self.last_takes: tuple[LastTake, ...] | None = None
        """What was played last, the newest first; None while that is not known."""
        self._path = path
        self._takes_folder = takes_folder
        self._open_it = open_it
        self._jobs: SimpleQueue[_Job | None] = SimpleQueue()
        self._may_gather = Event()
        self._may_gather.set()
        self._is_closing = False
        self._history: History | None = None
        self._thread = Thread(target=self._work, name="history", daemon=True)
        self._thread.start()

    def hold(self) -> None:
        """A take begins: leave the interpreter to it."""
        self._may_gather.clear()

    def take_over(self, session: Session, path: Path | None) -> None:
        """A take is over and its file is whole; without a file there is nothing to keep it by."""
        self._may_gather.set()
        if path is not None:
            self._jobs.put((session, path))

    def keep_tempo_run(self, run: TempoRun) -> None:
        """A working tempo was found."""
        self._jobs.put(run)

    def close(self, patience_s: float = CLOSING_S) -> None:
        """Take in what was handed over, and let go of the history."""
        self._is_closing = True
        self._may_gather.set()
        self._jobs.put(None)
        self._thread.join(patience_s)

    def _work(self) -> None:
        self._bring_in(None)
        while (job := self._jobs.get()) is not None:
            self._bring_in(job)
        if self._history is not None:
            self._history.close()

    def _bring_in(self, job: _Job | None) -> None:
        """A take that was followed live or a run, if there is one, and whatever is missing after an opening."""
        try:
            try:
                self._attempt(job)
            except DamagedHistoryError as error:
                self._let_go()
                self._history, sentence = made_anew(self._path, self._takes_folder, error)
                self._attempt(job, is_new=True)
                self.trouble = sentence
        except HistoryError as error:
            self.trouble = f"{told(error)} Takes are kept as files in {self._takes_folder} and are taken in later."
            self._let_go()
        except UNREADABLE as error:
            self.trouble = f"The take is not in the history: {error}."

    def _attempt(self, job: _Job | None, *, is_new: bool = False) -> None:
        if self._history is None:
            is_new = True
            self._history, self.trouble = self._open_it(self._path, self._takes_folder)
            self._tell(self._history)
        match job:
            case TempoRun():
                keep_run(self._history, job, self.player)
            case (Session() as session, Path() as path):
                self._take_in(self._history, session, path)
                self.played_names = (self.played_names or frozenset()) | {session.exercise.name}
                self.last_takes = last_takes(self._history, self.player)
        if is_new:
            self._gather(self._history)

    def _tell(self, history: History) -> None:
        self.played_names = history.played_names(self.player)
        self.last_takes = last_takes(history, self.player)

    @staticmethod
    def _take_in(history: History, session: Session, path: Path) -> None:
        history.add(take_file(path, history.takes_folder), judged(session))

    def _gather(self, history: History) -> None:
        missing = missing_files(history)
        gathered = gather(history, missing, lambda: self._may_go_on(history)) if missing else None
        if gathered is not None:
            self._tell(history)
            if gathered.unread:
                self.trouble = f"{len(gathered.unread)} takes are not in the history, the first: {gathered.unread[0]}."

    def _may_go_on(self, history: History) -> bool:
        """Between two files: wait while a take is played, take in what is over, stop when the program ends."""
        self._may_gather.wait()
        with suppress(Empty):
            while (job := self._jobs.get_nowait()) is not None:
                self._bring_in(job)
            self._jobs.put(None)
        return not self._is_closing and self._history is history

    def _let_go(self) -> None:
        if self._history is not None:
            with suppress(HistoryError):
                self._history.close()
            self._history = None
