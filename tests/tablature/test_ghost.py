import pytest

from trainer.following.verdict import Match, Missed, Slip, WrongNote
from trainer.tablature.ghost import Ghost, GhostChoice, ghost_glyphs, nobody_words
from trainer.tablature.glyphs import Box, Cross, Dot, Ink, Line
from trainer.tablature.state import TO_COME, NoteState

from .builders import TRACE

MS = 1_000_000


def matched(deviation_ms: float | None) -> NoteState:
    deviation_ns = None if deviation_ms is None else round(deviation_ms * MS)
    return NoteState(Match(0, 0, 0, deviation_ns, settled=True))


def test_a_ghost_that_was_late_is_a_ring_on_a_stem_under_the_zero_line_beside_the_note() -> None:
    stem, ring = ghost_glyphs(matched(30), 200, TRACE)

    assert ring == Dot(218, 630, 6, Ink.GHOST, 2)
    assert stem == Line(218, 600, 218, 624, 2, Ink.GHOST)


def test_one_in_time_has_no_stem_and_one_far_off_ends_at_the_edge() -> None:
    assert ghost_glyphs(matched(-6), 200, TRACE) == (Dot(218, 594, 6, Ink.GHOST, 2),)
    assert ghost_glyphs(matched(-500), 200, TRACE)[1] == Dot(218, 546, 6, Ink.GHOST, 2)


def test_another_note_is_a_box_and_a_missed_one_a_cross() -> None:
    wrong = NoteState(WrongNote(0, 0, Slip.PITCH, 0, 0, settled=True))
    missed = NoteState(Missed(0, -1, 0, settled=True))

    assert ghost_glyphs(wrong, 200, TRACE) == (Box(212, 594, 224, 606, 1, Ink.GHOST, 2),)
    assert ghost_glyphs(missed, 200, TRACE) == (Cross(218, 600, 6, 6, 2, Ink.GHOST),)


@pytest.mark.parametrize("state", [TO_COME, matched(None)])
def test_without_a_time_there_is_no_mark(state: NoteState) -> None:
    assert ghost_glyphs(state, 200, TRACE) == ()


def test_the_choices_go_round_and_say_what_they_mean() -> None:
    ghost = Ghost({0: TO_COME, 1: TO_COME}, 1, 84.0, "2026-11-20T10:00:00")

    assert [choice.following for choice in GhostChoice] == [GhostChoice.LAST, GhostChoice.BEST, GhostChoice.OFF]
    assert ghost.words(GhostChoice.BEST) == (
        "ghost: best pass (most notes as written, then fastest), 1 of 2 as written at ♩ = 84, 2026-11-20"
    )
    assert [nobody_words(choice) for choice in (GhostChoice.OFF, GhostChoice.LAST)] == [
        "",
        "ghost: no whole pass of this line is kept yet",
    ]
