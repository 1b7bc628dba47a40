import pytest

from trainer.score.library import exercise_names, load_exercise
from trainer.score.one_line import exercise_from_line
from trainer.tablature.glyphs import Box, Dot, Glyph, Ink, Line, Rect, Text
from trainer.tablature.layout import NeckPlace
from trainer.tablature.neck import neck_glyphs

from .builders import METRICS


def place(strings: int = 6, last_fret: int = 22, *, is_left_handed: bool = False) -> NeckPlace:
    return NeckPlace(Rect(100, 100, 1200, 220), strings, last_fret, 1.0, is_left_handed)


def test_every_place_that_a_line_plays_is_marked_once_and_the_roots_are_square() -> None:
    line = exercise_from_line("A minor pentatonic, strings 1-2, positions 1, fours down")

    glyphs = neck_glyphs(line, place(), METRICS)

    dots = {(round(glyph.x_px), round(glyph.y_px)) for glyph in glyphs if isinstance(glyph, Dot)}
    boxes = [glyph for glyph in glyphs if isinstance(glyph, Box)]
    # Position 1 in A: frets 5 and 8 of both strings; fret 5 of string 1 is the A.
    assert dots == {(475, 100), (325, 124), (475, 124)}
    assert [(round(box.left_px + box.right_px) / 2, round(box.top_px + box.bottom_px) / 2) for box in boxes] == [
        (325, 100)
    ]


@pytest.mark.parametrize("is_left_handed", [False, True])
def test_brackets_name_the_positions_and_none_touches_another(*, is_left_handed: bool) -> None:
    for name in exercise_names():
        line = load_exercise(name)
        neck = place(len(line.tuning.open_pitches), line.last_fret, is_left_handed=is_left_handed)
        glyphs = neck_glyphs(line, neck, METRICS)
        levels = [g for g in glyphs if isinstance(g, Line) and g.y1_px == g.y2_px and g.y1_px < neck.board.top_px - 5]
        for one in levels:
            for other in levels:
                if one is not other and one.y1_px == other.y1_px:
                    assert one.x2_px < other.x1_px or other.x2_px < one.x1_px, name
        numbers = {g.text for g in glyphs if isinstance(g, Text) and g.y_px < neck.board.top_px - 5}
        assert numbers <= {str(position) for position in line.route}
        assert len(line.route) < 2 or numbers


def test_a_left_handed_neck_is_the_mirror_of_the_other() -> None:
    line = load_exercise("quarry-steps")

    right, left = (neck_glyphs(line, place(is_left_handed=hand), METRICS) for hand in (False, True))

    def dots(glyphs: tuple[Glyph, ...], *, is_mirrored: bool) -> set[tuple[int, int]]:
        return {
            (round(1300 - glyph.x_px if is_mirrored else glyph.x_px), round(glyph.y_px))
            for glyph in glyphs
            if isinstance(glyph, Dot)
        }

    assert dots(left, is_mirrored=True) == dots(right, is_mirrored=False)
    assert sum(isinstance(glyph, Text) for glyph in left) == sum(isinstance(glyph, Text) for glyph in right)


def test_an_open_string_stands_beyond_the_nut() -> None:
    assert place().fret_x_px(0) == 100 - 25
    assert place(is_left_handed=True).fret_x_px(0) == 1200 + 25


def test_fingers_stand_in_the_marks_only_where_they_fit_between_the_strings() -> None:
    line = exercise_from_line("A minor pentatonic, strings 1-2, positions 1, fours down")
    low = NeckPlace(Rect(100, 100, 1200, 150), 6, 22, 1.0)

    def fingers(neck: NeckPlace) -> set[str]:
        return {g.text for g in neck_glyphs(line, neck, METRICS) if isinstance(g, Text) and g.ink is Ink.GROUND}

    assert (fingers(place()), fingers(low)) == ({"1", "4"}, set())
