"""Weak transitions on the neck: a ring where each begins, a numbered disc where it arrives."""

from collections.abc import Sequence

from trainer.score.exercise import Exercise
from trainer.tablature.glyphs import Anchor, Dot, Glyph, Ink, Line, Size, Text
from trainer.tablature.hands import board_glyphs
from trainer.tablature.layout import NeckPlace

RADIUS_PX = 15.0
NAMES_PX = 30.0
"""How far left of the nut the strings are named, at unit 1."""


def weak_place_glyphs(
    exercise: Exercise, transitions: Sequence[tuple[int, int]], place: NeckPlace
) -> tuple[Glyph, ...]:
    """The neck with the transitions between these notes, the worst first; the worst is drawn in front."""
    unit = place.unit
    glyphs: list[Glyph] = [
        glyph for glyph in board_glyphs(place) if not (isinstance(glyph, Text) and glyph.anchor is Anchor.LEFT)
    ]
    for course in (1, place.strings):
        x_px, y_px = place.board.left_px - NAMES_PX * unit, place.string_y_px(course)
        glyphs.append(Text(x_px, y_px, str(course), Size.SMALL, Ink.MUTED, Anchor.LEFT))
    numbered = list(enumerate(transitions, start=1))[::-1]
    for _, (before, here) in numbered:
        (x1_px, y1_px), (x2_px, y2_px) = (_spot(exercise, index, place) for index in (before, here))
        glyphs.append(Line(x1_px, y1_px, x2_px, y2_px, 3 * unit, Ink.NOW))
        glyphs.append(Dot(x1_px, y1_px, RADIUS_PX * unit, Ink.GROUND))
        glyphs.append(Dot(x1_px, y1_px, RADIUS_PX * unit, Ink.NOW, 2.5 * unit))
    discs = {_spot(exercise, here, place): str(number) for number, (_, here) in numbered}
    for (x_px, y_px), number in discs.items():
        glyphs.append(Dot(x_px, y_px, RADIUS_PX * unit, Ink.NOW))
        glyphs.append(Text(x_px, y_px, number, Size.SMALL, Ink.GROUND))
    return tuple(glyphs)


def _spot(exercise: Exercise, index: int, place: NeckPlace) -> tuple[float, float]:
    note = exercise.notes[index]
    return place.fret_x_px(note.fret), place.string_y_px(note.course)
