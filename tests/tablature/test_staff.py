from fractions import Fraction

import pytest

from trainer.following.verdict import Match, Missed, Slip, TechniqueResult, TechniqueVerdict, WrongNote
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Arc, Box, Cross, Dot, Ink, Line, Size, Text
from trainer.tablature.staff import (
    JoinStyle,
    extra_glyphs,
    join_glyphs,
    join_style,
    number_glyphs,
    source_index,
    staff_lines,
)
from trainer.tablature.state import TO_COME, NoteState
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

from .builders import METRICS, STAFF, note

AXIS = TimeAxis(400)
TWELVE = note(0, course=2, fret=12)


def test_the_strings_that_a_line_does_not_use_are_fainter() -> None:
    inks = [line.ink for line in staff_lines(STAFF, (1, 2), 0, 500)]

    assert inks == [Ink.LINE, Ink.LINE, Ink.FAINT, Ink.FAINT, Ink.FAINT, Ink.FAINT]


def test_a_note_to_come_is_its_number_on_its_string() -> None:
    glyphs = number_glyphs(TWELVE, TO_COME, 70, STAFF, METRICS)

    assert glyphs == (Text(70, 150, "12", Size.FRET, Ink.INK, on_ground=True),)


def test_a_note_played_as_written_has_a_bar_under_it() -> None:
    state = NoteState(Match(0, 0, 0, 0, settled=False))

    _, bar = number_glyphs(TWELVE, state, 70, STAFF, METRICS)

    assert bar == Box(60, 165, 80, 169, 2, Ink.AS_WRITTEN, light=True)


def test_a_missed_note_is_crossed_out_and_pale() -> None:
    number, cross = number_glyphs(TWELVE, NoteState(Missed(0, -1, 0, settled=True)), 70, STAFF, METRICS)

    assert number == Text(70, 150, "12", Size.FRET, Ink.MUTED, on_ground=True)
    assert cross == Cross(70, 150, 15, 15, 3, Ink.MISSED)


def test_a_wrong_pitch_shows_in_a_box_what_was_played() -> None:
    wrong = NoteState(WrongNote(0, 0, Slip.PITCH, 0, 0, settled=True), played=Location(2, 11))

    _, box, played = number_glyphs(TWELVE, wrong, 70, STAFF, METRICS)

    assert box == Box(58, 163, 82, 183, 4, Ink.SLIP, 2)
    assert played == Text(70, 173, "11", Size.SMALL, Ink.SLIP)


def test_a_wrong_string_shows_in_a_ring_on_that_string_what_was_played() -> None:
    wrong = NoteState(WrongNote(0, 0, Slip.STRING, 0, 0, settled=True), played=Location(1, 7))

    _, tie, _, ring, played = number_glyphs(TWELVE, wrong, 70, STAFF, METRICS)

    assert tie == Line(70, 135, 70, 114, 2, Ink.SLIP)
    assert ring == Dot(70, 100, 14, Ink.SLIP, 2)
    assert played == Text(70, 100, "7", Size.SMALL, Ink.SLIP)


def test_every_verdict_has_a_shape_of_its_own() -> None:
    played = Location(1, 7)
    verdicts: list[Match | Missed | WrongNote] = [
        Match(0, 0, 0, 0, settled=True),
        Missed(0, -1, 0, settled=True),
        WrongNote(0, 0, Slip.PITCH, 0, 0, settled=True),
        WrongNote(0, 0, Slip.STRING, 0, 0, settled=True),
    ]

    shapes = []
    for verdict in verdicts:
        glyphs = number_glyphs(TWELVE, NoteState(verdict, played=played), 70, STAFF, METRICS)
        shapes.append(tuple(type(glyph) for glyph in glyphs if not isinstance(glyph, Text)))

    assert shapes == [(Box,), (Cross,), (Box,), (Line, Dot, Dot)]
    filled, framed = (number_glyphs(TWELVE, NoteState(v, played=played), 70, STAFF, METRICS)[1] for v in verdicts[::2])
    assert isinstance(filled, Box)
    assert isinstance(framed, Box)
    assert (filled.width_px, framed.width_px) == (0, 2)


@pytest.mark.parametrize(
    ("result", "style"),
    [
        (None, JoinStyle(Ink.MUTED, 2)),
        (TechniqueResult.AS_WRITTEN, JoinStyle(Ink.AS_WRITTEN, 5)),
        (TechniqueResult.OTHERWISE, JoinStyle(Ink.SLIP, 4, gap_px=7)),
        (TechniqueResult.NOT_MEASURABLE, JoinStyle(Ink.MUTED, 2.5, dash_px=5)),
    ],
)
def test_a_slide_is_thin_to_come_thick_when_slid_broken_when_picked_dotted_when_untold(
    result: TechniqueResult | None, style: JoinStyle
) -> None:
    verdict = None if result is None else TechniqueVerdict(0, 0, Technique.SLIDE, None, result)

    assert join_style(verdict, 1) == style


def test_a_slide_up_rises_from_the_number_before_to_its_own() -> None:
    source = note(0, fret=5)
    slid = note(Fraction(1, 4), fret=12, technique=Technique.SLIDE)

    glyphs = join_glyphs(slid, source, AXIS, STAFF, JoinStyle(Ink.MUTED, 2), METRICS)

    assert glyphs[-1] == Line(9, 110, 86, 90, 2, Ink.MUTED)


def test_a_slide_down_falls() -> None:
    source = note(0, fret=12)
    slid = note(Fraction(1, 4), fret=5, technique=Technique.SLIDE)

    glyphs = join_glyphs(slid, source, AXIS, STAFF, JoinStyle(Ink.MUTED, 2), METRICS)

    assert glyphs[-1] == Line(14, 90, 91, 110, 2, Ink.MUTED)


def test_a_grace_note_stands_small_before_its_slide() -> None:
    slid = note(1, fret=12, technique=Technique.SLIDE, slide_from=Location(1, 10))

    grace, _, stroke = join_glyphs(slid, None, AXIS, STAFF, JoinStyle(Ink.MUTED, 2), METRICS)

    assert grace == Text(359, 100, "10", Size.SMALL, Ink.INK, on_ground=True)
    assert stroke == Line(368, 110, 386, 90, 2, Ink.MUTED)


def test_a_hammer_on_is_a_slur_with_its_letter_from_the_note_before() -> None:
    source, hammered = note(0), note(Fraction(1, 4), fret=8, technique=Technique.HAMMER)

    slur, letter = join_glyphs(hammered, source, AXIS, STAFF, JoinStyle(Ink.MUTED, 2), METRICS)

    assert slur == Arc(0, 100, 86, 9, 2, Ink.MUTED)
    assert letter == Text(50, 77, "h", Size.SMALL, Ink.MUTED, on_ground=True)


def test_a_slur_starts_on_the_note_before_on_its_own_string() -> None:
    notes = (note(0, course=1), note(1, course=2), note(2, course=1, technique=Technique.PULL))

    assert source_index(notes, 2) == 0
    assert source_index(notes, 1) is None


def test_an_unwritten_note_has_a_plus_sign_on_its_string() -> None:
    assert extra_glyphs("9", 33, 3, STAFF) == (Text(33, 200, "+9", Size.SMALL, Ink.SLIP, on_ground=True),)
