from fractions import Fraction

import pytest

from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Line, Text
from trainer.tablature.rhythm import beam_glyphs, beams_of, beats_of, mark_glyphs, tuplet_of

from .builders import EIGHTH, LAYOUT, SIXTEENTH, line_of, note, row_of

AXIS = TimeAxis(400)


@pytest.mark.parametrize(
    ("duration", "beams"),
    [
        (Fraction(2), 0),
        (Fraction(1), 0),
        (Fraction(3, 4), 1),
        (Fraction(1, 2), 1),
        (Fraction(1, 3), 1),
        (Fraction(2, 3), 0),
        (Fraction(1, 4), 2),
        (Fraction(1, 5), 2),
        (Fraction(1, 6), 2),
        (Fraction(1, 7), 2),
        (Fraction(1, 8), 3),
    ],
)
def test_a_notes_length_alone_says_how_many_beams_it_has(duration: Fraction, beams: int) -> None:
    assert beams_of(duration) == beams


@pytest.mark.parametrize(("notes_a_beat", "figure"), [(2, None), (3, 3), (4, None), (5, 5), (6, 6), (7, 7), (8, None)])
def test_an_odd_division_has_its_figure(notes_a_beat: int, figure: int | None) -> None:
    beat = beats_of(row_of(notes_a_beat, Fraction(1, notes_a_beat)))[0]

    assert tuplet_of(beat) == figure


def test_a_beat_of_sixteenths_has_four_stems_and_two_beams_through_all() -> None:
    beat = beats_of(row_of(4))[0]

    glyphs = beam_glyphs(beat, AXIS, LAYOUT)

    lines = [glyph for glyph in glyphs if isinstance(glyph, Line)]
    assert [line.x1_px for line in lines if line.x1_px == line.x2_px] == [0, 100, 200, 300]
    assert [(line.x1_px, line.x2_px, line.y1_px) for line in lines if line.x1_px != line.x2_px] == [
        (0, 300, 400),
        (0, 300, 393),
    ]


def test_two_sixteenths_before_an_eighth_share_their_second_beam() -> None:
    line = line_of([note(0), note(SIXTEENTH), note(EIGHTH, duration=EIGHTH)])

    glyphs = beam_glyphs(beats_of(line)[0], AXIS, LAYOUT)

    beams = [(g.x1_px, g.x2_px, g.y1_px) for g in glyphs if isinstance(g, Line) and g.x1_px != g.x2_px]
    assert beams == [(0, 200, 400), (0, 100, 393)]


def test_a_lone_sixteenth_after_a_dotted_eighth_has_a_stub_to_its_left() -> None:
    line = line_of([note(0, duration=Fraction(3, 4)), note(Fraction(3, 4))])

    glyphs = beam_glyphs(beats_of(line)[0], AXIS, LAYOUT)

    beams = [(g.x1_px, g.x2_px, g.y1_px) for g in glyphs if isinstance(g, Line) and g.x1_px != g.x2_px]
    assert beams == [(0, 300, 400), (288, 300, 393)]


def test_notes_due_together_share_a_stem() -> None:
    line = line_of([note(0, course=1), note(0, course=2), note(1)])

    assert [len(beat) for beat in beats_of(line)] == [1, 1]


def test_the_fingers_of_a_chord_stand_side_by_side() -> None:
    chord = [note(0, course=1, finger=3), note(0, course=2, finger=4), note(0, course=3, finger=4)]

    (fingers,) = mark_glyphs(chord, 50, LAYOUT)

    assert isinstance(fingers, Text)
    assert (fingers.text, fingers.x_px, fingers.y_px) == ("3 4", 50, 440)
