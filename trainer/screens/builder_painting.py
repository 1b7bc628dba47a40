"""The finished picture of the builder: made once for what is shown, and copied frame after frame."""

from dataclasses import dataclass

import pygame

from trainer.score.difficulty import parts_of
from trainer.score.exercise import Exercise
from trainer.screens.builder_picture import BuilderPicture, BuilderView
from trainer.screens.look import Look, colour, worn
from trainer.screens.paint import PagePainter, Painter
from trainer.screens.standing_line import StandingLine
from trainer.tablature.glyphs import Ink
from trainer.theory.naming import counted

PREVIEW_SHARE = 0.62
"""The tablature is drawn at this share of the scale of the practice picture."""
MOST_PREVIEWED = 256
"""Of longer lines only so many notes are laid out."""


@dataclass(frozen=True, slots=True)
class Painted:
    """The finished picture and what it was made with."""

    surface: pygame.Surface
    painter: Painter
    picture: BuilderPicture
    line: StandingLine
    look: Look


_PAGE, _TABLATURE = PagePainter(), PagePainter(PREVIEW_SHARE)
"""Their rendered letters serve picture after picture."""


def painted(size: tuple[int, int], view: BuilderView, shown: Exercise, page: int) -> Painted:
    """The picture of a view, with the tablature and the neck of the line that is shown."""
    painter, small = _PAGE.of(size), _TABLATURE.of(size)
    picture = BuilderPicture(size, painter.fonts)
    surface = pygame.Surface(size)
    surface.fill(colour(Ink.GROUND))
    row = picture.row_area(view, view.open_row)
    surface.fill(colour(Ink.CHOSEN), (row.left_px, row.top_px, row.right_px - row.left_px, row.bottom_px - row.top_px))
    painter.draw(surface, picture.glyphs(view))
    painter.draw(surface, picture.neck(shown))
    previewed = shown if len(shown.notes) <= MOST_PREVIEWED else shown.excerpt(0, MOST_PREVIEWED - 1)
    line = StandingLine(previewed, shown.tempo, picture.preview_area(), small)
    line.draw(surface, min(page, line.pages - 1))
    return Painted(surface, painter, picture, line, worn())


def summary_of(exercise: Exercise) -> str:
    """How long a line is and what makes it hard, in words."""
    parts = parts_of(exercise)
    bars = -(-exercise.length_quarters // exercise.meter.bar_quarters)
    seconds = exercise.tempo.ns(exercise.length_quarters) / 1e9
    words = [
        counted(len(exercise.notes), "note")
        + (f", the first {MOST_PREVIEWED} below" if len(exercise.notes) > MOST_PREVIEWED else ""),
        counted(bars, "bar"),
        f"{seconds:.0f} s",
        f"{parts.notes_a_second:g} {'note' if parts.notes_a_second == 1 else 'notes'} a second",
        counted(parts.shifts, "shift"),
        f"reach {parts.widest_reach_mm} mm",
        f"string changes: {parts.inside} inside, {parts.outside} outside",
    ]
    return " · ".join(words)
