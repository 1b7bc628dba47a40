"""A passage of a take as a picture of its own: the line in systems, what was played of it, its trace, and a legend.

Its height follows from its width: as many systems as the notes need, and a legend in rows.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import pygame

from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.screens.flow import Drawn
from trainer.screens.look import colour
from trainer.screens.marks import SAMPLE_PX, legend_rows
from trainer.screens.paint import Painter
from trainer.screens.standing_line import Played, StandingLine
from trainer.screens.words import line_words, tempo_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.state import NoteState

NARROWEST_PX, WIDEST_PX = 480, 8000
MOST_NOTES = 1000
LEAST_UNIT = 0.45
"""In a narrower picture nothing is drawn smaller; there are more systems."""
MARGIN_PX, WORDS_PX, LEGEND_ROW_PX = 48.0, 40.0, 92.0
"""At unit 1: beside everything, for a line of words, for a row of the legend."""


@dataclass(frozen=True, slots=True)
class Shown:
    """Notes of a take, and what was played of them."""

    first: int
    last: int
    states: Mapping[int, NoteState]
    """By the note of the take."""
    other: Mapping[int, NoteState] | None = None
    """Another take of the same notes."""
    other_words: str = ""


@dataclass(frozen=True, slots=True)
class Passage:
    """What is pictured."""

    exercise: Exercise
    """All that was to be played, its passes written out."""
    tempo: Tempo
    shown: Shown
    words: str
    """Which take it is."""
    note: str = ""


def passage_surface(passage: Passage, width_px: int) -> pygame.Surface:
    """The picture; `ValueError` for a width or a length that it cannot have."""
    if not NARROWEST_PX <= width_px <= WIDEST_PX:
        raise ValueError(f"width {width_px}: expected {NARROWEST_PX} to {WIDEST_PX} pixels")
    shown = passage.shown
    if shown.last - shown.first >= MOST_NOTES:
        raise ValueError(f"{shown.last - shown.first + 1} notes: a picture holds at most {MOST_NOTES}")
    unit = max(LEAST_UNIT, width_px / 1920)
    painter = Painter(unit)
    right_px = width_px - MARGIN_PX * unit
    glyphs, y_px = _head(passage, right_px, painter)
    lines: list[tuple[StandingLine, float]] = []
    takes = (
        [("", shown.states)]
        if shown.other is None
        else [(passage.words, shown.states), (shown.other_words, shown.other)]
    )
    for words, states in takes:
        if words:
            glyphs.append(Text(MARGIN_PX * unit, y_px, words, Size.BODY, Ink.INK, Anchor.LEFT))
            y_px += WORDS_PX * unit
        line = _line(passage, states, Rect(MARGIN_PX * unit, y_px, right_px, y_px + 1_000_000), painter)
        lines.append((line, y_px))
        y_px += line.systems * line.height_px
    legend, y_px = _legend(y_px + 0.6 * LEGEND_ROW_PX * unit, right_px, painter)
    surface = pygame.Surface((width_px, round(y_px)))
    surface.fill(colour(Ink.GROUND))
    painter.draw(surface, [*glyphs, *legend])
    for line, _ in lines:
        line.draw(surface)
    return surface


def _line(passage: Passage, states: Mapping[int, NoteState], area: Rect, painter: Painter) -> StandingLine:
    shown = passage.shown
    excerpt = passage.exercise.excerpt(shown.first, shown.last)
    moved = {index - shown.first: state for index, state in states.items() if shown.first <= index <= shown.last}
    played = Played(moved, medians_ms={}, spreads={}, misses={}, transitions=(), is_one_take=True)
    return StandingLine(excerpt, passage.tempo, area, painter, played=played)


def _head(passage: Passage, right_px: float, painter: Painter) -> tuple[list[Glyph], float]:
    """Title, tempo, line and take, and what was noted about it; and where the first system may begin."""
    unit, fonts = painter.unit, painter.fonts
    left_px = MARGIN_PX * unit
    room_px = right_px - left_px
    tempo = tempo_words(passage.tempo)
    title = fonts.elided(passage.exercise.title, Size.TITLE, room_px - fonts.width_px(tempo, Size.TITLE) - 40 * unit)
    glyphs: list[Glyph] = [
        Text(left_px, 46 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
        Text(right_px, 46 * unit, tempo, Size.TITLE, Ink.INK, Anchor.RIGHT),
    ]
    y_px = 96 * unit
    take = "" if passage.shown.other is not None else passage.words  # else it stands over its own systems
    for words, ink in ((line_words(passage.exercise), Ink.MUTED), (take, Ink.MUTED), (passage.note, Ink.INK)):
        for line in fonts.wrapped(words, Size.SMALL, room_px):
            glyphs.append(Text(left_px, y_px, line, Size.SMALL, ink, Anchor.LEFT))
            y_px += 0.8 * WORDS_PX * unit
    return glyphs, y_px + 0.3 * WORDS_PX * unit


def _legend(y_px: float, right_px: float, painter: Painter) -> tuple[list[Glyph], float]:
    """What the marks mean, one after the other in rows; and where that ends."""
    unit, fonts = painter.unit, painter.fonts
    x_px = left_px = MARGIN_PX * unit
    glyphs: list[Glyph] = []
    for row in legend_rows(unit, fonts):
        width_px = (SAMPLE_PX + 16) * unit + fonts.width_px(row.words, Size.SMALL)
        if x_px > left_px and x_px + width_px > right_px:
            x_px, y_px = left_px, y_px + LEGEND_ROW_PX * unit
        if isinstance(row.lead, Drawn):
            glyphs += row.lead.draw(x_px + SAMPLE_PX * unit / 2, y_px)
        words_px = x_px + (SAMPLE_PX + 16) * unit
        fitting = fonts.elided(row.words, Size.SMALL, right_px - words_px)
        glyphs.append(Text(words_px, y_px, fitting, Size.SMALL, Ink.INK, Anchor.LEFT))
        x_px += width_px + 40 * unit
    return glyphs, y_px + 0.8 * LEGEND_ROW_PX * unit
