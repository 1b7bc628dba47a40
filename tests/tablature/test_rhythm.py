from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import pytest

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.meter import Meter
from trainer.score.notation import rhythm_bars_of
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Arc, Box, Dot, Glyph, Line, Text
from trainer.tablature.rhythm import rhythm_pieces

from .builders import EIGHTH, LAYOUT, METRICS, QUARTER, SIXTEENTH, line_of, note, row_of

AXIS = TimeAxis(400)
BEAM_PX = LAYOUT.beam_y_px


def glyphs_of(line: Exercise, bar: int = 0) -> list[Glyph]:
    """The rhythm of one bar, 400 pixels a quarter; the outermost beam lies at 400."""
    pieces = rhythm_pieces(rhythm_bars_of(line)[bar], line.meter, AXIS, LAYOUT, METRICS)
    return [glyph for _, glyphs in pieces for glyph in glyphs]


def notes_of(*lengths: Fraction | int) -> list[ScoreNote]:
    """Notes one after the other; a negative length is a rest."""
    notes, now = [], Fraction(0)
    for length in map(Fraction, lengths):
        if length > 0:
            notes.append(note(now, duration=length))
        now += abs(length)
    return notes


def stems_of(glyphs: Sequence[Glyph]) -> list[tuple[float, float]]:
    """Where each stem stands, and how long it is."""
    uprights = [g for g in glyphs if isinstance(g, Line) and g.x1_px == g.x2_px and g.y2_px == BEAM_PX]
    return [(line.x1_px, line.y2_px - line.y1_px) for line in uprights]


def beams_of(glyphs: Sequence[Glyph]) -> list[tuple[float, float, float]]:
    """The level strokes from the end of the stems up: beams and flags."""
    levels = [g for g in glyphs if isinstance(g, Line) and g.y1_px == g.y2_px and g.width_px == 4]
    return [(line.x1_px, line.x2_px, line.y1_px) for line in levels]


def figures_of(glyphs: Sequence[Glyph]) -> list[tuple[str, float, float]]:
    return [(glyph.text, round(glyph.x_px, 6), glyph.y_px) for glyph in glyphs if isinstance(glyph, Text)]


def test_a_beat_of_sixteenths_has_four_stems_and_two_beams_through_all() -> None:
    glyphs = glyphs_of(line_of(notes_of(*[SIXTEENTH] * 4, 3)))

    assert stems_of(glyphs)[:4] == [(0, 19), (100, 19), (200, 19), (300, 19)]
    assert beams_of(glyphs) == [(0, 300, 400), (0, 300, 393)]


def test_two_sixteenths_before_an_eighth_share_their_second_beam() -> None:
    glyphs = glyphs_of(line_of(notes_of(SIXTEENTH, SIXTEENTH, EIGHTH, 3)))

    assert beams_of(glyphs) == [(0, 200, 400), (0, 100, 393)]


def test_a_lone_sixteenth_after_a_dotted_eighth_has_a_stub_to_its_left() -> None:
    glyphs = glyphs_of(line_of(notes_of(3 * SIXTEENTH, SIXTEENTH, 3)))

    assert beams_of(glyphs) == [(0, 300, 400), (288, 300, 393)]


def test_a_note_that_stands_alone_has_flags() -> None:
    glyphs = glyphs_of(line_of(notes_of(SIXTEENTH, -3 * SIXTEENTH, 3)))

    assert beams_of(glyphs) == [(0, 12, 400), (0, 12, 393)]


def test_a_half_note_has_half_a_stem_and_a_whole_note_none() -> None:
    halves, whole = (glyphs_of(line_of(notes_of(*lengths))) for lengths in ((2, 2), (4,)))

    assert [length for _, length in stems_of(halves)] == [10, 10]
    assert whole == []


def test_notes_due_together_share_a_stem() -> None:
    line = line_of([note(0, 1, duration=QUARTER), note(0, 2, duration=QUARTER), note(1, duration=Fraction(3))])

    assert [x_px for x_px, _ in stems_of(glyphs_of(line))] == [0, 400]


@pytest.mark.parametrize(("notes_a_beat", "figure"), [(2, None), (3, 3), (4, None), (5, 5), (6, 6), (7, 7), (8, None)])
def test_an_odd_division_has_its_figure_on_its_beam(notes_a_beat: int, figure: int | None) -> None:
    glyphs = glyphs_of(row_of(4 * notes_a_beat, Fraction(1, notes_a_beat)))

    middle_px = 200 * (notes_a_beat - 1) / notes_a_beat
    expected = [] if figure is None else [(str(figure), round(middle_px, 6), 401)]
    assert figures_of(glyphs)[:1] == expected


