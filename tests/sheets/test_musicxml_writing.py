import tempfile
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.score.recipes import TABLES
from tests.sheets.returning import through_a_file, written
from tests.sheets.test_text_tablature import line
from trainer.score.compose import compose
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.library import exercise_names, load_exercise
from trainer.score.meter import Meter
from trainer.score.musicxml_reading import read_musicxml
from trainer.score.recipe import Recipe
from trainer.sheets import musicxml_writing
from trainer.sheets.musicxml_head import decimal, printable
from trainer.sheets.musicxml_writing import musicxml
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import TUNINGS


def returned(exercise: Exercise) -> Exercise:
    with tempfile.TemporaryDirectory() as folder:
        return through_a_file(musicxml(exercise), f"{exercise.name}.musicxml", read_musicxml, Path(folder))


def assert_returns(exercise: Exercise) -> None:
    back = returned(exercise)

    assert written(back) == written(exercise)
    assert back.tuning.open_pitches == exercise.tuning.open_pitches
    assert back.meter == exercise.meter
    assert back.length_quarters == exercise.length_quarters


@pytest.mark.parametrize("name", exercise_names())
def test_a_shipped_exercise_comes_back_the_same(name: str) -> None:
    exercise = load_exercise(name)

    assert_returns(exercise)
    assert returned(exercise).tempo == exercise.tempo
    assert returned(exercise).title == exercise.title
    assert returned(exercise).name == exercise.name


@given(TABLES)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
def test_every_recipe_that_compiles_comes_back_the_same(table: dict[str, object]) -> None:
    try:
        exercise = compose(Recipe.model_validate(table), "line")
    except Unplayable:
        return

    assert_returns(exercise)


def one_fret_higher(technical: Element, location: Location) -> None:
    add_place(technical, Location(location.course, location.fret + 1))


def without_finger(technical: Element, note: ScoreNote, *, is_begun: bool) -> None:
    add_hands(technical, replace(note, finger=None), is_begun=is_begun)


def not_at_all(*_: object) -> None:
    pass


add_place, add_hands = musicxml_writing._add_place, musicxml_writing._add_hands


@pytest.mark.parametrize(
    ("step", "broken"), [("_add_place", one_fret_higher), ("_add_hands", without_finger), ("_add_end", not_at_all)]
)
def test_a_writer_with_one_broken_step_is_found_out(
    monkeypatch: pytest.MonkeyPatch, step: str, broken: Callable[..., None]
) -> None:
    exercise = load_exercise("quarry-steps-legato")
    assert_returns(exercise)

    monkeypatch.setattr(musicxml_writing, step, broken)

    with pytest.raises(AssertionError):
        assert_returns(exercise)


def free_notes(lengths: st.SearchStrategy[Fraction]) -> st.SearchStrategy[list[ScoreNote]]:
    """Notes of any length on three strings, each string by itself: they overlap as they like."""

    def string(course: int, spans: list[tuple[Fraction, bool, int]]) -> list[ScoreNote]:
        notes, now = [], Fraction(0)
        for length, is_rest, fret in spans:
            if not is_rest:
                location = Location(course, fret)
                notes.append(ScoreNote(now, length, location, TUNINGS["standard"].pitch_at(location)))
            now += length
        return notes

    spans = st.lists(st.tuples(lengths, st.booleans(), st.integers(0, 24)), min_size=1, max_size=6)
    strings = [spans.map(lambda found, course=course: string(course, found)) for course in (1, 2, 5)]
    return st.tuples(*strings).map(
        lambda rows: sorted(
            (note for row in rows for note in row), key=lambda note: (note.onset_quarters, -note.course)
        )
    )


lengths = st.builds(Fraction, st.integers(1, 12), st.sampled_from([1, 2, 3, 4, 5, 6, 7, 8, 12, 16, 480]))


