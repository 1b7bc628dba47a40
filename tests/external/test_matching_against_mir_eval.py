"""The follower against mir_eval.transcription, the reference implementation of MIREX note tracking.

`mir_eval.transcription.match_notes` finds the largest possible one-to-one matching of notes whose onsets differ by at
most 50 ms and whose pitches agree. It may look at the whole take and knows no order, so no honest follower can have
more matches within that window; how many fewer is the price of deciding live and in order.

Reference: Raffel et al. 2014, mir_eval; MIREX, Multiple Fundamental Frequency Estimation and Tracking, note tracking.
"""

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mir_eval.transcription import match_notes

from tests.benchmarks.lines import drawn_line
from tests.benchmarks.takes import LOST, PLAIN, TAILED, TIERS, Habit, Take, Tier, drawn_take
from tests.following.builders import folded, said_of
from trainer.following.verdict import Match, Pace, Slip, WrongNote

WINDOW_NS = 50_000_000


def optimum(take: Take) -> int:
    """How many notes mir_eval can match."""
    line = take.exercise
    due_s = np.array([line.tempo.ns(note.onset_quarters) / 1e9 for note in line.notes])
    onset_s = np.array([onset.onset_ns / 1e9 for onset in take.onsets])
    written_hz = 440 * 2 ** ((np.array([note.pitch for note in line.notes]) - 69) / 12)
    heard_hz = 440 * 2 ** ((np.array([onset.pitch for onset in take.onsets]) - 69) / 12)
    written_s = np.stack([due_s, due_s + 0.05], axis=1)
    heard_s = np.stack([onset_s, onset_s + 0.05], axis=1)
    # mir_eval rounds distances to 4 decimals, so 50.04 ms still counts; the follower's window here is exact.
    return len(match_notes(written_s, written_hz, heard_s, heard_hz, onset_tolerance=0.05, offset_ratio=None))


def followed(take: Take) -> int:
    """How many notes the follower matched within 50 ms of the click, on whatever string: mir_eval knows none."""
    line = take.exercise
    heard = folded(said_of(line, take.onsets, Pace.CLICK)).heard
    return sum(
        abs(verdict.onset_ns - line.tempo.ns(line.notes[verdict.index].onset_quarters)) <= WINDOW_NS
        for verdict in heard
        if isinstance(verdict, Match) or (isinstance(verdict, WrongNote) and verdict.slip is Slip.STRING)
    )


def drawn(seed: int, tier: Tier, habit: Habit) -> Take:
    rng = Random(seed)
    line = drawn_line(rng, rng.choice((32, 64, 96)), rng.uniform(3, 16))
    return drawn_take(line, Pace.CLICK, tier, habit, rng)


@given(st.integers(0, 2**32), st.sampled_from(TIERS), st.sampled_from([PLAIN, TAILED, LOST]))
@settings(max_examples=60, deadline=None)
def test_there_are_never_more_matches_than_the_optimum(seed: int, tier: Tier, habit: Habit) -> None:
    take = drawn(seed, tier, habit)

    assert followed(take) <= optimum(take)


@pytest.mark.parametrize(("tier", "share"), [(TIERS[0], 0.999), (TIERS[1], 0.99)], ids=["clean", "student"])
def test_few_of_the_possible_matches_are_lost(tier: Tier, share: float) -> None:
    takes = [drawn(seed, tier, PLAIN) for seed in range(20)]

    matched, possible = sum(map(followed, takes)), sum(map(optimum, takes))

    assert share * possible <= matched <= possible
