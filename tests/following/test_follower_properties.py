"""What must hold for every take; drawn near the edges, and each seen to fail on a copy of the follower broken for it.

The takes are not uniform noise: they are played lines with faults, and onsets near the limits of the windows (the hit
window, the overdue deadline, the pickup's 35, 60 and 70 ms), because uniform onsets seldom come near any.
"""

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.benchmarks.lines import drawn_line
from tests.benchmarks.takes import LOST, PLAIN, TAILED, TIERS, drawn_take
from tests.following.builders import MS, folded, follower_of, heard_at, line_of, played, said_of
from trainer.following.own_pace import SHORTEST_TRAIL
from trainer.following.verdict import Awaited, Extra, Jump, Match, Missed, Pace, Verdict, WrongNote
from trainer.playing.messages import NoteOnset, NotePassed
from trainer.score.exercise import Exercise
from trainer.theory.tuning import Tuning

EDGES_MS = (0, 35, 50, 60, 62.5, 70, 80, 125, 200, 350)
FASTEST_STEP = Fraction(1, 8)
"""Quarters at the lines' 120 a minute: 16 notes a second. Faster, one note late reads as a note and its double."""
PLACES = st.tuples(st.integers(1, 6), st.integers(0, 20))
STEPS = st.sampled_from([Fraction(1, 8), Fraction(1, 6), Fraction(1, 4), Fraction(1, 2), Fraction(1)])
WAITS_MS = st.sampled_from([0, 349, 350, 2_000])
PACES = st.sampled_from(list(Pace))


@dataclass(frozen=True)
class Drawn:
    """A line and a take of it."""

    exercise: Exercise
    pace: Pace
    onsets: tuple[NoteOnset, ...]


@st.composite
def edgy_takes(draw: st.DrawFn) -> Drawn:
    """A short line; each note on time, left out, or off by an edge of a window give or take 1 ns; extra notes too."""
    line = line_of(draw(st.lists(PLACES, min_size=1, max_size=12)), step=draw(STEPS))
    onsets: list[NoteOnset] = []
    for exact in played(line):
        fault = draw(st.sampled_from(["none", "none", "off", "left-out", "pitch", "string", "extra"]))
        off_ns = round(draw(st.sampled_from(EDGES_MS)) * MS) + draw(st.integers(-1, 1))
        off_ns *= draw(st.sampled_from([-1, 1]))
        match fault:
            case "left-out":
                continue
            case "off":
                onsets.append(at(exact, exact.onset_ns + off_ns))
            case "pitch":
                onsets.append(replace(exact, pitch=exact.pitch + draw(st.sampled_from([-12, -2, -1, 1, 2, 12]))))
            case "string":
                onsets.append(replace(exact, course=draw(st.sampled_from([None, 1, 6]))))
            case "extra":
                pitch = draw(st.sampled_from([exact.pitch, exact.pitch + 12, exact.pitch + 1, 40]))
                onsets += [exact, at(replace(exact, pitch=pitch), exact.onset_ns + off_ns)]
            case _:
                onsets.append(exact)
    return Drawn(line, draw(PACES), in_order(onsets))


@st.composite
def played_takes(draw: st.DrawFn) -> Drawn:
    """A longer line played with the faults and habits of the benchmark, restarts and noodling among them."""
    rng = Random(draw(st.integers(0, 2**32)))
    line = drawn_line(rng, draw(st.integers(8, 48)), rng.uniform(2, 20))
    tier, habit = draw(st.sampled_from(TIERS)), draw(st.sampled_from([PLAIN, TAILED, LOST]))
    pace = draw(PACES)
    return Drawn(line, pace, drawn_take(line, pace, tier, habit, rng).onsets)


TAKES = st.one_of(edgy_takes(), played_takes())


def at(onset: NoteOnset, onset_ns: int) -> NoteOnset:
    onset_ns = max(0, onset_ns)
    return replace(onset, onset_ns=onset_ns, known_ns=onset_ns)


def in_order(onsets: list[NoteOnset]) -> tuple[NoteOnset, ...]:
    ordered = sorted(onsets, key=lambda onset: onset.onset_ns)
    return tuple(replace(onset, heard=heard, event=heard) for heard, onset in enumerate(ordered))


def moved(verdict: Verdict, by_ns: int) -> Verdict:
    """The verdict with its stamps moved."""
    match verdict:
        case Match() | WrongNote() | Extra():
            return replace(verdict, onset_ns=verdict.onset_ns + by_ns)
        case Missed() | Awaited():
            return replace(verdict, known_ns=verdict.known_ns + by_ns)
        case _:
            return verdict


