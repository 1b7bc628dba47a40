from fractions import Fraction

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Match, Missed
from trainer.score.tempo import Tempo
from trainer.tablature.glyphs import Arrow, Box, Cross, Dot, Ink, Line, Size, Text
from trainer.tablature.state import TO_COME, NoteState
from trainer.tablature.trace import (
    Spread,
    Window,
    column_edges_px,
    deviation_glyphs,
    signed_ms,
    spread_glyphs,
    spread_of,
    windows,
)

from .builders import METRICS, SIXTEENTH, TRACE, line_of, note, row_of

WINDOW = Window(hit_ms=50, shown_ms=6)
PLAYED = NoteState(Match(0, 0, 0, 0, settled=True))


def test_the_hit_window_is_fifty_ms_while_half_the_interval_is_longer() -> None:
    limits = windows(row_of(16, SIXTEENTH), Tempo(Fraction(60)), Tolerance())

    assert set(limits) == {Window(hit_ms=50.0, shown_ms=6.25)}


def test_the_hit_window_is_half_the_interval_where_that_is_shorter() -> None:
    limits = windows(row_of(16, SIXTEENTH), Tempo(Fraction(200)), Tolerance())

    assert set(limits) == {Window(hit_ms=37.5, shown_ms=6.0)}


def test_the_nearer_neighbour_limits_a_notes_window() -> None:
    line = line_of([note(0), note(1), note(Fraction(17, 16))])

    limits = windows(line, Tempo(Fraction(60)), Tolerance())

    assert [limit.hit_ms for limit in limits] == [50.0, 31.25, 31.25]


def test_what_a_listener_does_not_hear_is_a_round_dot_without_a_figure() -> None:
    for deviation_ms in (-6.0, 0.0, 6.0):
        glyphs = deviation_glyphs(PLAYED, deviation_ms, WINDOW, 10, TRACE, METRICS)

        assert glyphs == (Dot(10, 600 + deviation_ms, 7, Ink.AS_WRITTEN),)


def test_late_is_an_arrow_downwards_with_its_figure_under_it() -> None:
    arrow, figure = deviation_glyphs(PLAYED, 31.0, WINDOW, 10, TRACE, METRICS)

    assert arrow == Arrow(10, 600, 10, 631, 4, 9, Ink.SLIP)
    assert figure == Text(10, 641, "+31", Size.SMALL, Ink.SLIP, on_ground=True)


def test_early_is_an_arrow_upwards_with_its_figure_over_it() -> None:
    arrow, figure = deviation_glyphs(PLAYED, -6.1, WINDOW, 10, TRACE, METRICS)

    assert arrow == Arrow(10, 600, 10, 586, 4, 9, Ink.SLIP)
    assert figure == Text(10, 576, "−6", Size.SMALL, Ink.SLIP, on_ground=True)


def test_an_arrow_longer_than_the_trace_ends_at_its_edge_and_says_how_long_it_is() -> None:
    arrow, figure = deviation_glyphs(PLAYED, 400.0, WINDOW, 10, TRACE, METRICS)

    assert isinstance(arrow, Arrow)
    assert isinstance(figure, Text)
    assert (arrow.y2_px, figure.text) == (654, "+400")


def test_a_missed_note_is_a_cross_on_the_zero_line_light_until_it_is_settled() -> None:
    open_miss, settled = Missed(0, -1, 0, settled=False), Missed(0, -1, 0, settled=True)

    glyphs = [deviation_glyphs(NoteState(miss), None, WINDOW, 10, TRACE, METRICS) for miss in (open_miss, settled)]

    assert glyphs == [
        (Cross(10, 600, 8, 8, 3, Ink.MISSED, light=True),),
        (Cross(10, 600, 8, 8, 3, Ink.MISSED),),
    ]


def test_a_note_to_come_and_one_without_a_due_time_leave_no_mark() -> None:
    assert deviation_glyphs(TO_COME, None, WINDOW, 10, TRACE, METRICS) == ()
    assert deviation_glyphs(PLAYED, None, WINDOW, 10, TRACE, METRICS) == ()


def test_a_spread_is_the_middle_half_from_three_passes_on() -> None:
    assert spread_of([1.0, 2.0]) is None
    assert spread_of([0.0, 10.0, 20.0, 30.0, 40.0]) == Spread(10.0, 20.0, 30.0)


def test_a_band_reaches_from_quartile_to_quartile_and_is_ticked_at_the_median() -> None:
    band, tick = spread_glyphs(Spread(-10, 5, 20), 100, TRACE)

    assert band == Box(91, 590, 109, 620, 4, Ink.BAND)
    assert tick == Line(88, 605, 112, 605, 2, Ink.MUTED)


def test_the_sign_of_a_deviation_is_always_written_but_for_zero() -> None:
    assert [signed_ms(ms) for ms in (-12.4, -0.4, 0.0, 0.6, 3.0)] == ["−12", "0", "0", "+1", "+3"]


def test_columns_meet_half_way_between_their_notes() -> None:
    edges = column_edges_px([0.0, 100.0, 100.0, 140.0], 200.0)

    assert edges == {0.0: (-50.0, 50.0), 100.0: (50.0, 120.0), 140.0: (120.0, 170.0)}
