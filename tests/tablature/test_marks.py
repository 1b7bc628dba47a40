from fractions import Fraction

from trainer.score.counting import counted_moments
from trainer.score.meter import Meter
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Ink, Text
from trainer.tablature.marks import count_glyphs, mark_glyphs

from .builders import LAYOUT, METRICS, note


def counted(onsets: list[Fraction], px_per_quarter: float) -> list[tuple[str, Ink]]:
    words = counted_moments(onsets, Meter(), Fraction(2))
    return [(g.text, g.ink) for g in count_glyphs(words, Meter(), TimeAxis(px_per_quarter), LAYOUT, METRICS)]


def test_the_fingers_of_a_chord_stand_side_by_side() -> None:
    chord = [note(0, course=1, finger=3), note(0, course=2, finger=4), note(0, course=3, finger=4)]

    (fingers,) = mark_glyphs(chord, 50, LAYOUT)

    assert isinstance(fingers, Text)
    assert (fingers.text, fingers.x_px, fingers.y_px) == ("3 4", 50, 440)


def test_a_beat_without_a_note_is_counted_in_brackets() -> None:
    assert counted([Fraction(0), Fraction(3, 2)], 200) == [("1", Ink.INK), ("(2)", Ink.MUTED), ("&", Ink.MUTED)]


def test_it_is_left_out_where_it_would_touch_the_count_of_a_note() -> None:
    assert counted([Fraction(0), Fraction(3, 2)], 50) == [("1", Ink.INK), ("&", Ink.MUTED)]
