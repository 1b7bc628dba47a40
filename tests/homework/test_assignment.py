import json
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.homework.builders import LINE, OTHER, assignment_of
from trainer.homework.assignment import Assignment, assignment_bytes, assignment_in, text_of
from trainer.homework.assignment import assignment_of as read
from trainer.homework.container import ASSIGNMENT, packed
from trainer.homework.errors import HomeworkError
from trainer.homework.line import line_digest, line_in
from trainer.score.library import exercise_names, load_exercise
from trainer.score.note_list import exercise_from_note_list, note_list_text
from trainer.score.serial import exercise_to_dict


def changed(change: Callable[[dict[str, Any]], object], assignment: Assignment | None = None) -> bytes:
    values = json.loads(text_of(assignment or assignment_of()))
    change(values)
    return packed({ASSIGNMENT: json.dumps(values).encode()})


def note(values: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = values["tasks"][0]["exercise"]["notes"][3]
    return found


def test_an_assignment_reads_back_as_it_was_made() -> None:
    assignment = assignment_of(LINE, OTHER, note="Slow first", pupils=("Ana", "Бен", "ליאת"))

    assert assignment_in(assignment_bytes(assignment)) == assignment


def test_shipped_lines_can_be_given_out_and_kept_as_own_exercises() -> None:
    for line in map(load_exercise, exercise_names()[::5]):
        assert line_in(exercise_to_dict(line)) == line
        assert line_digest(exercise_from_note_list(note_list_text(line), "other-name", "")) == line_digest(line)


def test_a_line_is_known_by_what_is_played_and_not_by_what_it_is_called() -> None:
    renamed = replace(LINE, name="x", title="Y", about="z", tags=("t",), tempo=OTHER.tempo)
    higher = replace(LINE, notes=(replace(LINE.notes[0], accent=not LINE.notes[0].accent), *LINE.notes[1:]))

    assert line_digest(renamed) == line_digest(LINE)
    assert line_digest(higher) != line_digest(LINE)


def test_an_exercise_that_someone_has_changed_is_refused() -> None:
    with pytest.raises(HomeworkError, match="exercise 1, ridge-steps, is not as the teacher gave it out"):
        assignment_in(changed(lambda values: note(values).update(technique="hammer")))


@pytest.mark.parametrize(
    "change",
    [
        lambda values: note(values).update(onset_quarters="1e999999999"),
        lambda values: note(values).update(onset_quarters="1/0"),
        lambda values: note(values).update(duration_quarters="9" * 4000),
        lambda values: note(values).update(onset_quarters="-3"),
        lambda values: note(values).update(pitch=10**300),
        lambda values: note(values).update(location=[1, 400]),
        lambda values: note(values).update(location=[99, 4]),
        lambda values: note(values).update(location=None),
        lambda values: values["tasks"][0]["exercise"].update(notes=[]),
        lambda values: values["tasks"][0]["exercise"].update(notes={}),
        lambda values: values["tasks"][0]["exercise"].update(tempo="1/1000000000"),
        lambda values: values["tasks"][0]["exercise"].update(meter=[4, 0]),
        lambda values: values["tasks"][0]["exercise"].update(tuning={"name": "x", "open_pitches": []}),
        lambda values: values["tasks"][0].update(target="1e9"),
        lambda values: values["tasks"][0].update(target="9"),
        lambda values: values["tasks"][0].update(passes=0),
        lambda values: values["tasks"][0].update(passes=201),
        lambda values: values["tasks"][0].update(passes=True),
        lambda values: values.update(tasks=[]),
        lambda values: values.update(tasks=values["tasks"] * 2),
        lambda values: values.update(identity="../../../x"),
        lambda values: values.update(edition=10**30),
        lambda values: values.update(title=7),
        lambda values: values.update(title="\ud800"),
        lambda values: values["tasks"][0]["exercise"].update(name="\ud800"),
        lambda values: values.update(title="x" * 100_000),
        lambda values: values.update(made="yesterday"),
        lambda values: values.update(more=1),
        lambda values: values.update(boxwalk_homework=2),
        lambda values: values.pop("boxwalk_homework"),
        lambda values: values.pop("teacher"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(change: Callable[[dict[str, Any]], object]) -> None:
    with pytest.raises(HomeworkError) as refused:
        assignment_in(changed(change))

    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 400


@pytest.mark.parametrize(
    "text",
    [b"", b"[]", b"null", b"\xff\xfe", b"[" * 100_000, b'{"boxwalk_homework":NaN}', b'{"a":' * 50_000, b"9" * 9999],
)
def test_texts_that_are_no_homework_are_refused(text: bytes) -> None:
    with pytest.raises(HomeworkError):
        read(text)


def test_names_in_any_script_stay_and_what_acts_on_a_terminal_goes() -> None:
    title = "\x1b[31mשבוע\u202e 12\n\u200f weiß"

    assert assignment_in(changed(lambda values: values.update(title=title))).title == "[31mשבוע 12 weiß"


def test_the_names_of_a_group_stay_with_the_teacher_and_that_of_one_pupil_goes_out() -> None:
    group, one = assignment_of(pupils=("Ana", "Ben")), assignment_of(pupils=("Ana",))

    assert (group.given_out().pupils, one.given_out().pupils) == ((), ("Ana",))
    assert group.given_out().content == group.content
    assert replace(group, note="More").content != group.content


def test_a_target_is_exact() -> None:
    task = replace(assignment_of().tasks[0], target_qpm=Fraction(187, 2))

    assert assignment_in(assignment_bytes(assignment_of(tasks=(task,)))).tasks[0].target_qpm == Fraction(187, 2)