@given(TAKES, WAITS_MS)
@settings(max_examples=150, deadline=None)
def test_every_heard_note_gets_exactly_one_settled_verdict(take: Drawn, wait_ms: int) -> None:
    said = said_of(take.exercise, take.onsets, take.pace, wait_ms=wait_ms)

    settled = Counter(v.heard for v in said if isinstance(v, Match | WrongNote | Extra) and v.settled)
    assert settled == Counter(range(len(take.onsets)))


@given(TAKES, WAITS_MS)
@settings(max_examples=150, deadline=None)
def test_every_written_note_gets_exactly_one_settled_verdict_an_attempt(take: Drawn, wait_ms: int) -> None:
    said = said_of(take.exercise, take.onsets, take.pace, wait_ms=wait_ms)

    settled = Counter(v.index for v in said if isinstance(v, Match | WrongNote | Missed) and v.settled)
    assert set(settled) == set(range(len(take.exercise.notes)))
    if not any(isinstance(verdict, Jump) for verdict in said):
        assert set(settled.values()) == {1}


@given(TAKES)
@settings(max_examples=100, deadline=None)
def test_what_is_settled_is_never_said_otherwise_later(take: Drawn) -> None:
    final: dict[object, Verdict] = {}

    for verdict in said_of(take.exercise, take.onsets, take.pace):
        match verdict:
            case Match() | WrongNote() | Extra():
                key: object = verdict.heard
            case Missed() | Awaited():
                key = (verdict.index, verdict.after_heard)
            case _:
                continue

        assert key not in final
        if not isinstance(verdict, Awaited) and verdict.settled:
            final[key] = verdict


@given(TAKES, st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None)
def test_verdicts_do_not_depend_on_how_often_time_is_told(take: Drawn, rng: Random) -> None:
    follower = follower_of(take.exercise, take.pace)
    said: list[Verdict] = []
    now_ns = min([0, *(onset.known_ns for onset in take.onsets)])
    end_ns = max([take.exercise.tempo.ns(take.exercise.length_quarters), *(onset.known_ns for onset in take.onsets)])

    for onset in take.onsets:
        for stamp_ns in sorted(rng.randint(now_ns, onset.known_ns) for _ in range(rng.randint(0, 4))):
            said += follower.advance(stamp_ns)
        now_ns = onset.known_ns
        said += follower.receive(onset)
    for stamp_ns in range(now_ns, end_ns, 90 * MS):
        said += follower.advance(stamp_ns)
    said += follower.finish(end_ns + 2_000 * MS)

    assert said == said_of(take.exercise, take.onsets, take.pace)


@given(TAKES, st.integers(1, 10**13))
@settings(max_examples=100, deadline=None)
def test_shifting_all_stamps_changes_nothing_but_stamps(take: Drawn, by_ns: int) -> None:
    later = [replace(o, onset_ns=o.onset_ns + by_ns, known_ns=o.known_ns + by_ns) for o in take.onsets]

    said = said_of(take.exercise, later, take.pace, starts_at_ns=by_ns)

    assert said == [moved(verdict, by_ns) for verdict in said_of(take.exercise, take.onsets, take.pace)]


@given(TAKES, st.integers(-12, 12))
@settings(max_examples=100, deadline=None)
def test_transposing_instrument_line_and_take_changes_nothing(take: Drawn, steps: int) -> None:
    line = take.exercise
    tuning = Tuning("moved", tuple(pitch + steps for pitch in line.tuning.open_pitches))
    higher = replace(line, tuning=tuning, notes=tuple(replace(note, pitch=note.pitch + steps) for note in line.notes))
    onsets = [replace(onset, pitch=onset.pitch + steps) for onset in take.onsets]

    said = said_of(higher, onsets, take.pace)

    assert said == said_of(line, take.onsets, take.pace)


@given(st.lists(PLACES, min_size=1, max_size=40), STEPS, PACES)
@settings(max_examples=150, deadline=None)
def test_the_line_played_exactly_gives_only_matches_without_deviation(
    places: list[tuple[int, int]], step: Fraction, pace: Pace
) -> None:
    line = line_of(places, step=step)

    said = said_of(line, played(line), pace)

    size = len(places)
    assert not [verdict for verdict in said if isinstance(verdict, WrongNote | Extra | Missed | Awaited | Jump)]
    assert [verdict.index for verdict in folded(said).heard if isinstance(verdict, Match)] == list(range(size))
    deviations = [verdict.deviation_ns for verdict in folded(said).heard if isinstance(verdict, Match)]
    untold = 0 if pace is Pace.CLICK else min(size, SHORTEST_TRAIL)
    assert deviations == [None] * untold + [0] * (size - untold)


