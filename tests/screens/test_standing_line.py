from dataclasses import replace

from trainer.score.library import load_exercise
from trainer.screens.paint import Painter
from trainer.screens.standing_line import StandingLine
from trainer.tablature.glyphs import Line, Rect

AREA = Rect(0, 0, 900, 600)
ACCENTED = load_exercise("quarry-steps")
PLAIN = replace(ACCENTED, notes=tuple(replace(note, accent=False) for note in ACCENTED.notes))


def test_a_line_that_stands_shows_its_accents_and_takes_room_for_them_only_where_there_are_any() -> None:
    painter = Painter(0.5)
    accented, plain = (StandingLine(line, line.tempo, AREA, painter) for line in (ACCENTED, PLAIN))

    assert accented.height_px == plain.height_px + 9
    strokes = [
        sum(isinstance(glyph, Line) for system, _ in line._on_page(0) for glyph in line._glyphs(system))
        for line in (accented, plain)
    ]
    shown = sum(
        ACCENTED.notes[index].accent
        for system, _ in accented._on_page(0)
        for index in range(system.first, system.last + 1)
    )
    assert strokes[0] - strokes[1] == 2 * shown > 0
