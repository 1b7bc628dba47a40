from trainer.following.ledger import Ledger
from trainer.following.verdict import (
    Awaited,
    Extra,
    Jump,
    Match,
    Missed,
    Slip,
    TechniqueResult,
    TechniqueVerdict,
    Verdict,
    WrongNote,
)
from trainer.theory.technique import Technique


def ledger_of(*verdicts: Verdict) -> Ledger:
    ledger = Ledger()
    for verdict in verdicts:
        ledger.fold(verdict)
    return ledger


def matched(heard: int, index: int, *, settled: bool = False) -> Match:
    return Match(heard, index, heard * 100, 0, settled)


def test_nothing_said_is_open() -> None:
    ledger = Ledger()

    assert (ledger.of_heard(0), ledger.of_written(0), ledger.technique_of(0), ledger.jumps) == (None, None, None, ())


def test_a_revision_replaces_what_was_said_about_the_heard_note_and_frees_the_written_one() -> None:
    ledger = ledger_of(matched(0, 3), matched(0, 4))

    assert ledger.of_heard(0) == matched(0, 4)
    assert ledger.of_written(3) is None
    assert ledger.of_written(4) == matched(0, 4)


def test_a_heard_note_that_becomes_extra_frees_its_written_note() -> None:
    ledger = ledger_of(WrongNote(0, 3, Slip.PITCH, 0, 0, settled=False), Extra(0, 0, charged=True, settled=True))

    assert ledger.of_written(3) is None


def test_a_miss_that_is_taken_back_leaves_the_note_open() -> None:
    ledger = ledger_of(Missed(3, 2, 500, settled=False), Awaited(3, 2, 600))

    assert ledger.of_written(3) is None


def test_the_latest_attempt_counts_whatever_the_order_of_the_verdicts() -> None:
    first, second = matched(3, 3), Missed(3, 7, 900, settled=False)

    one, other = ledger_of(first, second), ledger_of(second, first)

    assert one.of_written(3) == other.of_written(3) == second
    assert one.attempts(3) == other.attempts(3) == (first, second)


def test_taking_back_the_latest_attempt_brings_the_earlier_one_back() -> None:
    ledger = ledger_of(matched(3, 3), Missed(3, 7, 900, settled=False), Awaited(3, 7, 950))

    assert ledger.of_written(3) == matched(3, 3)


def test_a_technique_stands_only_while_its_note_is_the_latest_match() -> None:
    verdict = TechniqueVerdict(3, 5, Technique.HAMMER, Technique.PICK, TechniqueResult.OTHERWISE)
    ledger = ledger_of(matched(3, 5), verdict)

    before = ledger.technique_of(5)
    ledger.fold(matched(3, 6))

    assert before == verdict
    assert (ledger.technique_of(5), ledger.technique_of(6)) == (None, None)


def test_jumps_come_in_the_order_of_the_heard_notes() -> None:
    ledger = ledger_of(Jump(9, 12, 8), Jump(4, 5, 2))

    assert ledger.jumps == (Jump(4, 5, 2), Jump(9, 12, 8))
