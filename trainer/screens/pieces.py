"""Glyphs that change together: rendered once for each key, and copied from then on."""

from collections.abc import Callable, Hashable, Iterable
from typing import NamedTuple

from trainer.tablature.glyphs import Glyph


class Piece(NamedTuple):
    """Some glyphs, and on what they depend."""

    key: Hashable
    glyphs: Callable[[], Iterable[Glyph]]
    scrolls: bool = True
