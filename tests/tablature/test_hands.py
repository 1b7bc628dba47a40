from fractions import Fraction

from trainer.score.library import load_exercise
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Anchor, Arrow, Dot, Ink, Line, Rect, Text
from trainer.tablature.hands import Bracket, Shift, bracket_of, hand_at, hand_glyphs, hands_of, shift_between
from trainer.tablature.layout import NeckPlace
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

from .builders import METRICS, line_of, note

NECK = NeckPlace(Rect(100, 800, 1300, 940), strings=6, last_fret=24, unit=1)
TWO_POSITIONS = line_of(
    [
        note(0, 1, 8, position=1, finger=4),
        note(1, 1, 5, position=1, finger=1),
        note(2, 1, 10, position=2, technique=Technique.SLIDE, slide_from=Location(1, 8)),
        note(3, 1, 8, position=2),
    ]
)


def test_a_line_is_cut_where_the_position_changes() -> None:
    hands = hands_of(TWO_POSITIONS)

    assert [(hand.first, hand.last, hand.name, hand.number) for hand in hands] == [
        (0, 1, "position 1", "1"),
        (2, 3, "position 2", "2"),
    ]
    assert hands[0].fingers == ((Location(1, 5), 1), (Location(1, 8), 4))


def test_a_line_without_positions_is_cut_by_its_bars() -> None:
    line = line_of([note(0), note(3), note(4)], 8)

    assert [(hand.name, hand.first, hand.last) for hand in hands_of(line)] == [("bar 1", 0, 1), ("bar 2", 2, 2)]


def test_the_hand_of_a_note_is_the_stretch_that_it_lies_in() -> None:
    hands = hands_of(TWO_POSITIONS)

    assert [hand_at(hands, index) for index in range(4)] == [0, 0, 1, 1]


def test_a_slid_shift_goes_from_the_grace_note_to_the_slid_one() -> None:
    present, following = hands_of(TWO_POSITIONS)

    assert shift_between(TWO_POSITIONS, present, following) == Shift(8, 10, is_slide=True)


def test_any_other_shift_goes_from_lowest_to_lowest_fret() -> None:
    line = line_of([note(0, fret=8, position=1), note(1, fret=5, position=1), note(2, fret=7, position=2)])
    present, following = hands_of(line)

    assert shift_between(line, present, following) == Shift(5, 7, is_slide=False)


def test_a_fret_lies_between_its_wires_and_an_open_string_left_of_the_nut() -> None:
    assert NECK.wire_x_px(12) == 700
    assert NECK.fret_x_px(12) == 675
    assert NECK.fret_x_px(0) == 75
    assert NECK.string_y_px(6) == 940


def test_the_present_position_is_filled_the_next_in_outline_and_the_note_due_in_its_own_colour() -> None:
    present, following = hands_of(TWO_POSITIONS)

    glyphs = hand_glyphs(TWO_POSITIONS, present, following, TWO_POSITIONS.notes[0], NECK)

    dots = [(dot.x_px, dot.ink, dot.width_px) for dot in glyphs if isinstance(dot, Dot) and dot.ink is not Ink.GROUND]
    assert dots == [(575, Ink.MUTED, 2.5), (325, Ink.INK, 0), (475, Ink.NOW, 0)]
    assert [text.text for text in glyphs if isinstance(text, Text)] == ["1", "4", "slide"]
    assert [(arrow.x1_px, arrow.x2_px) for arrow in glyphs if isinstance(arrow, Arrow)] == [(475, 575)]


def test_a_bracket_reaches_a_little_past_its_notes() -> None:
    bracket = bracket_of(TWO_POSITIONS, hands_of(TWO_POSITIONS)[0], TimeAxis(100), 50, 1)

    assert (bracket.left_px, bracket.right_px) == (-26, 126)
    assert bracket.lines(1, Ink.INK)[0] == Line(-26, 50, 126, 50, 2, Ink.INK)


def test_a_bracket_too_short_for_its_words_says_only_the_number() -> None:
    wide, narrow = (bracket_of(TWO_POSITIONS, hands_of(TWO_POSITIONS)[0], TimeAxis(w), 50, 1) for w in (100, 10))

    words = [bracket.word(bracket.left_px, 1, Ink.INK, METRICS).text for bracket in (wide, narrow)]

    assert words == ["position 1", "1"]


def test_the_word_of_a_bracket_stays_in_sight_until_the_bracket_ends() -> None:
    bracket = Bracket(0, 300, 50, "position 1", "1")

    words = [bracket.word(least_px, 1, Ink.INK, METRICS) for least_px in (-50, 120, 200, 201)]

    assert [(word.x_px, word.anchor) for word in words] == [
        (0, Anchor.LEFT),
        (120, Anchor.LEFT),
        (200, Anchor.LEFT),
        (300, Anchor.RIGHT),
    ]


def test_notes_at_one_place_keep_the_finger_that_is_written_once() -> None:
    line = line_of([note(0, fret=5, position=1), note(Fraction(1), fret=5, position=1, finger=2)])

    assert hands_of(line)[0].fingers == ((Location(1, 5), 2),)


def test_a_hand_that_goes_on_in_the_same_position_an_octave_away_has_moved() -> None:
    exercise = load_exercise("two-gates").repeated(2)

    hands = hands_of(exercise)

    meeting = next(number for number, hand in enumerate(hands) if hand.first == len(exercise.notes) // 2)
    assert hands[meeting - 1].name == hands[meeting].name == "position 4"
    assert shift_between(exercise, hands[meeting - 1], hands[meeting]) == Shift(19, 7, is_slide=False)
