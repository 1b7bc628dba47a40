"""Where a player goes on after having stopped: what noodling, missed notes and the beats of the click say about it."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.following.builders import EIGHT_UP, LINE, MS, folded, follower_of, heard_at, heard_words, line_of, played
from trainer.following.clock import ON_THE_BEAT_NS, entries, entry_fit
from trainer.following.line import Line
from trainer.following.paths import Kind, Step, Usual
from trainer.following.verdict import Jump, Match, Pace, Verdict
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise

PASSAGE = (*EIGHT_UP, *((course, fret + 2) for course, fret in EIGHT_UP), *((c, f + 4) for c, f in EIGHT_UP))
"""24 different notes."""


def at_ms(notes: list[NoteOnset], starts_ms: float, heard: int) -> list[NoteOnset]:
    """The notes one after another as they were, the first one at a new time, numbered from `heard`."""
    shift_ns = round(starts_ms * MS) - notes[0].onset_ns
    return [
        replace(
            note, heard=heard + n, event=heard + n, onset_ns=note.onset_ns + shift_ns, known_ns=note.known_ns + shift_ns
        )
        for n, note in enumerate(notes)
    ]


def said(line: Exercise, onsets: list[NoteOnset], pace: Pace) -> list[Verdict]:
    follower = follower_of(line, pace)
    verdicts = [verdict for onset in onsets for verdict in follower.receive(onset)]
    return [*verdicts, *follower.finish(onsets[-1].known_ns + 2_000 * MS)]


@pytest.mark.parametrize("pace", list(Pace))
def test_a_note_of_the_line_among_noodling_is_not_taken_for_going_on(pace: Pace) -> None:
    line = line_of(PASSAGE)
    onsets = played(line)[:12]
    noodled = [(3, 57), (4, 54), (3, 61), (4, 52), (line.notes[12].course, line.notes[12].pitch)]
    stray = [heard_at(12 + n, 1_375 + 700 + 180 * n, course, pitch) for n, (course, pitch) in enumerate(noodled)]
    again = at_ms(played(line)[8:], stray[-1].onset_ns / MS + 1_200, 17)

    verdicts = said(line, [*onsets, *stray, *again], pace)

    words = heard_words(folded(verdicts)).split()
    assert words[12:17] == ["x"] * 5
    assert words[17:] == [f"m{index}" for index in range(8, 24)]
    assert [verdict for verdict in verdicts if isinstance(verdict, Jump)] == [Jump(17, 11, 8)]


@pytest.mark.parametrize("pace", list(Pace))
def test_who_stops_has_gone_back_though_the_copy_ahead_is_nearer(pace: Pace) -> None:
    line = line_of([*EIGHT_UP, *LINE, *PASSAGE, *LINE])
    onsets = played(line)[:36]
    again = at_ms(played(line)[8:16], onsets[-1].onset_ns / MS + 1_337, 36)

    ledger = folded(said(line, [*onsets, *again], pace))

    assert heard_words(ledger).split()[36:] == [f"m{index}" for index in range(8, 16)]


@pytest.mark.parametrize("pace", list(Pace))
def test_a_silence_as_long_as_the_notes_left_out_in_it_is_no_stop(pace: Pace) -> None:
    line = line_of(PASSAGE, step=Fraction(1, 6))
    heard = [index for index in range(24) if index not in (10, 11)]
    onsets = [replace(played(line)[index], heard=n, event=n) for n, index in enumerate(heard)]

    verdicts = said(line, onsets, pace)

    matches = [verdict.index for verdict in folded(verdicts).heard if isinstance(verdict, Match)]
    assert matches == heard
    assert not [verdict for verdict in verdicts if isinstance(verdict, Jump)]


def entry(deviation_ns: int) -> Step:
    return Step(20, None, Kind.WRITTEN, 4, 12, 19, deviation_ns=deviation_ns, jumped=True)


def test_a_player_who_enters_on_the_beats_is_expected_to_and_one_who_does_not_is_not() -> None:
    on, off = Usual(), Usual()
    at_first = on.on_the_beat

    for _ in range(6):
        on.count(entry(round(2 * ON_THE_BEAT_NS)))
        off.count(entry(round(2 * ON_THE_BEAT_NS) + 1))

    assert off.on_the_beat < at_first < on.on_the_beat


def test_entries_off_the_beat_fit_a_player_better_who_seldom_enters_on_it() -> None:
    exercise = line_of(EIGHT_UP)
    line = Line(exercise, Pace.CLICK, exercise.tempo, None)
    on_it, off_it = 1_000 * MS, 1_250 * MS
    often, seldom = entries(line, 0.8), entries(line, 0.2)

    assert entry_fit(line, 0, on_it, often) > entry_fit(line, 0, on_it, seldom) > entry_fit(line, 0, off_it, seldom)
    assert entry_fit(line, 0, off_it, seldom) > entry_fit(line, 0, off_it, often)
