from dataclasses import replace

from tests.following.builders import EIGHT_UP, MS, line_of, played
from trainer.following.explaining import Account, Explanation, explained
from trainer.following.follower import Follower
from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Match, Missed, Pace
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise


def followed(line: Exercise, onsets: list[NoteOnset]) -> tuple[Follower, Ledger]:
    """A finished take with its accounts."""
    follower = Follower(line, Pace.CLICK, line.tempo, 0, Tolerance(), keeps_account=True)
    ledger = Ledger()
    for onset in onsets:
        for verdict in follower.receive(onset):
            ledger.fold(verdict)
    for verdict in follower.finish(10_000 * MS):
        ledger.fold(verdict)
    return follower, ledger


def explanation_of(line: Exercise, onsets: list[NoteOnset], index: int) -> Explanation:
    follower, ledger = followed(line, onsets)
    return explained(
        index,
        line,
        ledger,
        accounts=follower.accounts,
        onsets=onsets,
        techniques={},
        inflections={},
        tempo=line.tempo,
        tolerance=Tolerance(),
        starts_at_ns=0,
    )


def test_no_account_is_kept_unless_it_is_asked_for() -> None:
    line = line_of(EIGHT_UP)
    follower = Follower(line, Pace.CLICK, line.tempo, 0, Tolerance())

    for onset in played(line):
        follower.receive(onset)
    follower.finish(10_000 * MS)

    assert follower.accounts == {}


def test_every_heard_note_has_an_account_whose_likelihoods_make_a_whole() -> None:
    line = line_of(EIGHT_UP)
    onsets = played(line)
    onsets[3] = replace(onsets[3], pitch=onsets[3].pitch + 1)

    follower, _ = followed(line, onsets)

    assert sorted(follower.accounts) == list(range(8))
    for account in follower.accounts.values():
        assert abs(sum(candidate.share for candidate in account.settled) - 1) < 1e-9


def test_what_was_settled_stands_first_in_the_account() -> None:
    line = line_of(EIGHT_UP)
    onsets = played(line)
    onsets[3] = replace(onsets[3], pitch=onsets[3].pitch + 1)

    follower, ledger = followed(line, onsets)

    for heard, account in follower.accounts.items():
        assert account.settled[0].index == getattr(ledger.of_heard(heard), "index", None)


def test_a_match_is_explained_by_what_was_heard_and_the_window_of_its_neighbours() -> None:
    line = line_of(EIGHT_UP, quarters_per_minute=240)
    onsets = played(line)

    explanation = explanation_of(line, onsets, 2)

    assert explanation.verdict == Match(2, 2, 125 * MS, 0, settled=True)
    assert explanation.onset == onsets[2]
    assert explanation.due_ns == 125 * MS
    assert explanation.window_ns == 31_250_000
    account = explanation.account
    assert isinstance(account, Account)
    assert account.at_once[0].index == 2


def test_a_missed_note_is_explained_by_the_gap_and_by_what_might_have_been_it() -> None:
    line = line_of([(4, 7), (4, 9), (4, 9), (3, 7), (3, 9)])
    onsets = [replace(o, heard=n, event=n) for n, o in enumerate([*played(line)[:2], *played(line)[3:]])]
    onsets[1] = replace(onsets[1], onset_ns=180 * MS, known_ns=180 * MS)

    explanation = explanation_of(line, onsets, 2)

    assert isinstance(explanation.verdict, Missed)
    assert explanation.between == (onsets[1], onsets[2])
    onset, as_this, as_read = explanation.passed_over[0]
    assert onset == onsets[1]
    assert (as_this.index, as_read.index) == (2, 1)
    assert 0.01 < as_this.share < 0.5
