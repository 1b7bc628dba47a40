"""Keeping other people's libraries off the terminal: drivers write to file descriptor 2 past Python's own stderr."""

import os
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def quiet_drivers() -> Iterator[None]:
    """Nothing that is written to file descriptor 2 is seen meanwhile; without a terminal nothing is done."""
    try:
        kept = os.dup(2)
        nowhere = os.open(os.devnull, os.O_WRONLY)
    except OSError:
        yield
        return
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)
