from dataclasses import replace
from itertools import combinations

import pytest

from trainer.score.library import load_exercise
from trainer.score.one_line import exercise_from_line
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


LINES = (
    "triplet rest + two triplets + two triplets tied to triplet + triplet, 4/4",
    "thirty-second + thirty-second rest + sixteenth rest + eighth + half rest + dotted eighth + sixteenth rest, 4/4",
    "5 then 3 then 4 then 7 a beat, 4/4",
    "eighth + two sixteenths, 7/8",
    "quarter tied to sixteenth, 5/8",
)


@pytest.mark.parametrize("rhythm", LINES)
@pytest.mark.parametrize("height_px", [1080, 720, 640])
def test_no_text_overlaps_another_in_a_line_of_rests_ties_and_tuplets(rhythm: str, height_px: int) -> None:
    line = exercise_from_line(f"B minor pentatonic, strings 1-2, positions 1 2 3 4, fours down, {rhythm}")
    unit = min(height_px / 1080, (1024 if height_px == 640 else 1920) / 1920)
    standing = StandingLine(line, line.tempo, Rect(0, 0, 1200 * unit, 800 * unit), Painter(unit))

    pages = [standing.texts(page) for page in range(standing.pages)]

    assert sum(map(len, pages)) > 20
    assert [(one, other) for page in pages for (one, a), (other, b) in combinations(page, 2) if a.overlaps(b)] == []
