"""Small PNG files of surfaces: at most 256 colours, which flat pages hardly exceed."""

import struct
import zlib

import numpy as np
import pygame


def png_of(surface: pygame.Surface) -> bytes:
    """The picture as a PNG of at most 256 colours, half as large as one of all of them.

    Rare shades, all of them at the edges of shapes, become the nearest frequent one. PNG: ISO/IEC 15948, type 3.
    """
    pixels = pygame.surfarray.array3d(surface).swapaxes(0, 1).astype(np.int64)
    shades, which, counts = np.unique(pixels.reshape(-1, 3), axis=0, return_inverse=True, return_counts=True)
    palette = shades[np.argsort(-counts)[:256]]
    nearest = ((shades[:, None] - palette[None]) ** 2).sum(axis=2).argmin(axis=1).astype(np.uint8)
    height, width = pixels.shape[:2]
    rows = np.zeros((height, width + 1), dtype=np.uint8)
    rows[:, 1:] = nearest[which.reshape(height, width)]
    chunks = (
        (b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)),
        (b"PLTE", palette.astype(np.uint8).tobytes()),
        (b"IDAT", zlib.compress(rows.tobytes(), 9)),
        (b"IEND", b""),
    )
    packed = (struct.pack(">I", len(d)) + n + d + struct.pack(">I", zlib.crc32(n + d)) for n, d in chunks)
    return b"\x89PNG\r\n\x1a\n" + b"".join(packed)