@given(free_notes(lengths), st.sampled_from([Meter(), Meter(6, 8), Meter(7, 8), Meter(5, 4), Meter(2, 2)]))
@settings(max_examples=200, deadline=None)
def test_notes_of_any_length_on_any_strings_come_back_the_same(notes: list[ScoreNote], meter: Meter) -> None:
    if not notes:
        return
    end = max(note.onset_quarters + note.duration_quarters for note in notes)
    exercise = replace(
        line("1/0"), notes=tuple(notes), meter=meter, length_quarters=-(-end // meter.bar_quarters) * meter.bar_quarters
    )

    assert_returns(exercise)


def test_a_slide_out_of_a_grace_note_is_a_grace_note_with_a_slide() -> None:
    document = musicxml(line("s5>1/7")).decode()

    assert document.count("<grace ") == 2  # one on each staff
    assert document.count("<slide ") == 4
    assert returned(line("s5>1/7")).notes[0].slide_from == Location(1, 5)


def test_two_strings_that_slide_at_once_keep_their_own_frets() -> None:
    picked = line("2/5", "1/3").notes
    slid = [
        replace(note, onset_quarters=Fraction(0), technique=Technique.SLIDE, slide_from=Location(note.course, begin))
        for note, begin in zip(picked, (7, 1), strict=True)
    ]

    assert_returns(replace(line("1/0"), notes=tuple(slid)))


def test_a_technique_over_a_tie_begins_where_the_first_note_ends() -> None:
    first, second = line("1/5", "h1/7").notes
    held = replace(first, onset_quarters=Fraction(3), duration_quarters=Fraction(3, 2))
    hammered = replace(second, onset_quarters=Fraction(9, 2), duration_quarters=Fraction(7, 2))

    assert_returns(replace(line("1/0"), notes=(held, hammered), length_quarters=Fraction(8)))


def test_strokes_fingers_and_accents_come_back() -> None:
    (note,) = line("3/4").notes
    marked = replace(note, stroke=Stroke.UP, finger=2, accent=True)

    assert_returns(replace(line("3/4"), notes=(marked,), length_quarters=Fraction(4)))


@pytest.mark.parametrize("tuning", sorted(TUNINGS))
def test_every_tuning_comes_back_by_name(tuning: str) -> None:
    back = returned(line("1/3", "2/0", tuning=tuning))

    assert back.tuning.open_pitches == TUNINGS[tuning].open_pitches


def test_odd_groups_are_bracketed_tuplets() -> None:
    document = musicxml(line("1/5", "1/7", "1/8", "1/7", "1/5", step=Fraction(1, 5), meter=Meter(1, 4))).decode()

    assert document.count('<tuplet type="start" bracket="yes" number="1" />') == 1
    assert document.count("<actual-notes>5</actual-notes>") == 10  # five on each staff
    assert document.count("<normal-notes>4</normal-notes>") == 10


def test_flats_are_spelled_by_the_key() -> None:
    exercise = replace(line("1/4", "1/7"), key="Ab minor")

    document = musicxml(exercise).decode()

    assert "<fifths>-7</fifths>" in document
    assert "<step>C</step>" in document  # C flat, not B
    assert "<accidental>" not in document
    assert "<accidental>" in musicxml(replace(exercise, key="C major")).decode()


def test_an_accidental_is_shown_once_a_bar() -> None:
    exercise = replace(line("1/4", "1/4", "1/3", "1/4"), key="C major")

    document = musicxml(exercise).decode()

    assert [part.partition("<")[0] for part in document.split("<accidental>")[1:]] == ["sharp", "natural", "sharp"]


def test_control_characters_and_markup_in_a_title_do_no_harm() -> None:
    exercise = replace(line("1/5"), title="Quarry\x00 <steps> & \n ridge")

    assert returned(exercise).title == "Quarry <steps> & ridge"


def test_the_same_line_gives_the_same_bytes() -> None:
    assert musicxml(load_exercise("ridge-path")) == musicxml(load_exercise("ridge-path"))


@pytest.mark.parametrize(
    ("number", "text"), [(Fraction(66), "66"), (Fraction(165, 2), "82.5"), (Fraction(400, 3), "133.333333333")]
)
def test_numbers_are_written_as_decimals(number: Fraction, text: str) -> None:
    assert decimal(number) == text


def test_text_is_brought_into_one_line() -> None:
    assert printable(" a\tb\n\x1bc ") == "a b c"
