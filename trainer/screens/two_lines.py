"""Two lines one over the other, the same beat under the same beat, and a mark and a word where they differ.

Each difference has a shape: a box around other notes, a ring around the same notes elsewhere on the neck, a bar under
notes that begin otherwise, a wedge over notes that the other line does not have. The words stand between the staffs.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from math import ceil

import pygame

from trainer.following.tolerance import Tolerance
from trainer.score.beside import Difference, Moment, difference_words, moments_of
from trainer.score.exercise import Exercise
from trainer.screens.paint import Painter
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Box, Dot, Glyph, Ink, Line, Rect, Size, Text, Wedge
from trainer.tablature.layout import TimeLayout, system_height_px, system_layout
from trainer.tablature.staff import staff_lines
from trainer.tablature.state import TO_COME
from trainer.tablature.strip import Strip

WORDS_PX, WORD_ROWS = 34.0, 2
"""The height of a row of words between the staffs, at unit 1, and how many rows there are."""
WIDEST = 1.6
"""A row is set at most so much wider than it needs to be, to fill the width."""
WORDS = {
    Difference.NOTE: "note",
    Difference.PLACE: "place",
    Difference.BEGUN: "begun",
    Difference.UPPER: "only above",
    Difference.LOWER: "only below",
}


@dataclass(frozen=True, slots=True)
class _Row:
    """A stretch of both lines."""

    first_quarters: Fraction
    end_quarters: Fraction


class TwoLines:
    """Both lines in rows that fill an area; `page` counts areas full of rows. Bars are those of the upper line."""

    def __init__(self, upper: Exercise, lower: Exercise, area: Rect, painter: Painter) -> None:
        self._area, self._painter = area, painter
        self._lines = upper, lower
        self._moments = moments_of(upper, lower)
        self._laid_out: dict[tuple[_Row, float], list[tuple[list[Glyph], Rect]]] = {}
        width_px, unit = area.right_px - area.left_px, painter.unit
        self._layouts = tuple(system_layout(width_px, len(line.tuning.open_pitches), unit) for line in self._lines)
        own = [self._strip(line, layout) for line, layout in zip(self._lines, self._layouts, strict=True)]
        densest = TimeAxis(max(strip.axis.px_per_quarter for strip in own))
        self._step_quarters, self._axis = self._filling(densest, width_px - WIDEST * _lead_px(own))
        self._strips = [
            self._strip(line, layout, self._axis) for line, layout in zip(self._lines, self._layouts, strict=True)
        ]
        self._lead_px = _lead_px(self._strips) + 2 * unit
        # Letters have a smallest size, for which small pictures leave no room below the count.
        cap_px = painter.fonts.cap_px(Size.SMALL)
        self._heights_px = tuple(
            max(system_height_px(layout.staff.strings, unit, has_trace=False), layout.count_y_px + 1.3 * cap_px)
            for layout in self._layouts
        )
        self._words_px = max(WORDS_PX * unit, 1.9 * cap_px)
        self.height_px = sum(self._heights_px) + self._words_px * WORD_ROWS
        """The height of one row."""
        end = max(line.length_quarters for line in self._lines)
        starts = [number * self._step_quarters for number in range(ceil(end / self._step_quarters))]
        self._rows = [_Row(start, min(start + self._step_quarters, end)) for start in starts]
        self._per_page = max(1, int((area.bottom_px - area.top_px) // self.height_px))

    @property
    def said(self) -> str:
        """How much of them is the same, and how they differ."""
        return difference_words(self._moments)

    @property
    def pages(self) -> int:
        """How many areas the lines fill."""
        return ceil(len(self._rows) / self._per_page)

    def draw(self, surface: pygame.Surface, page: int = 0) -> None:
        """Paint one page."""
        for row, top_px in self._on_page(page):
            for glyphs, rect in self._parts(row, top_px):
                width_px, height_px = round(rect.right_px - rect.left_px), round(rect.bottom_px - rect.top_px)
                room = pygame.Rect(round(rect.left_px), round(rect.top_px), width_px, height_px)
                self._painter.draw(surface.subsurface(room.clip(surface.get_rect())), glyphs)

    def texts(self, page: int = 0) -> list[tuple[str, Rect]]:
        """The texts of a page that are seen whole, and where their capitals lie."""
        found = []
        for row, top_px in self._on_page(page):
            for glyphs, rect in self._parts(row, top_px):
                for glyph in glyphs:
                    if isinstance(glyph, Text):
                        at = glyph.bounds(self._painter.fonts)
                        if at.left_px >= 0 and at.right_px <= rect.right_px - rect.left_px:
                            moved = (at.left_px + rect.left_px, at.top_px + rect.top_px)
                            ends = (at.right_px + rect.left_px, at.bottom_px + rect.top_px)
                            found.append((glyph.text, Rect(*moved, *ends)))
        return found

    def _strip(self, line: Exercise, layout: TimeLayout, axis: TimeAxis | None = None) -> Strip:
        return Strip(line, line.tempo, Tolerance(), layout, self._painter.fonts, axis)

    def _filling(self, densest: TimeAxis, room_px: float) -> tuple[Fraction, TimeAxis]:
        """How much stands in a row, as many whole bars as fit, else beats; and the axis on which it fills the row."""
        meter, end = self._lines[0].meter, max(line.length_quarters for line in self._lines)
        unit = meter.bar_quarters if densest.x_px(meter.bar_quarters) <= room_px else meter.beat_quarters
        step = min(unit * max(1, int(room_px // densest.x_px(unit))), ceil(end / unit) * unit)
        share = max(1.0, min(WIDEST, room_px / densest.x_px(step)))
        return step, TimeAxis(densest.px_per_quarter * share)

    def _on_page(self, page: int) -> Iterator[tuple[_Row, float]]:
        first = page * self._per_page
        for place, row in enumerate(self._rows[first : first + self._per_page]):
            yield row, self._area.top_px + place * self.height_px

    def _parts(self, row: _Row, top_px: float) -> list[tuple[list[Glyph], Rect]]:
        """The same as long as this page is shown."""
        if (row, top_px) not in self._laid_out:
            self._laid_out[row, top_px] = list(self._laid(row, top_px))
        return self._laid_out[row, top_px]

    def _laid(self, row: _Row, top_px: float) -> Iterator[tuple[list[Glyph], Rect]]:
        """The upper line, the words and the lower line of a row, each with its place; x from the row's left edge."""
        left_px = self._axis.x_px(row.first_quarters) - self._lead_px
        right_px = self._area.left_px + self._axis.x_px(row.end_quarters) - left_px - self._lead_px
        middle_px = top_px + self._heights_px[0]
        bottom_px = middle_px + self._words_px * WORD_ROWS
        # A word may be wider than the last column.
        words_right_px = self._area.right_px
        upper = Rect(self._area.left_px, top_px, right_px, middle_px)
        lower = Rect(self._area.left_px, bottom_px, right_px, bottom_px + self._heights_px[1])
        yield [glyph.moved(-round(left_px)) for glyph in self._line(0, row, left_px)], upper
        words = [glyph.moved(-round(left_px)) for glyph in self._words(row)]
        yield words, Rect(self._area.left_px, middle_px, words_right_px, bottom_px)
        yield [glyph.moved(-round(left_px)) for glyph in self._line(1, row, left_px)], lower

    def _line(self, which: int, row: _Row, left_px: float) -> Iterator[Glyph]:
        strip, layout, line = self._strips[which], self._layouts[which], self._lines[which]
        end_px = min(self._axis.x_px(row.end_quarters), self._axis.x_px(line.length_quarters))
        yield from staff_lines(layout.staff, line.courses, left_px, end_px)
        for number in strip.chunks_between(left_px, end_px):
            yield from strip.chunk(number, with_marks=False, with_windows=False)
        seen = [
            index
            for index, note in enumerate(line.notes)
            if row.first_quarters <= note.onset_quarters < row.end_quarters
        ]
        for moment in self._of_row(row):
            for index in moment.upper if which == 0 else moment.lower:
                if moment.difference is not None:
                    yield from self._mark(moment.difference, strip, index)
        for index in seen:
            yield from strip.note(index, TO_COME, first=seen[0])

    def _mark(self, difference: Difference, strip: Strip, index: int) -> Iterator[Glyph]:
        """The shape of a difference, around or beside a number."""
        note, unit, fonts = strip.exercise.notes[index], self._painter.unit, self._painter.fonts
        x_px, y_px = strip.xs_px[index], strip.layout.staff.string_y_px(note.course)
        # The number clears 4 units around itself.
        half_px = fonts.width_px(str(note.fret), Size.FRET) / 2 + 8 * unit
        cap_px = fonts.cap_px(Size.FRET) / 2 + 8 * unit
        width_px = max(2.0, 3 * unit)
        match difference:
            case Difference.NOTE:
                yield Box(x_px - half_px, y_px - cap_px, x_px + half_px, y_px + cap_px, 3 * unit, Ink.SLIP, width_px)
            case Difference.PLACE:
                yield Dot(x_px, y_px, max(half_px, cap_px), Ink.SLIP, width_px)
            case Difference.BEGUN:
                below_px = y_px + cap_px + 3 * unit
                yield Line(x_px - half_px, below_px, x_px + half_px, below_px, 5 * unit, Ink.SLIP)
            case Difference.UPPER | Difference.LOWER:
                top_px = y_px - cap_px - 2 * unit
                corners = ((x_px, top_px), (x_px - 8 * unit, top_px - 11 * unit), (x_px + 8 * unit, top_px - 11 * unit))
                yield Wedge(corners, Ink.SLIP)

    def _of_row(self, row: _Row) -> list[Moment]:
        return [one for one in self._moments if row.first_quarters <= one.onset_quarters < row.end_quarters]

    def _words(self, row: _Row) -> Iterator[Glyph]:
        """A word for each run of moments that differ in one way; one that has no room stands in the second row."""
        unit, fonts, free_px = self._painter.unit, self._painter.fonts, [float("-inf")] * WORD_ROWS
        for difference, run in groupby(self._of_row(row), key=lambda moment: moment.difference):
            moments: Sequence[Moment] = list(run)
            if difference is None:
                continue
            first_px, last_px = (self._axis.x_px(moments[place].onset_quarters) for place in (0, -1))
            words = WORDS[difference]
            half_px = fonts.width_px(words, Size.SMALL) / 2
            x_px = max((first_px + last_px) / 2, self._axis.x_px(row.first_quarters) - self._lead_px + half_px)
            fitting = [place for place in range(WORD_ROWS) if x_px - half_px >= free_px[place] + 8 * unit]
            if not fitting:
                continue
            y_px = (fitting[0] + 0.5) * self._words_px
            free_px[fitting[0]] = x_px + half_px
            if len(moments) > 1:
                over_px = y_px - fonts.cap_px(Size.SMALL) / 2 - 5 * unit
                yield Line(first_px, over_px, last_px, over_px, 2 * unit, Ink.SLIP)
            yield Text(x_px, y_px, words, Size.SMALL, Ink.SLIP)


def _lead_px(strips: Sequence[Strip]) -> float:
    """What reaches to the left of the first moment: half a number, a grace note, the bar line."""
    return max(strip.axis.x_px(strip.columns[0].onset_quarters) - strip.edges_px[0] for strip in strips)
