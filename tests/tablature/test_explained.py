from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.following.explaining import Account, Candidate, Explanation
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Match, Missed, Slip, TechniqueResult, TechniqueVerdict, WrongNote
from trainer.playing.messages import Inflection, NoteOnset, TechniqueHeard
from trainer.score.exercise import ScoreNote
from trainer.tablature.explained import sentences
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

from .builders import GUITAR

MS = 1_000_000
NOTE = ScoreNote(Fraction(2), Fraction(1), Location(2, 5), 64)


def heard_at(heard: int, at_ms: int, course: int | None = 2, pitch: int = 64) -> NoteOnset:
    return NoteOnset(heard, heard, at_ms * MS, at_ms * MS, course, pitch, 80)


def as_note(index: int | None, share: float, *, is_jump: bool = False, is_charged: bool = True) -> Candidate:
    return Candidate(index, is_charged, is_jump, share)


def explanation_of(verdict: Match | WrongNote | Missed | None, **others: object) -> Explanation:
    """Of note 7, due at 1 s, with nothing known but what is given."""
    known: dict[str, object] = {
        "earlier_attempts": 0,
        "due_ns": 1_000 * MS,
        "onset": None,
        "account": None,
        "passed_over": (),
        "between": (None, None),
        "technique": None,
        "told": None,
    }
    known.update(others)
    return Explanation(7, NOTE, verdict, tolerance=Tolerance(), window_ns=50 * MS, **known)  # type: ignore[arg-type]  # a short builder


@pytest.mark.parametrize(
    ("at_ms", "words"),
    [
        (1_000, "on time; within the hit window of ±50 ms"),
        (1_012, "12 ms late; within the hit window of ±50 ms"),
        (950, "50 ms early; within the hit window of ±50 ms"),
        (949, "51 ms early; outside the hit window of ±50 ms"),
    ],
)
def test_a_match_says_what_was_heard_when_and_against_which_window(at_ms: int, words: str) -> None:
    match = Match(3, 7, at_ms * MS, (at_ms - 1_000) * MS, settled=True)

    said = sentences(explanation_of(match, onset=heard_at(3, at_ms)), GUITAR)

    assert said == (
        "Note 7, string 2 fret 5, due at 1.000 s: matched.",
        f"Heard: string 2 fret 5 at {at_ms / 1000:.3f} s, {words}; less than 6 ms is not heard.",
    )


def test_the_readings_are_named_with_their_likelihoods_at_once_and_when_settled() -> None:
    account = Account(3, (as_note(9, 0.6), as_note(7, 0.4)), (as_note(7, 0.952, is_jump=True), as_note(None, 0.048)))
    match = Match(3, 7, 1_000 * MS, 0, settled=True)

    said = sentences(explanation_of(match, onset=heard_at(3, 1_000), account=account), GUITAR)

    assert said[2:] == (
        "When it was heard: note 9 60 %, note 7 40 %.",
        "With what followed: note 7 after a jump 95.2 %, a note that is not written 4.8 %.",
    )


def test_at_ones_own_pace_the_deviation_is_by_the_own_tempo() -> None:
    match = Match(3, 7, 1_000 * MS, -9 * MS, settled=True)

    said = sentences(explanation_of(match, onset=heard_at(3, 1_000), due_ns=None), GUITAR)

    assert said[0] == "Note 7, string 2 fret 5: matched."
    assert "9 ms early by your own tempo" in said[1]


@pytest.mark.parametrize(
    ("told", "result", "words"),
    [
        (TechniqueHeard(3, Technique.PICK, 0), TechniqueResult.OTHERWISE, "heard as picked: otherwise than written"),
        (TechniqueHeard(3, None, 0), TechniqueResult.NOT_MEASURABLE, "the pickup does not tell how: not measurable"),
        (
            TechniqueHeard(3, None, 0, (Technique.HAMMER, Technique.SLIDE)),
            TechniqueResult.AS_WRITTEN,
            "the pickup leaves open whether hammered or slid: as written",
        ),
    ],
)
def test_the_technique_is_told_with_its_evidence(told: TechniqueHeard, result: TechniqueResult, words: str) -> None:
    match = Match(3, 7, 1_000 * MS, 0, settled=True)
    verdict = TechniqueVerdict(3, 7, Technique.HAMMER, told.technique, result)

    said = sentences(explanation_of(match, onset=heard_at(3, 1_000), technique=verdict, told=told), GUITAR)

    assert said[-1] == f"Written to be hammered; {words}."


def test_a_slur_that_arrived_as_a_bend_says_by_what_it_was_told() -> None:
    match = Match(3, 7, 1_000 * MS, 0, settled=True)
    verdict = TechniqueVerdict(3, 7, Technique.SLIDE, Technique.SLIDE, TechniqueResult.AS_WRITTEN)
    onset = replace(heard_at(3, 1_000), arrived_as_bend=True)
    told = TechniqueHeard(3, Technique.SLIDE, 0)

    said = sentences(explanation_of(match, onset=onset, technique=verdict, told=told), GUITAR)

    assert said[-1] == ("Written to be slid; heard as slid, as its pitch moved there without a new attack: as written.")


def test_a_missed_note_says_between_what_it_is_missing_and_what_might_have_been_it() -> None:
    before, after = heard_at(2, 800), heard_at(3, 1_200, course=None, pitch=70)
    passed = (before, as_note(7, 0.031), as_note(6, 0.969))

    said = sentences(
        explanation_of(Missed(7, 2, 0, settled=True), between=(before, after), passed_over=(passed,)), GUITAR
    )

    assert said == (
        "Note 7, string 2 fret 5, due at 1.000 s: missed.",
        "Nothing that was taken for it was heard between string 2 fret 5 at 0.800 s and pitch 70 at 1.200 s.",
        "When it was heard, string 2 fret 5 at 0.800 s might have been it (3.1 %); it was read as note 6.",
    )


def test_a_wrong_note_and_earlier_attempts_are_said() -> None:
    wrong = WrongNote(3, 7, Slip.PITCH, 1_000 * MS, None, settled=True)

    said = sentences(explanation_of(wrong, onset=heard_at(3, 1_000, pitch=65), earlier_attempts=2), GUITAR)

    heard = (
        "Heard: string 2 fret 6 at 1.000 s; after a jump, a pause or at the start there is no time to measure it by."
    )
    assert said == (
        "Note 7, string 2 fret 5, due at 1.000 s: another pitch was played.",
        heard,
        "It had been attempted 2 times before; the last attempt counts.",
    )


def test_a_note_that_the_take_did_not_reach_is_open() -> None:
    said = sentences(explanation_of(None), GUITAR, named=lambda index: f"{index} of pass 2")

    assert said == ("Note 7 of pass 2, string 2 fret 5, due at 1.000 s: open.", "The take ended before it.")


def test_what_the_left_hand_did_to_the_pitch_is_told() -> None:
    match = Match(3, 7, 1_000 * MS, 0, settled=True)

    bent, plain = (
        sentences(explanation_of(match, onset=heard_at(3, 1_000), inflection=inflection), GUITAR)
        for inflection in (Inflection(bend_cents=-35.0, vibrato_hz=5.2, vibrato_cents=20.0), Inflection())
    )

    assert bent[-1] == "While it sounded: bent down by 35 cents, vibrato of 5.2 Hz, 20 cents to either side."
    assert plain == bent[:-1]