@given(st.lists(PLACES, min_size=9, max_size=40), STEPS, st.fractions(Fraction(3, 5), Fraction(8, 5)), st.data())
@settings(max_examples=100, deadline=None)
def test_at_ones_own_pace_even_playing_is_even_at_any_tempo_and_a_late_note_is_late_alone(
    places: list[tuple[int, int]], step: Fraction, stretch: Fraction, data: st.DataObject
) -> None:
    assume(stretch * step >= FASTEST_STEP)
    line = line_of(places, step=step)
    late_index = data.draw(st.integers(SHORTEST_TRAIL + 3, len(places) - 1))
    onsets = []
    for index, onset in enumerate(played(line)):
        at_ns = round(onset.onset_ns * stretch) + (20 * MS if index == late_index else 0)
        onsets.append(replace(onset, onset_ns=at_ns, known_ns=at_ns))

    said = folded(said_of(line, onsets, Pace.FREE))

    matches = {verdict.index: verdict for verdict in said.heard if isinstance(verdict, Match)}
    assert list(matches) == list(range(len(places)))
    told = {index: matches[index].deviation_ns or 0 for index in range(SHORTEST_TRAIL, len(places))}
    off = {index: told_ns - (20 * MS if index == late_index else 0) for index, told_ns in told.items()}
    assert all(abs(rounding_ns) <= 1000 for rounding_ns in off.values()), off


@given(st.integers(0, 11), st.sampled_from([61, 65, 80, 125, 180]), st.sampled_from([12, 7, 19]))
@settings(max_examples=60, deadline=None)
def test_a_glitch_more_than_60_ms_from_any_onset_changes_no_match(place: int, after_ms: int, interval: int) -> None:
    line = line_of([(1 + n % 3, 5 + n % 5) for n in range(12)], step=Fraction(1, 2))
    onsets = played(line)
    host = onsets[place]
    glitch = replace(at(host, host.onset_ns + after_ms * MS), pitch=host.pitch + interval, velocity=25)

    ledger = folded(said_of(line, in_order([*onsets, glitch])))

    assert [verdict.index for verdict in ledger.heard if isinstance(verdict, Match)] == list(range(12))


@given(TAKES, st.data())
@settings(max_examples=100, deadline=None)
def test_a_passed_note_is_never_charged_and_holds_no_written_note(take: Drawn, data: st.DataObject) -> None:
    if not take.onsets:
        return
    chosen = data.draw(st.sampled_from(take.onsets))
    known_at = min(chosen.heard + data.draw(st.integers(0, 8)), len(take.onsets) - 1)
    follower = follower_of(take.exercise, take.pace)
    said: list[Verdict] = []

    for onset in take.onsets:
        said += follower.receive(onset)
        if onset.heard == known_at:
            said += follower.passed(NotePassed(chosen.heard, "ghost", onset.known_ns))
    said += follower.finish(take.onsets[-1].known_ns + 5_000 * MS)

    ledger = folded(said)
    assert ledger.of_heard(chosen.heard) == Extra(chosen.heard, chosen.onset_ns, charged=False, settled=True)
    written = [ledger.of_written(index) for index in range(len(take.exercise.notes))]
    assert all(verdict is not None and verdict.settled for verdict in written)
    assert all(verdict.settled for verdict in ledger.heard)


GAPS_MS, BEHIND_MS = st.sampled_from([0, 1, 5, 20, 60, 400]), st.sampled_from([0, 5, 20, 100])


@given(st.lists(st.tuples(GAPS_MS, BEHIND_MS, st.integers(-2, 2)), max_size=20))
@settings(max_examples=150, deadline=None)
def test_notes_that_become_known_out_of_order_all_get_a_verdict(drawn: list[tuple[int, int, int]]) -> None:
    line = line_of([(2, 5), (2, 8), (1, 5), (1, 8)] * 3)
    known_ms = 0.0
    onsets: list[NoteOnset] = []
    for heard, (gap_ms, behind_ms, steps) in enumerate(drawn):
        known_ms += gap_ms
        pitch = line.notes[heard % 12].pitch + steps
        onsets.append(heard_at(heard, max(0.0, known_ms - behind_ms), 2, pitch, known_ms=known_ms))

    ledger = folded(said_of(line, onsets))

    assert len(ledger.heard) == len(onsets)
    assert all(verdict.settled for verdict in ledger.heard)
