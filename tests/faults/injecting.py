"""A disk that fails at a chosen moment.

`failing_at(k, ...)` lets the k-th change within a folder (opening a file to write, making a folder, renaming, deleting,
waiting for the disk) fail as the system would: an audit hook may raise what the call then raises. `full_after(n)` lets
no file grow beyond n bytes, whoever writes it, libraries in C included.

Reference: Python's documentation, "Audit events table"; POSIX, `setrlimit`, RLIMIT_FSIZE.
"""

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

FULL, READ_ONLY, BROKEN = errno.ENOSPC, errno.EROFS, errno.EIO
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT
_CHANGES = frozenset({"os.mkdir", "os.rename", "os.remove"})


class Disk:
    """Counts the changes within a folder, and lets one of them, or all from one on, fail."""

    def __init__(self, folder: Path) -> None:
        self._folder = str(folder)
        self._fails_at: int | None = None
        self._error = 0
        self._goes_on = False
        self._is_watching = False
        self.changes = 0
        """Since the watching began."""
        sys.addaudithook(self._see)

    @contextmanager
    def failing_at(self, number: int | None, error: int = FULL, *, goes_on: bool = True) -> Iterator[None]:
        """Within, change `number` fails (None: none does), and all after it too unless told otherwise."""
        self._fails_at, self._error, self._goes_on, self.changes = number, error, goes_on, 0
        settle = os.fsync

        def fsync(descriptor: Any) -> None:
            self._count(_path_of(descriptor if isinstance(descriptor, int) else descriptor.fileno()))
            settle(descriptor)

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(os, "fsync", fsync)
            self._is_watching = True
            try:
                yield
            finally:
                self._is_watching = False

    def _see(self, event: str, arguments: tuple[Any, ...]) -> None:
        if not self._is_watching:
            return
        if event == "open":
            path, _, flags = arguments
            if not isinstance(path, int) and isinstance(flags, int) and flags & _WRITING:
                self._count(os.fsdecode(path))
        elif event in _CHANGES:
            self._count(os.fsdecode(arguments[0]))

    def _count(self, path: str) -> None:
        if not path.startswith(self._folder):
            return
        here, self.changes = self.changes, self.changes + 1
        at = self._fails_at
        if at is not None and (here == at or (self._goes_on and here > at)):
            raise OSError(self._error, os.strerror(self._error), path)


def _path_of(descriptor: int) -> str:
    """What is open there (Linux)."""
    return os.readlink(f"/proc/self/fd/{descriptor}")  # noqa: PTH115 - a Path would make one of what may be none


@contextmanager
def full_after(most_bytes: int) -> Iterator[None]:
    """Within, no file of this process grows beyond that: writing more fails (Python ignores the signal)."""
    resource = pytest.importorskip("resource")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
