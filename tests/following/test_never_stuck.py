"""Wherever the player goes on from, and whenever, the reading gets there within eight clean notes."""

from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest

from tests.benchmarks.lines import drawn_line
from tests.following.builders import MS, folded, follower_of, line_of, played
from trainer.following.verdict import Match, Pace, Verdict
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise

CLEAN_NOTES = 8
PAUSES_MS = (-60, 0, 0, 37, 130, 199, 200, 350, 500, 777, 1_500, 4_000)
"""Beyond the interval between two notes; 0: the player goes on in time."""


def strewn_line(seed: int, size: int, step: Fraction) -> Exercise:
    """A line that hardly repeats itself."""
    rng = Random(seed)
    return line_of([(rng.randint(1, 4), rng.randint(3, 12)) for _ in range(size)], step=step)


def celled_line(seed: int, size: int, step: Fraction) -> Exercise:
    """A line of cells, which repeats itself a lot."""
    return drawn_line(Random(seed), size, float(Fraction(2) / step))


def stands_alone(line: Exercise, first: int) -> bool:
    """Whether the clean notes from `first` on stand nowhere else, not even with two of the last six changed."""
    pitches = [note.pitch for note in line.notes]
    run = pitches[first + 2 : first + CLEAN_NOTES]
    others = [pitches[at : at + len(run)] for at in range(len(pitches) - len(run) + 1) if at != first + 2]
    return all(sum(a != b for a, b in zip(run, other, strict=True)) > 2 for other in others)


def with_jump(line: Exercise, stop: int, goes_to: int, pause_ms: int) -> list[NoteOnset]:
    """The line played exactly up to `stop`, and after a pause eight notes from `goes_to` on."""
    onsets = played(line)
    gap_ns = line.tempo.ns(line.notes[1].onset_quarters)
    starts_ns = onsets[stop].onset_ns + max(gap_ns + pause_ms * MS, 30 * MS)
    later: list[NoteOnset] = []
    for onset in onsets[goes_to : goes_to + CLEAN_NOTES]:
        at_ns = starts_ns + onset.onset_ns - onsets[goes_to].onset_ns
        heard = stop + 1 + len(later)
        later.append(replace(onset, heard=heard, event=heard, onset_ns=at_ns, known_ns=at_ns))
    return [*onsets[: stop + 1], *later]


def index_of_last(line: Exercise, onsets: list[NoteOnset], pace: Pace) -> int | None:
    """Which written note the last heard note is said to be at once."""
    follower = follower_of(line, pace)
    said: list[Verdict] = []
    for onset in onsets:
        said += follower.receive(onset)
    verdict = folded(said).of_heard(onsets[-1].heard)
    return verdict.index if isinstance(verdict, Match) else None


def trial(rng: Random, pace: Pace) -> bool | None:
    """Whether the reading is in place after one drawn jump; None where the notes stand elsewhere, too."""
    size = rng.choice([24, 64, 192, 400])
    step = rng.choice([Fraction(1, 6), Fraction(1, 4), Fraction(1), Fraction(2)])
    line = rng.choice([strewn_line, celled_line])(rng.randrange(2**32), size, step)
    stop = 3 + rng.randrange(size - 5)
    first = rng.randrange(size - CLEAN_NOTES)
    if not stands_alone(line, first):
        return None
    return index_of_last(line, with_jump(line, stop, first, rng.choice(PAUSES_MS)), pace) == first + CLEAN_NOTES - 1


@pytest.mark.parametrize("pace", list(Pace))
@pytest.mark.parametrize(("stop", "goes_to"), [(171, 18), (22, 166)])
def test_a_jump_across_a_long_line_is_followed_within_eight_clean_notes(stop: int, goes_to: int, pace: Pace) -> None:
    line = strewn_line(1, 192, Fraction(1))

    assert index_of_last(line, with_jump(line, stop, goes_to, 0), pace) == goes_to + CLEAN_NOTES - 1


@pytest.mark.parametrize("pace", list(Pace))
def test_after_a_jump_to_anywhere_eight_clean_notes_that_stand_alone_are_nearly_always_enough(pace: Pace) -> None:
    rng = Random(2026)

    told = [result for _ in range(400) if (result := trial(rng, pace)) is not None]

    # Not always: a jump a few notes back without any pause, in lines of cells at 12 notes a second, can take longer.
    assert len(told) > 100
    assert sum(told) / len(told) >= 0.99


@pytest.mark.parametrize("pace", list(Pace))
@pytest.mark.parametrize(
    "stretch", [Fraction(2, 5), Fraction(1, 2), Fraction(3, 2), Fraction(2), Fraction(5, 2), Fraction(4)]
)
def test_who_suddenly_plays_at_another_speed_is_still_in_place(stretch: Fraction, pace: Pace) -> None:
    line = strewn_line(8, 48, Fraction(1, 4))
    onsets: list[NoteOnset] = []
    at_ns = 0
    for onset in played(line):
        onsets.append(replace(onset, onset_ns=at_ns, known_ns=at_ns))
        at_ns += round(125 * MS * (stretch if onset.heard >= 12 else 1))
    follower = follower_of(line, pace)

    ledger = folded([verdict for onset in onsets for verdict in follower.receive(onset)])

    assert [verdict.index for verdict in ledger.heard if isinstance(verdict, Match)] == list(range(48))
