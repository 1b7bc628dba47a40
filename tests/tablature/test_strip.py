from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Extra, Match, Missed
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_exercise
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.tablature.glyphs import Arc, Cross, Ink, Line, Rect, Size, Text
from trainer.tablature.layout import practice_layout, system_layout
from trainer.tablature.state import TO_COME, NoteState
from trainer.tablature.strip import Strip
from trainer.tablature.systems import systems_of
from trainer.theory.technique import Technique

from .builders import EIGHTH, GUITAR, LAYOUT, METRICS, WIDE_METRICS, line_of, note, overlapping, row_of

MS = 1_000_000


def strip_of(exercise: Exercise) -> Strip:
    """On the layout of these tests."""
    return Strip(exercise, exercise.tempo, Tolerance(), LAYOUT, METRICS)


def extras_of(
    strip: Strip, *heard: tuple[int, int, int], starts_at_ns: int | None = 0
) -> list[tuple[str, float, float]]:
    """Texts and places of unwritten notes, given as (onset in ms, course, pitch)."""
    ledger, onsets = Ledger(), []
    for ordinal, (onset_ms, course, pitch) in enumerate(heard):
        ledger.fold(Extra(ordinal, onset_ms * MS, charged=True, settled=True))
        onsets.append(NoteOnset(ordinal, ordinal, onset_ms * MS, onset_ms * MS, course, pitch, 80))
    glyphs = strip.extras().glyphs(ledger, onsets, starts_at_ns, range(len(strip.xs_px) + 1))
    return [(glyph.text, glyph.x_px, glyph.y_px) for glyph in glyphs if isinstance(glyph, Text)]


def test_what_is_seen_is_what_lies_in_the_picture_and_a_margin_on_both_sides() -> None:
    strip = strip_of(row_of(64))

    seen = strip.seen(strip.xs_px[20])

    places_px = [strip.xs_px[index] - strip.xs_px[20] + LAYOUT.now_x_px for index in (*seen, seen[0] - 1, seen[-1] + 1)]
    assert all(-200 <= x_px <= 1200 for x_px in places_px[:-2])
    assert places_px[-2] < -200
    assert places_px[-1] > 1200


def test_every_note_is_counted_once_in_the_chunks() -> None:
    strip = strip_of(row_of(64))

    words = [
        glyph.text
        for number in strip.chunks_between(0, strip.xs_px[-1])
        for glyph in strip.chunk(number, with_marks=True)
        if isinstance(glyph, Text) and glyph.size is Size.BODY
    ]

    assert words == ["1", "e", "&", "a", "2", "e", "&", "a", "3", "e", "&", "a", "4", "e", "&", "a"] * 4


def test_an_unwritten_note_stands_at_its_time_on_its_string() -> None:
    strip = strip_of(line_of([note(0, fret=5), note(1, fret=7)]))

    assert extras_of(strip, (500, 3, 62)) == [("+7", strip.axis.x_px(Fraction(1, 2)), 200)]


def test_an_unwritten_note_keeps_clear_of_the_numbers_on_its_string() -> None:
    strip = strip_of(line_of([note(0, fret=5), note(1, fret=7)]))

    ((_, x_px, y_px),) = extras_of(strip, (990, 1, 72))

    assert (x_px, y_px) == (strip.xs_px[1] - 5 - 10, 100)


def test_where_it_does_not_fit_it_stands_under_its_string() -> None:
    strip = strip_of(line_of([note(Fraction(n, 16), fret=12) for n in range(2)]))
    strip.xs_px[1] = 24.0

    ((_, _, y_px),) = extras_of(strip, (10, 1, 84))

    assert y_px == 125


def test_at_the_players_own_pace_it_is_placed_from_the_note_before() -> None:
    strip, ledger = strip_of(line_of([note(0, fret=5), note(2, fret=7)])), Ledger()
    ledger.fold(Match(0, 0, 7_000 * MS, None, settled=True))
    ledger.fold(Extra(1, 7_500 * MS, charged=True, settled=True))
    onsets = [NoteOnset(0, 0, 7_000 * MS, 0, 1, 69, 80), NoteOnset(1, 1, 7_500 * MS, 0, 3, 62, 80)]

    (mark,) = strip.extras().glyphs(ledger, onsets, None, range(len(strip.xs_px) + 1))

    assert isinstance(mark, Text)
    assert mark.x_px == strip.axis.x_px(EIGHTH)


def test_a_slip_of_the_pickup_is_not_shown_as_the_players() -> None:
    strip, ledger = strip_of(line_of([note(0)])), Ledger()
    ledger.fold(Extra(0, 0, charged=False, settled=True))

    assert strip.extras().glyphs(ledger, [NoteOnset(0, 0, 0, 0, 1, 70, 80)], 0, range(2)) == ()


