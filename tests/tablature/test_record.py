from collections.abc import Sequence

from trainer.following.assessment import assess
from trainer.following.explaining import Explanation, explained
from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Match, Missed, Slip, TechniqueResult, TechniqueVerdict, Verdict, WrongNote
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise
from trainer.tablature.figures import pass_summary
from trainer.tablature.record import (
    Stretch,
    deviations_ms,
    latest_explained,
    latest_states,
    misses,
    pooled_techniques,
    spreads,
    weak_transitions,
)
from trainer.tablature.state import TO_COME, NoteState, place_of, state_of
from trainer.tablature.trace import Spread
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

from .builders import GUITAR, line_of, note

MS = 1_000_000
LINE = line_of([note(0, fret=5), note(1, fret=7), note(2, fret=8, technique=Technique.SLIDE), note(3, fret=10)])


def matched(heard: int, index: int, deviation_ms: float = 0) -> Match:
    """Settled; due times are those of the line at 60 quarters a minute."""
    return Match(heard, index, index * 1_000_000_000 + round(deviation_ms * MS), round(deviation_ms * MS), settled=True)


def explanation_of(index: int, exercise: Exercise, ledger: Ledger) -> Explanation:
    onsets = [NoteOnset(heard, heard, 0, 0, 1, 70, 80) for heard in range(32)]
    return explained(
        index,
        exercise,
        ledger,
        accounts={},
        onsets=onsets,
        techniques={},
        inflections={},
        tempo=exercise.tempo,
        tolerance=Tolerance(),
        starts_at_ns=0,
    )


def stretch_of(
    verdicts: Sequence[Verdict], exercise: Exercise = LINE, *, passes: int = 1, first: int = 0, is_loop: bool = False
) -> Stretch:
    """A take with these verdicts."""
    ledger, whole, length = Ledger(), exercise.repeated(passes), len(exercise.notes)
    for verdict in verdicts:
        ledger.fold(verdict)
    return Stretch(
        exercise=whole,
        ledger=ledger,
        onsets=[NoteOnset(heard, heard, 0, 0, 1, 70, 80) for heard in range(32)],
        assess=lambda: assess(whole, ledger, tempo=whole.tempo, tolerance=Tolerance(), pass_length=length),
        explain=lambda index: explanation_of(index, whole, ledger),
        pass_length=length,
        first=first,
        line_length=4,
        is_loop=is_loop,
    )


def test_a_take_from_the_middle_of_the_second_pass_knows_its_notes_and_passes() -> None:
    rest = stretch_of([], line_of([note(n) for n in range(6)], 8), first=6)

    assert [rest.line_index(index) for index in range(6)] == [2, 3, 0, 1, 2, 3]
    assert [rest.pass_number(index) for index in range(6)] == [2, 2, 3, 3, 3, 3]


def test_a_loop_counts_its_rounds() -> None:
    loop = stretch_of([], line_of([note(0), note(1)]), passes=3, first=5, is_loop=True)

    assert [loop.line_index(index) for index in range(6)] == [1, 2, 1, 2, 1, 2]
    assert [loop.pass_number(index) for index in range(6)] == [1, 1, 2, 2, 3, 3]


def test_deviations_are_gathered_by_the_notes_of_the_line_over_takes_and_passes() -> None:
    two_passes = stretch_of([matched(0, 0, 5), matched(1, 4, 7), matched(2, 5, -3)], passes=2)
    rest = stretch_of([matched(0, 1, 9)], line_of([note(0), note(1)]), first=3)

    found = deviations_ms([two_passes, rest])

    assert found == {0: [5.0, 7.0, 9.0], 1: [-3.0]}


def test_the_pass_that_is_being_played_does_not_count_for_its_own_spread() -> None:
    three_passes = stretch_of([matched(0, 0, 10), matched(1, 4, 20), matched(2, 8, 30), matched(3, 12, 90)], passes=4)

    assert spreads([three_passes], before_pass=4) == {0: Spread(15.0, 20.0, 25.0)}
    assert spreads([three_passes], before_pass=3) == {}


