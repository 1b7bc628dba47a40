"""The row of key hints at the foot of a screen."""

from collections.abc import Iterable, Sequence

from trainer.screens.paint import Fonts, Painter
from trainer.screens.screen import Action, Command, Pressed, Target, target_at
from trainer.tablature.glyphs import Anchor, Ink, Rect, Size, Text, TextMetrics

MARGIN_PX, FOOT_PX, ROW_PX = 48.0, 28.0, 38.0
"""How far a page's hints stand from its sides, from its lower edge, and from row to row, at unit 1."""

Hint = tuple[str, str, Command | None]
"""The name of a key, what it does here, and what pressing its words does."""


def key_hints(
    keys: Iterable[tuple[str, str]], x_px: float, y_px: float, metrics: TextMetrics, unit: float, right_px: float
) -> list[Text]:
    """Keys and what they do, in a row from the left, two texts each.

    What does not fit before `right_px` is left out, the last but one first: it stands on the page of keys, which the
    last hint leads to. The texts of what is left out are empty.
    """
    hints = list(keys)
    gaps_px = 9 * unit, 30 * unit

    def width_px(name: str, words: str) -> float:
        return metrics.width_px(name, Size.SMALL) + metrics.width_px(words, Size.SMALL) + sum(gaps_px) if name else 0.0

    spare_px = right_px - x_px + gaps_px[1] - sum(width_px(*hint) for hint in hints)
    for place in range(len(hints) - 2, -1, -1):
        if spare_px >= 0:
            break
        spare_px += width_px(*hints[place])
        hints[place] = "", ""
    glyphs: list[Text] = []
    for name, words in hints:
        words_px = x_px + metrics.width_px(name, Size.SMALL) + (gaps_px[0] if name else 0.0)
        glyphs.append(Text(x_px, y_px, name, Size.SMALL, Ink.INK, Anchor.LEFT))
        glyphs.append(Text(words_px, y_px, words, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        x_px += width_px(name, words)
    return glyphs


def foot_hints(hints: Iterable[Hint], size: tuple[int, int], painter: Painter, status: str = "") -> list[Text]:
    """The row of hints at the foot of a page, and behind them, as far as there is room, how something stands."""
    unit, fonts = painter.unit, painter.fonts
    right_px, y_px = size[0] - MARGIN_PX * unit, size[1] - FOOT_PX * unit
    texts = key_hints([(name, words) for name, words, _ in hints], MARGIN_PX * unit, y_px, fonts, unit, right_px)
    room_px = right_px - MARGIN_PX * unit - max(text.bounds(fonts).right_px for text in texts)
    fitting = fonts.worth_saying(status, Size.SMALL, room_px)
    return [*texts, *([Text(right_px, y_px, fitting, Size.SMALL, Ink.MUTED, Anchor.RIGHT)] if fitting else [])]


def foot_targets(hints: Sequence[Hint], size: tuple[int, int], painter: Painter) -> list[Target]:
    """Where the hints at the foot of a page can be pressed."""
    return hint_targets(foot_hints(hints, size, painter), [command for *_, command in hints], painter.fonts)


def hint_at(hints: Sequence[Hint], size: tuple[int, int], painter: Painter, pressed: Pressed) -> Action | None:
    """What a press on one of the hints at the foot of a page asks for."""
    return target_at(foot_targets(hints, size, painter), pressed)


def hint_rows(rows: Sequence[Sequence[Hint]], size: tuple[int, int], metrics: TextMetrics, unit: float) -> list[Text]:
    """Several rows of hints at the foot of a page, the last one lowest, one after the other."""
    left_px, right_px = MARGIN_PX * unit, size[0] - MARGIN_PX * unit
    texts: list[Text] = []
    for place, row in enumerate(rows):
        y_px = size[1] - (FOOT_PX + ROW_PX * (len(rows) - 1 - place)) * unit
        texts += key_hints([(name, words) for name, words, _ in row], left_px, y_px, metrics, unit, right_px)
    return texts


def status_beside(hints: Sequence[Text], status: str, size: tuple[int, int], fonts: Fonts, unit: float) -> Text:
    """How something stands, behind the row of hints that leaves it most room."""
    right_px = size[0] - MARGIN_PX * unit
    ends_px = {text.y_px: text.bounds(fonts).right_px for text in hints if text.text}
    y_px = min(ends_px, key=lambda row: (ends_px[row], row))
    room_px = right_px - ends_px[y_px] - 40 * unit
    return Text(right_px, y_px, fonts.worth_saying(status, Size.SMALL, room_px), Size.SMALL, Ink.MUTED, Anchor.RIGHT)


def row_targets(
    rows: Sequence[Sequence[Hint]], size: tuple[int, int], metrics: TextMetrics, unit: float
) -> list[Target]:
    """Where these can be pressed."""
    return hint_targets(hint_rows(rows, size, metrics, unit), [command for row in rows for *_, command in row], metrics)


def hint_targets(texts: Sequence[Text], commands: Sequence[Command | None], metrics: TextMetrics) -> list[Target]:
    """A place to press for each hint of a row whose key is a command; `texts` as `key_hints` made them."""
    targets = []
    for name, words, command in zip(texts[::2], texts[1::2], commands, strict=True):
        if command is not None and name.text:
            left, right, pad_px = name.bounds(metrics), words.bounds(metrics), metrics.cap_px(Size.SMALL) * 0.6
            targets.append(
                Target(Rect(left.left_px, left.top_px - pad_px, right.right_px, left.bottom_px + pad_px), command)
            )
    return targets