def test_of_a_chord_the_note_furthest_off_is_drawn_and_a_miss() -> None:
    strip = strip_of(line_of([note(0, course=1), note(0, course=2), note(0, course=3), note(1)]))
    states = [
        (0, NoteState(Match(0, 0, 0, 20 * MS, settled=True))),
        (1, NoteState(Missed(1, 0, 0, settled=True))),
        (2, NoteState(Match(1, 2, 0, -40 * MS, settled=True))),
    ]

    glyphs = strip.deviations(states)

    assert [glyph.text for glyph in glyphs if isinstance(glyph, Text)] == ["−40"]
    assert [glyph.ink for glyph in glyphs if isinstance(glyph, Cross)] == [Ink.MISSED]


@pytest.mark.parametrize("name", exercise_names())
def test_no_two_numbers_of_a_shipped_line_overlap_at_any_tempo(name: str) -> None:
    line = load_exercise(name).repeated(2)
    strip = Strip(line, Tempo(Fraction(400)), Tolerance(), LAYOUT, WIDE_METRICS)

    numbers = [
        (glyph.text, glyph.bounds(WIDE_METRICS))
        for index in range(len(line.notes))
        for glyph in strip.note(index, TO_COME)
        if isinstance(glyph, Text)
    ]

    near = [overlapping(numbers[start : start + 12]) for start in range(0, len(numbers), 6)]
    assert not any(near)


@pytest.mark.parametrize("strings", range(4, 9))
@pytest.mark.parametrize("size", [(1920, 1080), (1280, 720), (1024, 768)])
def test_the_parts_of_the_practice_picture_lie_one_below_the_other(strings: int, size: tuple[int, int]) -> None:
    layout = practice_layout(*size, strings, last_fret=24)
    time = layout.time

    rows = [
        layout.title_y_px,
        layout.subtitle_y_px,
        time.bracket_y_px,
        time.staff.top_px,
        time.staff.bottom_px,
        time.beam_y_px,
        time.strokes_y_px,
        time.fingers_y_px,
        time.count_y_px,
        time.trace.y_px(-1000),
        time.trace.zero_px,
        time.trace.y_px(1000),
        layout.neck.board.top_px,
        layout.neck.board.bottom_px,
        layout.figures_y_px,
        layout.keys_y_px,
        size[1],
    ]

    assert rows == sorted(rows)
    assert Rect(0, 0, *size).contains(layout.neck.board)


def test_a_line_breaks_into_systems_before_a_beat_and_loses_no_note() -> None:
    line = row_of(40)
    strip = Strip(line, line.tempo, Tolerance(), system_layout(900, len(GUITAR.open_pitches), 1), METRICS)

    systems = systems_of(strip, 900)

    assert [(system.first, system.last) for system in systems] == [(0, 11), (12, 23), (24, 35), (36, 39)]
    assert all(system.right_px - system.left_px <= 900 for system in systems)


def test_a_column_wider_than_the_system_still_gets_one() -> None:
    line = line_of([note(0, duration=Fraction(4)), note(4, duration=Fraction(4))], 8)
    strip = strip_of(line)

    systems = systems_of(strip, 100)

    assert [(system.first, system.last) for system in systems] == [(0, 0), (1, 1)]


def test_bars_of_rest_have_a_system_where_the_line_is_long() -> None:
    whole = Fraction(4)
    line = line_of([note(0, duration=whole), note(8, duration=whole)], 12)

    systems = systems_of(strip_of(line), 700)

    assert [(system.first, system.last) for system in systems] == [(0, 0), (1, 0), (1, 1)]


def test_a_rest_before_the_first_note_is_seen() -> None:
    line = line_of([note(EIGHTH)])
    strip = strip_of(line)

    (system,) = systems_of(strip, 900)

    assert system.left_px < strip.axis.x_px(0)


def test_a_system_begins_with_a_group_of_beams() -> None:
    line = replace(row_of(28, EIGHTH), meter=Meter(7, 8))
    strip = strip_of(line)

    systems = systems_of(strip, 900)

    assert [system.first % 7 for system in systems] == [0, 2, 4]


@pytest.mark.parametrize("name", exercise_names())
def test_no_bar_line_of_a_shipped_line_touches_a_number_or_a_rest(name: str) -> None:
    strip = Strip(load_exercise(name), Tempo(Fraction(100)), Tolerance(), LAYOUT, WIDE_METRICS)
    lines_px = set(strip._bar_lines_px())

    spans = [(strip.axis.x_px(one.onset_quarters), one.left_px, one.right_px) for one in strip.columns]

    assert [(at, x_px) for x_px, left_px, right_px in spans for at in lines_px if -left_px < at - x_px < right_px] == []


@pytest.mark.parametrize("technique", [Technique.HAMMER, Technique.SLIDE])
def test_what_joins_a_note_to_one_on_the_system_before_begins_within_its_own(technique: Technique) -> None:
    line = line_of([note(count * EIGHTH, technique=technique) for count in range(24)])
    strip = Strip(line, line.tempo, Tolerance(), system_layout(900, len(GUITAR.open_pitches), 1), METRICS)
    system = systems_of(strip, 900)[1]

    glyphs = strip.note(system.first, TO_COME, first=system.first)

    starts_px = [glyph.x1_px for glyph in glyphs if isinstance(glyph, Arc | Line)]
    assert len(starts_px) == 1
    assert system.left_px <= starts_px[0] < strip.xs_px[system.first]
