"""The picture of an adaptive run: each pass at its tempo, clean or not, and the figure with its interval.

Passes stand from left to right, tempi from bottom to top (in logarithms, so that equal steps are equal shares). A clean
pass is a disc, a spoiled one a cross; the figure is a line over the band of its interval. Shapes differ, so nothing
depends on colour.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import log

from trainer.coaching.asking import Pass
from trainer.coaching.working_tempo import Estimate
from trainer.screens.hints import Hint, hint_targets, key_hints
from trainer.screens.paint import Fonts
from trainer.screens.screen import Target
from trainer.tablature.glyphs import Anchor, Box, Cross, Dot, Glyph, Ink, Line, Size, Text
from trainer.tablature.layout import unit_of

TOP_PX, BOTTOM_PX, SCALE_PX = 330.0, 250.0, 110.0
"""Where the picture of passes begins, what is left below it, and room for its scale, at unit 1."""
TICKS = (20, 30, 40, 50, 60, 80, 100, 120, 150, 180, 220, 260, 320, 400)
LEAST_REACH = log(1.25)
"""The scale shows at least this much of ln tempo above and below."""


@dataclass(frozen=True, slots=True)
class TempoRunView:
    """What the run shows."""

    title: str
    line_words: str
    now: str
    """The tempo of the next pass, or that it is hidden, or that the run is over."""
    passes: Sequence[Pass]
    most_passes: int
    estimate: Estimate | None
    sentence: str
    remark: str
    rest: str
    is_rest_due: bool
    definition: str
    status: str
    is_hidden: bool
    hints: Sequence[Hint]


class TempoRunPicture:
    """Lays out the run at one size."""

    def __init__(self, size: tuple[int, int], fonts: Fonts) -> None:
        self._fonts = fonts
        self._unit = unit_of(*size)
        self._left_px, self._right_px = 48 * self._unit, size[0] - 48 * self._unit
        self._height_px = size[1]

    def glyphs(self, view: TempoRunView) -> list[Glyph]:
        """Everything."""
        unit, room_px = self._unit, self._right_px - self._left_px
        title = self._fonts.elided(view.title, Size.TITLE, room_px * 0.6)
        status = self._fonts.elided(view.status, Size.SMALL, room_px * 0.45)
        foot_px = self._height_px - 28 * unit
        return [
            Text(self._left_px, 50 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(self._left_px, 98 * unit, view.line_words, Size.BODY, Ink.MUTED, Anchor.LEFT),
            Text(self._right_px, 50 * unit, view.now, Size.TITLE, Ink.INK, Anchor.RIGHT),
            *self._lines(view.remark, Size.BODY, Ink.INK, 156 * unit, 1),
            *self._lines(view.rest, Size.BODY, Ink.NOW if view.is_rest_due else Ink.MUTED, 196 * unit, 1),
            *self._lines(view.definition, Size.SMALL, Ink.MUTED, 240 * unit, 2),
            *self._plot(view),
            *self._lines(view.sentence, Size.BODY, Ink.INK, self._height_px - 160 * unit, 3),
            *self._hints(view),
            Text(self._right_px, foot_px, status, Size.SMALL, Ink.MUTED, Anchor.RIGHT),
        ]

    def targets(self, view: TempoRunView) -> list[Target]:
        """Where the mouse can press."""
        return hint_targets(self._hints(view), [command for *_, command in view.hints], self._fonts)

    def _hints(self, view: TempoRunView) -> list[Text]:
        rows = [(name, words) for name, words, _ in view.hints]
        return key_hints(
            rows, self._left_px, self._height_px - 28 * self._unit, self._fonts, self._unit, self._right_px
        )

    def _lines(self, words: str, size: Size, ink: Ink, y_px: float, most: int) -> list[Glyph]:
        apart_px = 34 * self._unit
        lines = self._fonts.wrapped(words, size, self._right_px - self._left_px)[:most]
        return [
            Text(self._left_px, y_px + place * apart_px, line, size, ink, Anchor.LEFT)
            for place, line in enumerate(lines)
        ]

    def _plot(self, view: TempoRunView) -> list[Glyph]:
        """The passes on their scale; while tempi are hidden there is none."""
        tempi = [one.qpm for one in view.passes]
        if view.is_hidden or not tempi:
            return []
        if view.estimate is not None:
            tempi += [view.estimate.low_qpm, view.estimate.high_qpm]
        middle = (log(min(tempi)) + log(max(tempi))) / 2
        reach = max(LEAST_REACH, (log(max(tempi)) - log(min(tempi))) * 0.55)
        unit = self._unit
        top_px, bottom_px = TOP_PX * unit, self._height_px - BOTTOM_PX * unit
        left_px = self._left_px + SCALE_PX * unit

        def y_px(qpm: float) -> float:
            return (top_px + bottom_px) / 2 - (log(qpm) - middle) / reach * (bottom_px - top_px) / 2

        def x_px(number: int) -> float:
            return left_px + (number + 1) / (max(view.most_passes, len(view.passes)) + 1) * (self._right_px - left_px)

        glyphs = self._figure(view.estimate, left_px, y_px) if view.estimate is not None else []
        for qpm in TICKS:
            if top_px <= y_px(qpm) <= bottom_px:
                glyphs.append(Line(left_px, y_px(qpm), self._right_px, y_px(qpm), unit, Ink.FAINT))
                glyphs.append(Text(left_px - 14 * unit, y_px(qpm), str(qpm), Size.SMALL, Ink.MUTED, Anchor.RIGHT))
        for number, one in enumerate(view.passes):
            x, y = x_px(number), y_px(one.qpm)
            if one.is_clean:
                glyphs.append(Dot(x, y, 9 * unit, Ink.AS_WRITTEN))
            else:
                glyphs.append(Cross(x, y, 9 * unit, 9 * unit, 4 * unit, Ink.MISSED))
        return glyphs

    def _figure(self, estimate: Estimate, left_px: float, y_px: Callable[[float], float]) -> list[Glyph]:
        high, low, middle = y_px(estimate.high_qpm), y_px(estimate.low_qpm), y_px(estimate.qpm)
        return [
            Box(left_px, high, self._right_px, low, 4 * self._unit, Ink.BAND),
            Line(left_px, middle, self._right_px, middle, 3 * self._unit, Ink.INK),
        ]
