"""Passes as the coach sees them, from what the judging said."""

from tests.builders import SECOND_NS, line, played, session_of
from trainer.coaching.played import Outcome, PlayedPass, passes_of
from trainer.coaching.transitions import weigh
from trainer.judging import play_through


def passes(faults: str = "", *, name: str = "two-gates", count: int = 1, share: float = 1.0) -> tuple[PlayedPass, ...]:
    one = line(name)
    whole = one.repeated(count)
    session = session_of(whole)
    until_ns = 2 * SECOND_NS + round(whole.tempo.ns(whole.length_quarters) * share)
    play_through(session, [message for message in played(whole, faults) if message.stamp_ns <= until_ns])
    return passes_of(whole, session.ledger, tempo=whole.tempo, pass_length=len(one.notes))


def test_an_exact_pass_is_clean_and_in_time() -> None:
    (one,) = passes()

    assert one.outcomes == (Outcome.CLEAN,) * 32
    assert {round(at - due, 3) for at, due in zip(one.played_ms, one.due_ms, strict=True) if at is not None} == {2000}


def test_what_went_wrong_is_told_note_by_note() -> None:
    (one,) = passes("miss 5, fret 9, string 20")

    assert {index: one.outcomes[index] for index in (5, 9, 20)} == {
        5: Outcome.MISSED,
        9: Outcome.WRONG,
        20: Outcome.WRONG,
    }
    assert [one.played_ms[index] for index in (5, 9, 20)] == [None] * 3


def test_a_slide_that_was_picked_is_played_otherwise() -> None:
    (one,) = passes("unslid 4", name="quarry-steps")

    assert one.outcomes[4] is Outcome.OTHERWISE
    assert one.played_ms[4] is not None


def test_each_pass_of_a_take_counts_for_itself() -> None:
    two = passes("miss 5, miss 40", count=2)

    assert [[i for i, outcome in enumerate(one.outcomes) if outcome is Outcome.MISSED] for one in two] == [[5], [8]]


def test_what_was_not_reached_is_open_and_a_pass_that_hardly_began_does_not_count() -> None:
    stopped = passes(count=2, share=0.8)
    hardly = passes(count=2, share=0.6)

    assert len(stopped) == 2
    assert stopped[1].outcomes[-6:] == (Outcome.OPEN,) * 6
    assert len(hardly) == 1


def test_a_restart_leads_to_no_late_transition() -> None:
    (one,) = passes("restart 20 12", name="whole-ridge")

    weighing = weigh([one] * 5)

    assert one.entries == {12}
    assert max(abs(each.late_ms or 0.0) for each in weighing.transitions) < 1
    assert weighing.weak == ()


def test_a_stretch_is_part_of_the_whole_line() -> None:
    stretch = PlayedPass((0.0, 125.0, 250.0), (10.0, None, 260.0), (Outcome.CLEAN, Outcome.MISSED, Outcome.CLEAN))

    whole = stretch.within(6, 2)

    assert whole.outcomes == (Outcome.OPEN, Outcome.OPEN, Outcome.CLEAN, Outcome.MISSED, Outcome.CLEAN, Outcome.OPEN)
    assert whole.played_ms == (None, None, 10.0, None, 260.0, None)
    assert stretch.within(6, 5).outcomes == (
        Outcome.MISSED,
        Outcome.CLEAN,
        Outcome.OPEN,
        Outcome.OPEN,
        Outcome.OPEN,
        Outcome.CLEAN,
    )
