from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.library import exercise_names, load_exercise
from trainer.score.meter import Meter
from trainer.score.note_list import exercise_from_note_list, holds_notes, note_list_text
from trainer.score.strings import tuning_of
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import TUNINGS


def read(text: str) -> Exercise:
    return exercise_from_note_list(text, "line", "line.toml")


def complaint_about(text: str) -> str:
    with pytest.raises(ExerciseError) as caught:
        read(text)
    return str(caught.value)


@pytest.mark.parametrize("name", exercise_names())
def test_every_shipped_line_comes_back_whole(name: str) -> None:
    exercise = load_exercise(name)

    assert exercise_from_note_list(note_list_text(exercise), name, name) == exercise


def test_notes_need_no_more_than_time_string_and_fret() -> None:
    exercise = read("notes = [\n  { at = 0, string = 2, fret = 5 },\n  { at = '1/2', string = 2, fret = 7 },\n]")

    half = Fraction(1, 2)
    assert exercise.notes == (
        ScoreNote(Fraction(0), half, Location(2, 5), 64),
        ScoreNote(half, half, Location(2, 7), 66),
    )
    assert (exercise.length_quarters, exercise.meter, exercise.tuning.name) == (4, Meter(), "standard")


def test_tables_of_notes_say_the_same_as_a_list() -> None:
    listed = read('notes = [{ at = 0, string = 1, fret = 5, how = "slide", from = 3 }]')
    tables = read('[[notes]]\nat = 0\nstring = 1\nfret = 5\nhow = "slide"\nfrom = 3')

    assert tables == listed
    assert tables.notes[0].slide_from == Location(1, 3)


def test_a_tuning_without_a_name_is_given_by_its_open_strings() -> None:
    tuning = tuning_of((60, 55, 52, 45))
    exercise = Exercise("line", "Line", tuning, Tempo(Fraction(187, 2)), (), length_quarters=Fraction(4))
    note = ScoreNote(Fraction(0), Fraction(1), Location(4, 3), 48, Technique.PICK, stroke=Stroke.UP, finger=2)
    whole = Exercise(**{**_fields(exercise), "notes": (note,)})

    assert read(note_list_text(whole)).tuning.open_pitches == (60, 55, 52, 45)
    assert read(note_list_text(whole)).tempo == Tempo(Fraction(187, 2))


def read_or_complain(text: str) -> Exercise | str:
    try:
        return read(text)
    except ExerciseError as error:
        return str(error)


def _fields(exercise: Exercise) -> dict[str, object]:
    return {name: getattr(exercise, name) for name in Exercise.__slots__}


def test_mistakes_are_named_with_their_line_and_the_nearest_word() -> None:
    notes = "notes = [\n  { at = 0, string = 1, fret = 5 },\n  { at = 1, string = 1, %s },\n]"

    assert complaint_about("notes = []") == (
        "line.toml:1: notes: expected a list of notes, each { at = 0, string = 1, fret = 5 }"
    )
    assert complaint_about("\ntunning = 'standard'\nnotes = [{ at = 0, string = 1, fret = 5 }]") == (
        "line.toml:2: 'tunning' is not a field of a list of notes; nearest: 'tuning'"
    )
    assert complaint_about(notes % "fret = 25") == "line.toml:3: note 2: fret: expected 0 to 24, found 25"
    assert complaint_about(notes % "fret = 5, how = 'hamer'") == (
        "line.toml:3: note 2: how: 'hamer' is not known; nearest: 'hammer'"
    )
    assert "line.toml:3: note 2: lasts: expected quarters" in complaint_about(notes % "fret = 5, lasts = 0.5")
    assert complaint_about("notes = [{ at = 0, string = 1, fret = 5 }, { at = 0, string = 1, fret = 7 }]") == (
        "line.toml:1: note 2: two notes at once on string 1"
    )
    assert "line.toml:1: length: 2 quarters end before" in complaint_about(
        "length = 2\nnotes = [{ at = 2, string = 1, fret = 5 }]"
    )


def test_the_library_tells_a_list_of_notes_from_a_recipe(tmp_path: Path) -> None:
    listed = tmp_path / "mine.toml"
    listed.write_text(note_list_text(load_exercise("two-gates")), encoding="utf-8")
    about = tmp_path / "recipe.toml"
    about.write_text('about = """\nnotes = none\n"""\nkey = "A minor"\n', encoding="utf-8")

    assert holds_notes(listed)
    assert not holds_notes(about)
    assert load_exercise(str(listed)).notes == load_exercise("two-gates").notes


def test_brackets_without_end_are_refused() -> None:
    assert "nested too deeply" in complaint_about("notes = " + "[" * 100_000 + "]" * 100_000)


@settings(deadline=None, max_examples=150)
@given(st.text(alphabet='notes=[]{}atrifg"\n 019/.,#hwolick', max_size=200))
def test_any_text_is_a_line_or_one_sentence(text: str) -> None:
    for source in (text, "notes = [{ " + text + " }]"):
        assert read_or_complain(source)


words = st.text(alphabet=st.characters(codec="utf-8"), max_size=20)


@settings(deadline=None, max_examples=100)
@given(words, words, st.lists(st.tuples(st.fractions(0, 99, max_denominator=60), st.integers(0, 24)), min_size=1))
def test_whatever_is_written_reads_back(title: str, about: str, places: list[tuple[Fraction, int]]) -> None:
    onsets = dict(places)
    tuning = TUNINGS["drop-d"]
    notes = tuple(
        ScoreNote(onset, Fraction(1, 60), Location(6, fret), 38 + fret) for onset, fret in sorted(onsets.items())
    )
    exercise = Exercise(
        "line", title or "line", tuning, Tempo(Fraction(60)), notes, about=about, length_quarters=Fraction(104)
    )

    assert read(note_list_text(exercise)) == exercise
