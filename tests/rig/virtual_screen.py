"""A screen that nobody sees, for windows that must be real."""

import os
import struct
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

FRAMEBUFFER = "RIG_FRAMEBUFFER"
"""The variable that names the file in which the pixels of the screen lie."""


@contextmanager
def virtual_screen(size: str) -> Iterator[dict[str, str]]:
    """What makes a process draw on a virtual screen of that size, e.g. `1920x1080`, while the block runs."""
    with tempfile.TemporaryDirectory() as folder, _served(size, folder) as number:
        framebuffer = str(Path(folder) / "Xvfb_screen0")
        yield {"DISPLAY": f":{number}", "SDL_VIDEODRIVER": "x11", FRAMEBUFFER: framebuffer}


def pixels_of(framebuffer: Path) -> np.ndarray:
    """What is seen on the screen now: 0xRRGGBB for each pixel, row by row.

    The file is a window dump of X11 (XWDFile.h, version 7): numbers of 32 bits, the largest byte first, then colours of
    12 bytes each, then the rows; the pixels have the byte order that its head says.
    """
    data = framebuffer.read_bytes()
    head = struct.unpack_from(">20I", data)
    length, width, height, order, row_bytes, colours = (head[place] for place in (0, 4, 5, 7, 12, 19))
    pixels = np.frombuffer(data, ">u4" if order else "<u4", offset=length + 12 * colours, count=height * row_bytes // 4)
    return pixels.reshape(height, row_bytes // 4)[:, :width].astype(np.uint32) & 0xFFFFFF


@contextmanager
def _served(size: str, folder: str) -> Iterator[str]:
    """The number of a display whose screen lies in a file in this folder."""
    read, write = os.pipe()
    # Without -noreset the server starts anew whenever its last client leaves, and refuses whoever comes meanwhile.
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-noreset", "-screen", "0", f"{size}x24", "-fbdir", folder],
        pass_fds=[write],
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    with os.fdopen(read) as pipe:
        number = pipe.readline().strip()
    try:
        yield number
    finally:
        server.terminate()
        server.wait()
