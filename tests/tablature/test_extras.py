import pytest

from tests.benchmarks.following import take_of
from tests.benchmarks.takes import LOST, TIERS
from trainer.following.follower import Follower
from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import HeardVerdict, Pace
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise
from trainer.tablature.extras import OPEN
from trainer.tablature.strip import Strip

from .builders import LAYOUT, METRICS

MESSY = TIERS[3]


class Counting(Ledger):
    """Counts how often it is asked about a heard note."""

    asked = 0

    def of_heard(self, heard: int) -> HeardVerdict | None:
        self.asked += 1
        return super().of_heard(heard)


def strip_of(exercise: Exercise) -> Strip:
    return Strip(exercise, exercise.tempo, Tolerance(), LAYOUT, METRICS)


@pytest.mark.parametrize("pace", list(Pace))
def test_marks_kept_up_to_date_are_those_made_anew_at_every_moment_of_a_messy_take(pace: Pace) -> None:
    take = take_of(4242, MESSY, LOST, pace)
    strip, ledger = strip_of(take.exercise), Ledger()
    columns = range(len(take.exercise.notes) + 1)
    follower = Follower(take.exercise, pace, take.exercise.tempo, 0, Tolerance())
    starts_at_ns = 0 if pace is Pace.CLICK else None
    kept, onsets = strip.extras(), []
    marks = 0

    for onset in take.onsets:
        onsets.append(onset)
        for verdict in follower.receive(onset):
            ledger.fold(verdict)
        found = kept.glyphs(ledger, onsets, starts_at_ns, columns)
        assert found == strip.extras().glyphs(ledger, onsets, starts_at_ns, columns)
        marks = max(marks, len(found))

    assert len(onsets) > OPEN
    assert marks > 3


def test_the_work_for_one_more_note_does_not_grow_with_the_take() -> None:
    take = take_of(4242, MESSY, LOST, Pace.CLICK)
    strip, ledger = strip_of(take.exercise), Counting()
    follower = Follower(take.exercise, Pace.CLICK, take.exercise.tempo, 0, Tolerance())
    kept, onsets = strip.extras(), list[NoteOnset]()
    asked = []

    for onset in take.onsets:
        onsets.append(onset)
        for verdict in follower.receive(onset):
            ledger.fold(verdict)
        before = ledger.asked
        kept.glyphs(ledger, onsets, 0, range(8))
        asked.append(ledger.asked - before)

    assert max(asked) <= OPEN + 2


def test_another_take_begins_without_marks() -> None:
    take = take_of(4242, MESSY, LOST, Pace.CLICK)
    strip, ledger = strip_of(take.exercise), Ledger()
    follower = Follower(take.exercise, Pace.CLICK, take.exercise.tempo, 0, Tolerance())
    kept, columns = strip.extras(), range(len(take.exercise.notes) + 1)
    for onset in take.onsets:
        for verdict in follower.receive(onset):
            ledger.fold(verdict)
    assert kept.glyphs(ledger, take.onsets, 0, columns)

    assert kept.glyphs(Ledger(), [], 0, columns) == ()
