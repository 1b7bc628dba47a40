import pytest

from tests.builders import line, played, session_of
from trainer.following.verdict import Pace
from trainer.tablature.differing import AS_WRITTEN, differences

SLID = line("two-gates-slid", tempo=80)


def said(faults: str) -> tuple[str, ...]:
    session = session_of(SLID, pace=Pace.FREE)
    messages = played(SLID, faults)
    for message in messages:
        session.feed(message)
    session.finish(messages[-1].stamp_ns + 3_000_000_000)
    return differences(SLID, session.ledger, session.onsets)


def test_a_line_that_is_played_as_written_differs_nowhere() -> None:
    assert said("") == (AS_WRITTEN,)


@pytest.mark.parametrize(
    ("faults", "expected"),
    [
        ("unslid 4", "Note 5: picked, not slid."),
        ("miss 6", f"Note 7: left out, string {SLID.notes[6].course} fret {SLID.notes[6].fret}."),
        ("extra 9", "1 note more than there are."),
        ("extra 9, extra 20", "2 notes more than there are."),
    ],
)
def test_each_difference_has_its_sentence(faults: str, expected: str) -> None:
    assert said(faults) == (expected,)
