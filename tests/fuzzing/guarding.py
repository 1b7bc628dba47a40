"""What a case may cost, and where it may write.

Time is that of the process, not of the wall, so that a busy machine makes no case slow. A case that computes too long
is interrupted (Unix), memory is bounded by a limit on the address space (Linux), and whatever would be written, made,
renamed or deleted outside the case's folder, connected to or started is noted by an audit hook.
"""

import os
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

LONGEST_CASE_S = 2.0
MOST_BYTES = 768 * 1024 * 1024
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_CHANGING = frozenset({"os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.symlink", "os.truncate"})
_NEVER = ("socket.connect", "socket.bind", "socket.getaddrinfo", "subprocess.Popen", "os.system", "os.exec", "os.fork")


class TooSlowError(BaseException):
    """A case that computes for too long; no `Exception`, so that no reader takes it for the file's fault."""


class StrayError(AssertionError):
    """A case that did something outside its folder."""


class Guard:
    """Watches over cases, one after the other, that may write into one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.slowest_s = 0.0
        self._strays: list[str] = []
        self._is_watching = False
        sys.addaudithook(self._see)  # for good: there is no way to take it off

    @contextmanager
    def watching(self) -> Iterator[None]:
        """Within, one case is held to its limits; `StrayError` or `TooSlowError` when it does not keep them."""
        self._strays.clear()
        began_s = time.process_time()
        with _interrupted_after(LONGEST_CASE_S):
            self._is_watching = True
            try:
                yield
            finally:
                self._is_watching = False
        took_s = time.process_time() - began_s
        self.slowest_s = max(self.slowest_s, took_s)
        if self._strays:
            raise StrayError("; ".join(self._strays[:5]))
        if took_s > LONGEST_CASE_S:
            raise TooSlowError(f"{took_s:.1f} s")

    def _see(self, event: str, arguments: tuple[Any, ...]) -> None:
        if not self._is_watching:
            return
        if event == "open":
            path, mode, flags = arguments
            writes = bool(flags & _WRITING) if isinstance(flags, int) else bool(set(str(mode)) & set("wax+"))
            if writes and not self._is_inside(path):
                self._strays.append(f"wrote {path!r}")
        elif event in _CHANGING or event == "sqlite3.connect":
            for path in arguments:
                if isinstance(path, str | bytes | os.PathLike) and not self._is_inside(path):
                    self._strays.append(f"{event} {path!r}")
        elif event.startswith(_NEVER):
            self._strays.append(event)

    def _is_inside(self, path: object) -> bool:
        if isinstance(path, int):
            return True  # a file that is open already
        place = os.fsdecode(os.fspath(path))  # type: ignore[call-overload]  # what the hook hands over is a path
        place = place.removeprefix("file:").partition("?")[0]
        return place in (":memory:", "", os.devnull) or os.path.abspath(place).startswith(str(self.folder))  # noqa: PTH100 - a Path would ask the disk


@contextmanager
def _interrupted_after(seconds: float) -> Iterator[None]:
    if not hasattr(signal, "setitimer"):
        yield
        return

    def interrupt(_number: int, _frame: FrameType | None) -> None:
        raise TooSlowError(f"more than {seconds} s")

    before = signal.signal(signal.SIGPROF, interrupt)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


@contextmanager
def bounded_memory(most_bytes: int = MOST_BYTES) -> Iterator[None]:
    """Within, the process may take that much more than it has now; what would need more ends with `MemoryError`."""
    statm = Path("/proc/self/statm")
    if not statm.exists():
        yield
        return
    import resource

    now_bytes = int(statm.read_text().split()[0]) * resource.getpagesize()
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (now_bytes + most_bytes, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
