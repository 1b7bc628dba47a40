"""A screen that nobody sees, for windows that must be real."""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def virtual_screen(size: str) -> Iterator[dict[str, str]]:
    """What makes a process draw on a virtual screen of that size, e.g. `1920x1080`, while the block runs."""
    read, write = os.pipe()
    # Without -noreset the server starts anew whenever its last client leaves, and refuses whoever comes meanwhile.
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-noreset", "-screen", "0", f"{size}x24"],
        pass_fds=[write],
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    with os.fdopen(read) as pipe:
        number = pipe.readline().strip()
    try:
        yield {"DISPLAY": f":{number}", "SDL_VIDEODRIVER": "x11"}
    finally:
        server.terminate()
        server.wait()
