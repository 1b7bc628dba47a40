"""A line that stands still, in systems: the preview of the list and the tablature of the result."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import pygame

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Match
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.screens.paint import Painter
from trainer.tablature.glyphs import Box, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.layout import system_height_px, system_layout
from trainer.tablature.marks import accent_sign
from trainer.tablature.staff import staff_lines
from trainer.tablature.state import TO_COME, NoteState
from trainer.tablature.strip import Strip
from trainer.tablature.systems import System, systems_of
from trainer.tablature.trace import Spread, deviation_glyphs, trace_lines

ACCENT_PX = 40.0
"""How high over the staff an accent stands, at unit 1."""
IN_TIME = NoteState(Match(heard=0, index=0, onset_ns=0, deviation_ns=0, settled=True))
"""Stands for all passes of a note, whose median deviation is drawn."""


@dataclass(frozen=True, slots=True)
class Played:
    """What was played of a line over all its passes, by its notes."""

    states: Mapping[int, NoteState]
    medians_ms: Mapping[int, float]
    spreads: Mapping[int, Spread]
    misses: Mapping[int, int]
    """How often a note was missed or played wrong, where it was at all."""
    transitions: Sequence[tuple[int, int]]
    """Transitions to point out, the worst first."""
    is_one_take: bool = False
    """One attempt at each note: its own mark stands on the trace."""


class StandingLine:
    """One pass of a line in systems that fill an area; `page` counts areas full of systems."""

    def __init__(
        self, exercise: Exercise, tempo: Tempo, area: Rect, painter: Painter, *, played: Played | None = None
    ) -> None:
        self._area = area
        self._painter = painter
        self._played = played
        strings = len(exercise.tuning.open_pitches)
        self._tolerance = Tolerance()
        # What was played stands there instead, so a result keeps its room.
        has_accents = played is None and any(note.accent for note in exercise.notes)
        self._has_accents = has_accents
        self._layout = system_layout(area.right_px - area.left_px, strings, painter.unit, has_accents=has_accents)
        self._strip = Strip(exercise, tempo, self._tolerance, self._layout, painter.fonts)
        has_trace = played is not None
        self.height_px = system_height_px(strings, painter.unit, has_trace=has_trace, has_accents=has_accents)
        """The height of one system."""
        self._systems = systems_of(self._strip, area.right_px - area.left_px)
        self._per_page = max(1, int((area.bottom_px - area.top_px) // self.height_px))

    @property
    def systems(self) -> int:
        """How many there are in all."""
        return len(self._systems)

    @property
    def pages(self) -> int:
        """How many areas the line fills."""
        return -(-len(self._systems) // self._per_page)

    def page_of(self, index: int) -> int:
        """The page that a note stands on."""
        return next(n for n, system in enumerate(self._systems) if index <= system.last) // self._per_page

    def note_at(self, page: int, x_px: float, y_px: float) -> int | None:
        """The note of a page that is pressed, on its staff or on the trace under it; None for a press beside them."""
        for system, top_px in self._on_page(page):
            pressed = self._strip.note_at(x_px - self._area.left_px + round(system.left_px), y_px - top_px)
            if pressed is not None and system.first <= pressed <= system.last:
                return pressed
        return None

    def draw(self, surface: pygame.Surface, page: int = 0, cursor: int | None = None) -> None:
        """Paint one page, with a line through the note at the cursor."""
        for system, top_px in self._on_page(page):
            left_px = round(self._area.left_px)
            width_px = min(round(system.right_px - system.left_px), surface.get_width() - left_px)
            height_px = min(round(self.height_px), surface.get_height() - round(top_px))
            window = surface.subsurface(pygame.Rect(left_px, round(top_px), width_px, height_px))
            pointer = [] if cursor is None else self._pointer(system, cursor)
            self._painter.draw(window, pointer + self._shifted(system))

    def texts(self, page: int = 0) -> list[tuple[str, Rect]]:
        """The texts of a page that are seen whole, and where their capitals lie."""
        found = []
        for system, top_px in self._on_page(page):
            for glyph in self._shifted(system):
                if isinstance(glyph, Text):
                    bounds = glyph.bounds(self._painter.fonts)
                    if bounds.left_px >= 0 and bounds.right_px <= system.right_px - system.left_px:
                        x_px, y_px = self._area.left_px, top_px
                        found.append((glyph.text, Rect(*_added(bounds, x_px, y_px))))
        return found

    def _on_page(self, page: int) -> Iterator[tuple[System, float]]:
        first = page * self._per_page
        for place, system in enumerate(self._systems[first : first + self._per_page]):
            yield system, self._area.top_px + place * self.height_px

    def _shifted(self, system: System) -> list[Glyph]:
        return [glyph.moved(-round(system.left_px)) for glyph in self._glyphs(system)]

    def _pointer(self, system: System, cursor: int) -> list[Glyph]:
        if not system.first <= cursor <= system.last:
            return []
        staff, x_px = self._layout.staff, self._strip.xs_px[cursor] - round(system.left_px)
        reach_px = staff.gap_px * 0.7
        return [Line(x_px, staff.top_px - reach_px, x_px, staff.bottom_px + reach_px, 5 * staff.unit, Ink.NOW)]

    def _glyphs(self, system: System) -> Iterator[Glyph]:
        strip, layout, played = self._strip, self._layout, self._played
        indices = range(system.first, system.last + 1)
        yield from staff_lines(layout.staff, strip.exercise.courses, system.left_px, system.right_px)
        for number in strip.chunks_between(system.left_px, system.right_px):
            yield from strip.chunk(number, with_marks=False, with_windows=played is not None)
        for number, hand in enumerate(strip.hands):
            if system.first <= system.last and hand.first <= system.last and hand.last >= system.first:
                bracket = strip.bracket(number, within=(system.first, system.last))
                yield from bracket.lines(layout.unit, Ink.MUTED)
                yield bracket.word(bracket.left_px, layout.unit, Ink.MUTED, self._painter.fonts)
        for index in indices:
            state = TO_COME if played is None else played.states.get(index, TO_COME)
            yield from strip.note(index, state, first=system.first)
        if self._has_accents:
            for index in indices:
                if strip.exercise.notes[index].accent:
                    y_px = layout.staff.top_px - ACCENT_PX * layout.unit
                    yield from accent_sign(strip.xs_px[index], y_px, layout.unit)
        if played is not None:
            yield from trace_lines(layout.trace, system.left_px, system.right_px, is_timed=True)[:1]
            for _, moment in groupby(indices, key=strip.xs_px.__getitem__):
                yield from self._timing(list(moment), played)
            yield from self._pointed_out(system, played)

    @property
    def _below_px(self) -> float:
        """The row under the trace."""
        place = self._layout.trace
        return place.zero_px + place.reach_px + 38 * place.unit

    def _timing(self, moment: list[int], played: Played) -> Iterator[Glyph]:
        """Over all passes, of a note or of the furthest off of a chord: spread, median, and how often it was missed."""
        strip = self._strip
        if played.is_one_take:
            yield from strip.deviations([(one, played.states.get(one, TO_COME)) for one in moment])
            return
        index = max(moment, key=lambda one: abs(played.medians_ms.get(one, 0)))
        x_px = strip.xs_px[index]
        if index in played.spreads:
            yield from strip.spread(index, played.spreads[index])
        if index in played.medians_ms:
            place, fonts = self._layout.trace, self._painter.fonts
            yield from deviation_glyphs(IN_TIME, played.medians_ms[index], strip.windows[index], x_px, place, fonts)
        missed = max(played.misses.get(one, 0) for one in moment)
        if missed:
            yield Text(x_px, self._below_px, f"{missed}×", Size.SMALL, Ink.MISSED, on_ground=True)

    def _pointed_out(self, system: System, played: Played) -> Iterator[Glyph]:
        """The numbers of the weak transitions, between their two notes."""
        unit, y_px = self._layout.unit, self._below_px
        for number, (from_index, to_index) in enumerate(played.transitions, start=1):
            if system.first <= to_index <= system.last:
                middle_px = (self._strip.xs_px[to_index] + self._strip.xs_px[from_index]) / 2
                half_px = self._painter.fonts.width_px("0", Size.SMALL) / 2 + 3 * unit
                x_px = max(middle_px, system.left_px + half_px + 2 * unit)
                yield Box(x_px - half_px, y_px - half_px, x_px + half_px, y_px + half_px, 4 * unit, Ink.NOW)
                yield Text(x_px, y_px, str(number), Size.SMALL, Ink.GROUND)


def _added(bounds: Rect, x_px: float, y_px: float) -> tuple[float, float, float, float]:
    return bounds.left_px + x_px, bounds.top_px + y_px, bounds.right_px + x_px, bounds.bottom_px + y_px
