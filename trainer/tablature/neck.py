"""The neck of a line that stands: every place that it plays, its positions in brackets above, the note that sounds.

A disc is a note, a square is the root of the key; the finger stands in it where it is always the same one.
"""

from collections import defaultdict
from collections.abc import Iterable

from trainer.score.exercise import Exercise
from trainer.tablature.glyphs import Box, Dot, Glyph, Ink, Line, Size, Text, TextMetrics
from trainer.tablature.hands import board_glyphs, hands_of
from trainer.tablature.layout import NeckPlace
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord
from trainer.theory.scale import key_named

OCTAVE = 12
BRACKET_ROWS = 3
ROW_PX = 20.0
"""The rows of brackets over the neck, and how far apart they are at unit 1."""


def neck_glyphs(exercise: Exercise, place: NeckPlace, metrics: TextMetrics) -> tuple[Glyph, ...]:
    """The neck with all that a line plays on it; fingers only where they fit between the strings."""
    has_fingers = metrics.cap_px(Size.SMALL) < place.string_y_px(2) - place.string_y_px(1)
    fingers: dict[Location, set[int | None]] = defaultdict(set)
    for note in exercise.notes:
        fingers[note.location].add(note.finger)
    root = _root_class(exercise)
    glyphs: list[Glyph] = [*board_glyphs(place), *_brackets(exercise, place)]
    for location, used in sorted(fingers.items()):
        is_root = exercise.tuning.pitch_at(location) % OCTAVE == root
        glyphs += place_glyphs(location, place, Ink.INK, is_root=is_root)
        finger = next(iter(used)) if len(used) == 1 else None
        if has_fingers and finger is not None and location.fret:
            x_px, y_px = place.fret_x_px(location.fret), place.string_y_px(location.course)
            glyphs.append(Text(x_px, y_px, str(finger), Size.SMALL, Ink.GROUND))
    return tuple(glyphs)


def place_glyphs(location: Location, place: NeckPlace, ink: Ink, *, is_root: bool = False) -> tuple[Glyph, ...]:
    """One place of the neck."""
    radius_px = min(13 * place.unit, 0.48 * (place.string_y_px(2) - place.string_y_px(1)))
    x_px, y_px = place.fret_x_px(location.fret), place.string_y_px(location.course)
    if is_root:
        side_px = radius_px * 0.95
        return (Box(x_px - side_px, y_px - side_px, x_px + side_px, y_px + side_px, 2 * place.unit, ink),)
    return (Dot(x_px, y_px, radius_px, ink),)


def _root_class(exercise: Exercise) -> int | None:
    try:
        return key_named(exercise.key).root.pitch_class
    except UnknownWord:
        return None


def _brackets(exercise: Exercise, place: NeckPlace) -> Iterable[Glyph]:
    """A bracket with its number for each position that the hand visits, in rows so that none touches another."""
    spans = sorted(
        {
            (min(frets), max(frets), hand.number)
            for hand in hands_of(exercise)
            if hand.has_position and (frets := [location.fret for location, _ in hand.fingers])
        }
    )
    unit = place.unit
    ends_px = [float("-inf")] * BRACKET_ROWS
    ends = [(place.fret_x_px(low), place.fret_x_px(high), number) for low, high, number in spans]
    for low_px, high_px, number in sorted(ends, key=lambda one: min(one[:2])):
        left_px, right_px = min(low_px, high_px) - 13 * unit, max(low_px, high_px) + 13 * unit
        row = next((row for row, end_px in enumerate(ends_px) if end_px + 8 * unit < left_px), None)
        if row is None:
            continue
        ends_px[row] = right_px
        y_px = place.board.top_px - (24 + ROW_PX * row) * unit
        yield Line(left_px, y_px, right_px, y_px, 2 * unit, Ink.LINE)
        yield Line(left_px, y_px, left_px, y_px + 7 * unit, 2 * unit, Ink.LINE)
        yield Line(right_px, y_px, right_px, y_px + 7 * unit, 2 * unit, Ink.LINE)
        yield Text((left_px + right_px) / 2, y_px, number, Size.SMALL, Ink.MUTED, on_ground=True)
