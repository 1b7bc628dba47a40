"""The row of key hints at the foot of a screen."""

from collections.abc import Iterable, Sequence

from trainer.screens.screen import Command, Target
from trainer.tablature.glyphs import Anchor, Ink, Rect, Size, Text, TextMetrics


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


def hint_targets(texts: Sequence[Text], commands: Sequence[Command | None], metrics: TextMetrics) -> list[Target]:
    """A place to press for each hint of a row whose key is a command; `texts` as `key_hints` made them."""
    targets = []
    for name, words, command in zip(texts[::2], texts[1::2], commands, strict=True):
        if command is not None:
            left, right, pad_px = name.bounds(metrics), words.bounds(metrics), metrics.cap_px(Size.SMALL) * 0.6
            targets.append(
                Target(Rect(left.left_px, left.top_px - pad_px, right.right_px, left.bottom_px + pad_px), command)
            )
    return targets
