"""The row of key hints at the foot of a screen."""

from collections.abc import Iterable

from trainer.tablature.glyphs import Anchor, Ink, Size, Text, TextMetrics


def key_hints(
    keys: Iterable[tuple[str, str]], x_px: float, y_px: float, metrics: TextMetrics, unit: float
) -> list[Text]:
    """Keys and what they do, in a row from the left."""
    glyphs: list[Text] = []
    for name, words in keys:
        glyphs.append(Text(x_px, y_px, name, Size.SMALL, Ink.INK, Anchor.LEFT))
        x_px += metrics.width_px(name, Size.SMALL) + 9 * unit
        glyphs.append(Text(x_px, y_px, words, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        x_px += metrics.width_px(words, Size.SMALL) + 30 * unit
    return glyphs
