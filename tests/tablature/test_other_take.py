import pytest

from trainer.following.verdict import Match, Missed, Slip, TechniqueResult, TechniqueVerdict, WrongNote
from trainer.tablature.glyphs import Box, Cross, Dot, Glyph, Ink, Line, Size, Text
from trainer.tablature.other_take import verdict_glyphs, worst_of
from trainer.tablature.state import TO_COME, NoteState
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

from .builders import METRICS

MATCHED = Match(0, 0, 0, 0, settled=True)
PICKED = TechniqueVerdict(0, 0, Technique.SLIDE, Technique.PICK, TechniqueResult.OTHERWISE)
CLEAN = NoteState(MATCHED)
OTHERWISE = NoteState(MATCHED, PICKED)
PITCH = NoteState(WrongNote(0, 0, Slip.PITCH, 0, 0, settled=True), played=Location(2, 12))
STRING = NoteState(WrongNote(0, 0, Slip.STRING, 0, 0, settled=True), played=Location(3, 7))
MISSED = NoteState(Missed(0, -1, 0, settled=True))


@pytest.mark.parametrize(
    ("state", "marks"),
    [
        (CLEAN, (Line(87, 50, 113, 50, 4, Ink.AS_WRITTEN),)),
        (OTHERWISE, (Line(87, 50, 113, 50, 4, Ink.SLIP, gap_px=7),)),
        (PITCH, (Box(87, 37, 113, 63, 3, Ink.SLIP, 2), Text(100, 50, "12", Size.SMALL, Ink.SLIP))),
        (STRING, (Dot(100, 50, 13, Ink.SLIP, 2), Text(100, 50, "7", Size.SMALL, Ink.SLIP))),
        (MISSED, (Cross(100, 50, 9, 9, 3, Ink.MISSED),)),
        (TO_COME, ()),
    ],
)
def test_a_verdict_has_the_shape_that_it_has_on_the_staff(state: NoteState, marks: tuple[Glyph, ...]) -> None:
    assert verdict_glyphs(state, 100, 50, 1, METRICS) == marks


def test_of_a_chord_the_worst_counts() -> None:
    in_order = [TO_COME, CLEAN, OTHERWISE, PITCH, MISSED]

    assert [worst_of(in_order[: count + 1]) for count in range(5)] == in_order
