"""Short ways to write a line, a take, and a run of the follower."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from trainer.following.follower import Follower
from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Extra, HeardVerdict, Match, Missed, Pace, Verdict, WrongNote
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.tuning import Tuning

GUITAR = Tuning("standard", (64, 59, 55, 50, 45, 40))
MS = 1_000_000
SIXTEENTH = Fraction(1, 4)
LINE = ((2, 10), (2, 8), (3, 9), (3, 7), (2, 8), (3, 9), (3, 7), (4, 9))
"""Eight places, (course, fret), that a line goes through."""
EIGHT_UP = ((4, 7), (4, 9), (3, 7), (3, 9), (2, 8), (2, 10), (1, 8), (1, 10))
"""Eight different pitches, rising."""


def line_of(
    places: Iterable[tuple[int, int]],
    *,
    step: Fraction = SIXTEENTH,
    onsets: Sequence[Fraction] | None = None,
    quarters_per_minute: int = 120,
    tuning: Tuning = GUITAR,
) -> Exercise:
    """A line of (course, fret), one every `step` quarters unless the onsets are given."""
    locations = [Location(course, fret) for course, fret in places]
    starts = list(onsets) if onsets is not None else [index * step for index in range(len(locations))]
    notes = tuple(
        ScoreNote(start, step, location, tuning.pitch_at(location), group=index // 4)
        for index, (start, location) in enumerate(zip(starts, locations, strict=True))
    )
    length = -(-(starts[-1] + step) // 4) * 4
    return Exercise("line", "Line", tuning, Tempo(Fraction(quarters_per_minute)), notes, length_quarters=length)


def heard_at(heard: int, at_ms: float, course: int | None, pitch: int, *, known_ms: float | None = None) -> NoteOnset:
    """A heard note at a time in ms."""
    known_ns = round((at_ms if known_ms is None else known_ms) * MS)
    return NoteOnset(heard, heard, round(at_ms * MS), known_ns, course, pitch, velocity=80)


def played(exercise: Exercise, *, starts_at_ns: int = 0, order: Sequence[int] | None = None) -> list[NoteOnset]:
    """A take that plays the line exactly; or the notes in `order`, each when its place in the order is due."""
    places = range(len(exercise.notes)) if order is None else order
    slots = [exercise.tempo.ns(note.onset_quarters) + starts_at_ns for note in exercise.notes]
    return [
        NoteOnset(heard, heard, slots[heard], slots[heard], exercise.notes[i].course, exercise.notes[i].pitch, 80)
        for heard, i in enumerate(places)
    ]


def follower_of(exercise: Exercise, pace: Pace = Pace.CLICK, starts_at_ns: int = 0) -> Follower:
    """A follower of the line at its own tempo."""
    return Follower(exercise, pace, exercise.tempo, starts_at_ns, Tolerance())


def said_of(
    exercise: Exercise,
    onsets: Iterable[NoteOnset],
    pace: Pace = Pace.CLICK,
    starts_at_ns: int = 0,
    *,
    wait_ms: int = 2_000,
) -> list[Verdict]:
    """All that the follower says of a take that is finished some time after its end."""
    follower = follower_of(exercise, pace, starts_at_ns)
    said: list[Verdict] = []
    last_ns = starts_at_ns + exercise.tempo.ns(exercise.length_quarters)
    for onset in onsets:
        said += follower.receive(onset)
        last_ns = max(last_ns, onset.known_ns)
    said += follower.finish(last_ns + wait_ms * MS)
    return said


def folded(verdicts: Iterable[Verdict]) -> Ledger:
    """The ledger of some verdicts."""
    ledger = Ledger()
    for verdict in verdicts:
        ledger.fold(verdict)
    return ledger


def word_of(verdict: HeardVerdict | Missed | None) -> str:
    """A verdict in short: `m5` matched 5, `p5` another pitch, `s5` another string, `x` extra, `u` uncharged, `-`."""
    match verdict:
        case Match(index=index):
            return f"m{index}"
        case WrongNote(index=index, slip=slip):
            return f"{slip.value.split('-')[1][0]}{index}"
        case Extra(charged=charged):
            return "x" if charged else "u"
        case Missed() | None:
            return "-"


def heard_words(ledger: Ledger) -> str:
    """What stands about each heard note, in short."""
    return " ".join(word_of(verdict) for verdict in ledger.heard)


def written_words(ledger: Ledger, size: int) -> str:
    """What stands about each written note, in short."""
    return " ".join(word_of(ledger.of_written(index)) for index in range(size))


def renumbered(onsets: list[NoteOnset]) -> list[NoteOnset]:
    """The same notes, numbered in the order of their onsets."""
    in_order = sorted(onsets, key=lambda onset: onset.onset_ns)
    return [replace(onset, heard=heard, event=heard) for heard, onset in enumerate(in_order)]