@pytest.mark.parametrize(
    "lengths",
    [
        [Fraction(2, 3), Fraction(1, 3)],
        [-Fraction(1, 3), Fraction(1, 3), Fraction(1, 3)],
    ],
)
def test_a_tuplet_that_no_beam_joins_has_a_bracket(lengths: list[Fraction]) -> None:
    glyphs = glyphs_of(line_of(notes_of(*lengths, 3)))

    last_px = 400 * float(sum(abs(length) for length in lengths[:-1]))
    brackets = [g for g in glyphs if isinstance(g, Line) and g.y1_px == g.y2_px == 411]
    assert (brackets[0].x1_px, round(brackets[-1].x2_px, 6)) == (-7, round(last_px + 7, 6))
    assert [round(line.x2_px - last_px / 2, 6) for line in brackets[:1]] == [-2.5 - 5]
    assert figures_of(glyphs) == [("3", round(last_px / 2, 6), 411)]


def test_a_note_over_the_bar_line_is_tied_to_a_stem_of_its_own() -> None:
    line = line_of(notes_of(3, 2, 3), 8)

    first, second = glyphs_of(line, 0), glyphs_of(line, 1)

    ties = [(arc.x1_px, arc.x2_px) for arc in first if isinstance(arc, Arc)]
    assert ties == [(1200 + 7, 1600 - 7)]
    assert stems_of(second)[0] == (1600, 19)


@pytest.mark.parametrize(("rest", "discs"), [(EIGHTH, 1), (SIXTEENTH, 2), (SIXTEENTH / 2, 3)])
def test_a_short_rest_has_a_disc_for_each_flag(rest: Fraction, discs: int) -> None:
    glyphs = glyphs_of(line_of(notes_of(-rest, *[rest] * int(1 / rest - 1), 3)))

    assert sum(isinstance(glyph, Dot) for glyph in glyphs) == discs + 1  # the last note is a dotted half


@pytest.mark.parametrize("lengths", [[-2, 2], [2, -2]])
def test_a_half_rest_sits_on_its_line(lengths: list[int]) -> None:
    (box,) = [glyph for glyph in glyphs_of(line_of(notes_of(*lengths))) if isinstance(glyph, Box)]

    assert (box.top_px, box.bottom_px) == (BEAM_PX - 9 - 7, BEAM_PX - 9)


def test_a_quarter_rest_is_a_zigzag() -> None:
    glyphs = glyphs_of(line_of(notes_of(-1, 3)))

    slants = [g for g in glyphs if isinstance(g, Line) and g.x1_px != g.x2_px and g.y1_px != g.y2_px]
    assert len(slants) == 5
    assert all(one.x2_px == other.x1_px for one, other in pairwise(slants))


def test_a_dotted_rest_has_a_dot_at_its_right() -> None:
    glyphs = glyphs_of(line_of(notes_of(SIXTEENTH, -3 * SIXTEENTH, 3)))

    dots = [(dot.x_px, dot.y_px) for dot in glyphs if isinstance(dot, Dot)]
    assert (100 + 13, BEAM_PX - 9 - 3) in dots


def test_rests_stay_within_the_row_of_the_stems() -> None:
    glyphs = glyphs_of(line_of(notes_of(Fraction(1, 8), -Fraction(1, 8), -SIXTEENTH, -EIGHTH, -1, -2, 4), 8))

    lines = [glyph for glyph in glyphs if isinstance(glyph, Line)]
    assert min(min(line.y1_px, line.y2_px) for line in lines) >= BEAM_PX - 9 - 12
    assert max(max(line.y1_px, line.y2_px) for line in lines) <= BEAM_PX - 9 + 12


@pytest.mark.parametrize("meter", [Meter(), Meter(3, 4), Meter(7, 8)])
def test_a_bar_without_a_note_has_a_whole_rest_in_its_middle(meter: Meter) -> None:
    bar = meter.bar_quarters
    whole = note(0, duration=bar), note(2 * bar, duration=bar)
    line = Exercise("line", "Line", line_of(whole).tuning, line_of(whole).tempo, whole, meter, 3 * bar)

    (box,) = [glyph for glyph in glyphs_of(line, 1) if isinstance(glyph, Box)]

    assert (box.left_px + box.right_px) / 2 == 400 * bar * Fraction(3, 2)
    assert box.top_px == BEAM_PX - 9
