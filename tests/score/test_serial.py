import json
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.library import load_exercise
from trainer.score.meter import Meter
from trainer.score.serial import exercise_from_dict, exercise_to_dict
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique
from trainer.theory.tuning import TUNINGS, Tuning

fractions = st.fractions(min_value=0, max_value=1000, max_denominator=10**6)
locations = st.builds(Location, st.integers(1, 8), st.integers(0, 24))
score_notes = st.builds(
    ScoreNote,
    onset_quarters=fractions,
    duration_quarters=fractions,
    location=locations,
    pitch=st.integers(0, 127),
    technique=st.sampled_from(Technique),
    slide_from=st.none() | locations,
    stroke=st.none() | st.sampled_from(Stroke),
    finger=st.none() | st.integers(1, 4),
    accent=st.booleans(),
    group=st.integers(0, 100),
    position=st.none() | st.integers(1, 7),
)
exercises = st.builds(
    Exercise,
    name=st.text(),
    title=st.text(),
    tuning=st.builds(Tuning, st.text(), st.lists(st.integers(0, 127), min_size=1, max_size=8).map(tuple)),
    tempo=st.builds(Tempo, st.fractions(min_value=10, max_value=400)),
    notes=st.lists(score_notes, max_size=5).map(tuple),
    meter=st.builds(Meter, st.integers(1, 20), st.sampled_from([1, 2, 4, 8, 16])),
    length_quarters=fractions,
    key=st.text(),
    about=st.text(),
    last_fret=st.integers(12, 36),
    tags=st.lists(st.text()).map(tuple),
)


@given(exercises)
@example(replace(load_exercise("two-gates"), tempo=Tempo(Fraction(5685189279150814011, 28086972630621394))))
def test_an_exercise_comes_back_exactly_through_json_text(exercise: Exercise) -> None:
    text = json.dumps(exercise_to_dict(exercise))

    again = exercise_from_dict(json.loads(text))

    assert again == exercise
    assert type(again.notes) is tuple
    assert all(type(note.location) is Location for note in again.notes)


def saved(**changes: object) -> dict[str, Any]:
    note = ScoreNote(Fraction(1, 3), Fraction(1, 5), Location(1, 5), 69, slide_from=Location(1, 3))
    exercise = Exercise("ridge-path", "Ridge path", TUNINGS["standard"], Tempo(Fraction(100)), (note,))
    return exercise_to_dict(exercise) | changes


def test_fractions_are_kept_as_text() -> None:
    kept = saved()

    assert (kept["version"], kept["tempo"]) == (1, "100")
    assert (kept["notes"][0]["onset_quarters"], kept["notes"][0]["slide_from"]) == ("1/3", [1, 3])


@pytest.mark.parametrize(
    ("changes", "complaint"),
    [
        ({"version": 2}, "of version 2: expected version 1"),
        ({"tempo": 100}, "expected text, found 100"),
        ({"tempo": "1/0"}, "cannot be read"),
        ({"tempo": "9"}, "tempo 9 is not in 10..400"),
        ({"meter": [4]}, "cannot be read"),
        ({"meter": [4, 4, 4]}, "cannot be read"),
        ({"notes": [{}]}, "without 'onset_quarters'"),
        ({"notes": 3}, "cannot be read"),
        ({"last_fret": True}, "expected a whole number, found True"),
        ({"tuning": []}, "cannot be read"),
    ],
)
def test_what_is_no_saved_exercise_is_refused(changes: dict[str, object], complaint: str) -> None:
    with pytest.raises(ExerciseError, match=complaint):
        exercise_from_dict(saved(**changes))


@pytest.mark.parametrize("field", sorted(set(saved()) - {"family"}))
def test_every_field_is_needed(field: str) -> None:
    kept = saved()
    del kept[field]

    with pytest.raises(ExerciseError, match=f"without '{field}'"):
        exercise_from_dict(kept)


@pytest.mark.parametrize("text", ["1e999999999", "1e9", "0.5", " 1", "1_0", "9" * 301, "٣", "nan", "1/-2", ""])
def test_only_plain_fractions_are_read(text: str) -> None:
    saved = exercise_to_dict(load_exercise("two-gates")) | {"length_quarters": text}

    with pytest.raises(ExerciseError, match="expected a fraction such as '3/2'"):
        exercise_from_dict(saved)
