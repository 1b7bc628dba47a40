"""What is said at once, and what is better said a little later: a reading that would be taken back too often."""

from dataclasses import replace

import pytest

from tests.following.builders import EIGHT_UP, MS, folded, follower_of, heard_words, line_of, played
from tests.following.test_stopping import PASSAGE, at_ms
from trainer.following.verdict import Awaited, Extra, Match, Missed, Pace, Verdict, WrongNote
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise

TURNS = ((3, 5), (3, 7), (2, 5), (3, 5), (3, 7), (2, 8), (3, 5), (3, 7), (1, 5), (3, 5), (3, 7), (1, 8))
"""Three-note cells that differ in their last note only."""


def heards(verdicts: list[Verdict]) -> list[int]:
    """The heard notes that something is said about."""
    return [verdict.heard for verdict in verdicts if isinstance(verdict, Match | WrongNote | Extra)]


def after_a_jump(line: Exercise, goes_to: int) -> list[NoteOnset]:
    """The line played to its end, and after a pause again from a note on."""
    onsets = played(line)
    return [*onsets, *at_ms(onsets[goes_to:], onsets[-1].onset_ns / MS + 1_337, len(onsets))]


def hesitant(line: Exercise, places: set[int]) -> list[NoteOnset]:
    """The line played exactly, but with a wait of two beats before each of some notes."""
    waits = [sum(place <= index for place in places) for index in range(len(line.notes))]
    return [
        replace(o, onset_ns=o.onset_ns + 1_000 * MS * wait, known_ns=o.known_ns + 1_000 * MS * wait)
        for o, wait in zip(played(line), waits, strict=True)
    ]


@pytest.mark.parametrize("pace", list(Pace))
def test_a_line_played_exactly_is_said_note_by_note(pace: Pace) -> None:
    line = line_of(PASSAGE)
    follower = follower_of(line, pace)

    newly = [max(heards(list(follower.receive(onset)))) for onset in played(line)]

    assert newly == list(range(len(PASSAGE)))


@pytest.mark.parametrize("pace", list(Pace))
def test_a_note_that_may_be_any_of_several_is_said_once_the_next_ones_tell(pace: Pace) -> None:
    line = line_of(TURNS)
    follower = follower_of(line, pace)
    onsets = after_a_jump(line, 3)
    for onset in onsets[:12]:
        follower.receive(onset)

    first = heards(list(follower.receive(onsets[12])))
    later = [verdict for onset in onsets[13:15] for verdict in follower.receive(onset)]

    assert 12 not in first
    assert heard_words(folded(later)).split()[-3:] == ["m3", "m4", "m5"]


@pytest.mark.parametrize("pace", list(Pace))
def test_a_note_that_nothing_follows_is_said_after_350_ms_however_uncertain_it_is(pace: Pace) -> None:
    line = line_of(TURNS)
    follower = follower_of(line, pace)
    onsets = after_a_jump(line, 3)[:13]
    for onset in onsets[:12]:
        follower.receive(onset)

    at_once = heards(list(follower.receive(onsets[12])))
    before = heards(list(follower.advance(onsets[12].known_ns + 350 * MS - 1)))
    then = follower.advance(onsets[12].known_ns + 350 * MS)

    assert [at_once.count(12), before.count(12)] == [0, 0]
    assert [v.settled for v in then if isinstance(v, Match | WrongNote | Extra) and v.heard == 12] == [True]


def test_who_tends_to_wait_is_not_told_again_that_the_next_note_is_missing() -> None:
    line = line_of([*PASSAGE, *EIGHT_UP])
    follower = follower_of(line)

    said = [verdict for onset in hesitant(line, {6, 12, 18, 24}) for verdict in follower.receive(onset)]

    assert [verdict.index for verdict in said if isinstance(verdict, Missed)] == [6]
    assert [verdict.index for verdict in said if isinstance(verdict, Awaited)] == [6]


def test_who_leaves_notes_out_is_told_each_time_at_its_deadline() -> None:
    line = line_of([*PASSAGE, *EIGHT_UP], quarters_per_minute=60)
    follower = follower_of(line)
    left_out = (6, 12, 18, 24)

    said: list[Verdict] = []
    for onset in played(line):
        if onset.heard not in left_out:
            fewer = sum(place < onset.heard for place in left_out)
            said += follower.receive(replace(onset, heard=onset.heard - fewer, event=onset.heard - fewer))

    told = {verdict.index: verdict.known_ns for verdict in said if isinstance(verdict, Missed)}
    assert told == {index: (index * 250 + 125) * MS for index in left_out}
    assert not [verdict for verdict in said if isinstance(verdict, Awaited)]
