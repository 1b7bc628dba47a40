import json
from dataclasses import asdict, replace
from fractions import Fraction

import jsonschema
import pytest

from tests.builders import SECOND_NS, line, played, session_of
from trainer.devices.skill import SKILLS
from trainer.following.tolerance import Tolerance
from trainer.judging import SCHEMA_PATH, Asked, JudgingError, explain_take, judge_take, judgement, play_through
from trainer.playing.take import MOST_WRITTEN, Take, TakeHeader
from trainer.score.serial import exercise_to_dict

SCHEMA = json.loads(SCHEMA_PATH.read_text(encoding="utf-8"))


def header_for(name: str, *, passes: int = 1, stretch: tuple[int, int] | None = None) -> TakeHeader:
    exercise = line(name)
    first, last = stretch or (None, None)
    return TakeHeader(
        program="boxwalk test",
        date="2026-01-01T00:00:00+00:00",
        exercise_name=exercise.name,
        exercise=exercise_to_dict(exercise),
        pace="click",
        quarters_per_minute=Fraction(120),
        starts_at_ns=2 * SECOND_NS,
        passes=passes,
        first_note=first,
        last_note=last,
        tolerance=asdict(Tolerance()),
    )


@pytest.mark.parametrize("faults", ["", "miss 5, late 9 40, fret 12, string 17", "restart 14 8, extra 20"])
def test_a_judgement_fits_its_schema(faults: str) -> None:
    exercise = line()

    result = judgement(play_through(session_of(exercise), played(exercise, faults, skill=SKILLS["learning"])))

    jsonschema.validate(json.loads(json.dumps(result)), SCHEMA)


def test_the_schema_refuses_a_verdict_that_is_not_one() -> None:
    exercise = line()
    result = judgement(play_through(session_of(exercise), played(exercise)))
    result["notes"][0]["verdict"] = "splendid"

    with pytest.raises(jsonschema.ValidationError, match="splendid"):
        jsonschema.validate(result, SCHEMA)


def test_a_take_says_itself_how_it_was_played() -> None:
    exercise = line()
    messages = played(exercise.repeated(2), "miss 40")

    result = judge_take(exercise, Take(header_for("two-gates", passes=2), messages), Asked())

    assert len(result["notes"]) == 2 * len(exercise.notes)
    assert [note["index"] for note in result["notes"] if note["verdict"] != "matched"] == [40]


def test_a_take_of_a_stretch_is_judged_against_that_stretch() -> None:
    exercise = line()
    stretch = exercise.excerpt(8, 15)

    result = judge_take(exercise, Take(header_for("two-gates", stretch=(8, 15)), played(stretch)), Asked())

    assert [note["verdict"] for note in result["notes"]] == ["matched"] * 8


def test_a_take_without_a_header_is_judged_with_what_is_asked() -> None:
    exercise = line()
    messages = played(exercise, starts_at_ns=3 * SECOND_NS)

    result = judge_take(exercise, Take(None, messages), Asked(tempo_qpm=120, starts_at_seconds=3.0))

    assert {note["deviation_ms"] for note in result["notes"]} == {0.0}


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (Asked(pace="gallop"), "expected 'click' or 'free'"),
        (Asked(tempo_qpm=float("nan")), "expected 10 to 400"),
        (Asked(tempo_qpm=float("inf")), "expected 10 to 400"),
        (Asked(tempo_qpm=4), "expected 10 to 400"),
        (Asked(starts_at_seconds=float("inf")), "within a day"),
        (Asked(pickup="mpeg"), "mpe"),
    ],
)
def test_what_cannot_be_asked_is_said(asked: Asked, words: str) -> None:
    with pytest.raises(JudgingError, match=words):
        judge_take(line(), Take(None, ()), asked)


def test_a_take_of_another_line_is_refused_when_its_stretch_does_not_fit() -> None:
    with pytest.raises(JudgingError, match="a stretch of 'two-gates', not of 'quarry-steps'"):
        judge_take(line("quarry-steps"), Take(header_for("two-gates", stretch=(30, 400)), ()), Asked())


def test_a_take_that_asks_for_what_no_take_holds_is_refused_with_the_reason() -> None:
    exercise = line()
    whole = header_for("two-gates")
    refused = {
        "expected at most": replace(whole, passes=MOST_WRITTEN),
        "lies too far on: note 999999999": replace(whole, first_note=999_999_990, last_note=999_999_999),
        "is not in it": replace(whole, first_note=9, last_note=8),
        "tolerance is not of this program": replace(whole, tolerance={"kindness": 1}),
    }

    for words, header in refused.items():
        with pytest.raises(JudgingError, match=words):
            judge_take(exercise, Take(header, ()), Asked())


def test_the_first_and_the_last_note_of_a_take_are_explained_and_none_beyond() -> None:
    exercise = line()
    take = Take(header_for("two-gates"), played(exercise))
    last = len(exercise.notes) - 1

    assert all(explain_take(exercise, take, Asked(), index) for index in (0, last))
    for index in (-1, last + 1):
        with pytest.raises(JudgingError, match=f"note {index}: expected 0 to {last}"):
            explain_take(exercise, take, Asked(), index)