def test_misses_count_wrong_notes_and_what_was_attempted() -> None:
    take = stretch_of(
        [matched(0, 0), WrongNote(1, 1, Slip.PITCH, 0, 0, settled=True), Missed(5, 1, 0, settled=True), matched(2, 4)],
        passes=2,
    )

    assert misses([take]) == {0: (0, 2), 1: (2, 2)}


def test_the_latest_attempt_is_what_the_result_shows() -> None:
    earlier, later = stretch_of([matched(0, 0), matched(1, 1)]), stretch_of([Missed(1, 0, 0, settled=True)])

    assert latest_states([earlier, later]) == {
        0: NoteState(matched(0, 0)),
        1: NoteState(Missed(1, 0, 0, settled=True)),
    }


def test_transitions_are_pooled_over_takes_and_the_worst_comes_first() -> None:
    steady = stretch_of([matched(0, 0), matched(1, 1), matched(2, 2), matched(3, 3)])
    misses_the_last = stretch_of([matched(0, 0), matched(1, 1), matched(2, 2), Missed(3, 2, 0, settled=True)])

    weak = weak_transitions([steady, misses_the_last])

    assert [(one.from_index, one.to_index, one.misses, one.attempts) for one in weak] == [
        (2, 3, 1, 2),
        (0, 1, 0, 2),
        (1, 2, 0, 2),
    ]
    assert weak[0].cost_ms == 25.0


def test_a_pass_is_clean_where_matched_and_begun_as_written() -> None:
    slid = TechniqueVerdict(2, 2, Technique.SLIDE, Technique.PICK, TechniqueResult.OTHERWISE)
    take = stretch_of([matched(0, 0, 4), matched(1, 1, 8), matched(2, 2, 0), slid])

    summary = pass_summary(take.exercise, take.ledger, range(4))

    assert summary.words == ("2 of 4 as written", "bias +4 ms", "spread 3 ms", "slid 0 of 1")


def test_techniques_are_added_up_over_takes() -> None:
    heard = TechniqueVerdict(2, 2, Technique.SLIDE, Technique.SLIDE, TechniqueResult.AS_WRITTEN)
    untold = TechniqueVerdict(2, 2, Technique.SLIDE, None, TechniqueResult.NOT_MEASURABLE)

    takes = [stretch_of([matched(2, 2), heard]), stretch_of([matched(2, 2), untold])]

    (slides,) = pooled_techniques(takes)
    assert (slides.written, slides.as_written, slides.not_measurable) == (2, 1, 1)


def test_a_note_played_instead_is_placed_on_the_string_that_the_pickup_names() -> None:
    ledger = Ledger()
    ledger.fold(WrongNote(0, 0, Slip.PITCH, 0, 0, settled=True))

    state = state_of(0, LINE, ledger, [NoteOnset(0, 0, 0, 0, 1, 70, 80)])

    assert state.played == Location(1, 6)


def test_without_a_string_it_is_placed_as_near_as_it_can_be() -> None:
    low_e, below_all = NoteOnset(0, 0, 0, 0, None, 41, 80), NoteOnset(0, 0, 0, 0, None, 30, 80)

    assert place_of(low_e, GUITAR, near_course=1) == Location(6, 1)
    assert place_of(below_all, GUITAR, near_course=1) is None


def test_a_note_without_a_verdict_is_to_come() -> None:
    assert state_of(0, LINE, Ledger(), []) is TO_COME


def test_the_latest_attempt_at_a_note_of_the_line_is_explained_with_its_pass() -> None:
    two_passes = stretch_of([matched(0, 1, 5), Missed(5, 0, 0, settled=True)], passes=2)

    first, *_ = latest_explained([two_passes], 1)

    assert first == "Note 1 of pass 2, string 1 fret 7, due at 5.000 s: missed."
    assert latest_explained([two_passes], 2) == ()
