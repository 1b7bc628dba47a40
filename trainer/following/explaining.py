"""Why a verdict is what it is: what was heard, what else it might have been, and how it was measured.

The follower keeps an account of each heard note when it is asked to: the readings in hand when it was heard and when
its verdict was settled, with their likelihoods. `explained` puts together all that bears on one written note; the words
are in `trainer.tablature.explained`.

Conventions: likelihoods are shares of all readings kept, so they sum to 1; what the search had dropped by then, or had
merged with a likelier reading that leads to the same place, counts nothing. Times are ns from the start of the take.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp

from trainer.following.assessment import hit_window_ns
from trainer.following.ledger import Attempt, Ledger
from trainer.following.paths import Beam, Kind, Step
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Match, Missed, TechniqueVerdict, WrongNote
from trainer.playing.messages import Inflection, NoteOnset, TechniqueHeard
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to read a heard note."""

    index: int | None
    """The written note it is taken for; None: for one that is not written."""
    is_charged: bool
    """False: a slip of the pickup or a fret passed on the way."""
    is_jump: bool
    """The player went on from elsewhere with it."""
    share: float
    """How likely this is among the readings kept, 0..1."""


@dataclass(frozen=True, slots=True)
class Account:
    """How a heard note was read."""

    heard: int
    at_once: tuple[Candidate, ...]
    """The readings in hand when it was heard, the likeliest first."""
    settled: tuple[Candidate, ...]
    """The readings in hand when it was settled, the one that was settled first."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """All that bears on the verdict on one written note."""

    index: int
    note: ScoreNote
    verdict: Attempt | None
    """The latest attempt; None: the take ended before it."""
    earlier_attempts: int
    due_ns: int | None
    """None at the player's own pace."""
    tolerance: Tolerance
    window_ns: int
    """The hit window of this note, on each side."""
    onset: NoteOnset | None
    """What was heard in its place."""
    account: Account | None
    """How that was read; None where no accounts were kept."""
    passed_over: tuple[tuple[NoteOnset, Candidate, Candidate], ...]
    """Of a missed note: heard notes that might have been it when they were heard, as that, and as what was settled."""
    between: tuple[NoteOnset | None, NoteOnset | None]
    """Of a missed note: the heard note after which it is missing, and the next one."""
    technique: TechniqueVerdict | None
    told: TechniqueHeard | None
    inflection: Inflection = Inflection()  # noqa: RUF009 - a frozen value
    """What was done to its pitch while it sounded."""


def candidates(beam: Beam, heard: int) -> tuple[Candidate, ...]:
    """How the paths of a beam read a heard note, the likeliest first; paths that agree count as one."""
    shares: dict[tuple[Kind, int, bool], float] = {}
    for path in beam:
        step = path.step
        while step is not None and step.heard != heard:
            step = step.before
        if step is not None:
            reading = (step.kind, step.taken, step.jumped)
            shares[reading] = shares.get(reading, 0.0) + exp(path.score - beam[0].score)
    whole = sum(shares.values())
    ordered = sorted(shares.items(), key=lambda item: -item[1])
    return tuple(_candidate(*reading, share / whole) for reading, share in ordered)


def settled_first(found: tuple[Candidate, ...], step: Step) -> tuple[Candidate, ...]:
    """The candidates with what was settled in front."""
    decided = _candidate(step.kind, step.taken, step.jumped, 0.0)
    return tuple(sorted(found, key=lambda one: (one.index, one.is_charged) != (decided.index, decided.is_charged)))


def _candidate(kind: Kind, taken: int, jumped: bool, share: float) -> Candidate:  # noqa: FBT001 - the fields of a step
    return Candidate(taken if kind is Kind.WRITTEN else None, kind is not Kind.SPURIOUS, jumped, share)


def explained(
    index: int,
    exercise: Exercise,
    ledger: Ledger,
    *,
    accounts: Mapping[int, Account],
    onsets: Sequence[NoteOnset],
    techniques: Mapping[int, TechniqueHeard],
    inflections: Mapping[int, Inflection],
    tempo: Tempo,
    tolerance: Tolerance,
    starts_at_ns: int | None,
) -> Explanation:
    """Why written note `index` got its verdict; `starts_at_ns` is when the click starts, None at one's own pace."""
    verdict = ledger.of_written(index)
    due_ns = [tempo.ns(note.onset_quarters) for note in exercise.notes]
    heard = verdict.heard if isinstance(verdict, Match | WrongNote) else None
    return Explanation(
        index=index,
        note=exercise.notes[index],
        verdict=verdict,
        earlier_attempts=max(0, len(ledger.attempts(index)) - 1),
        due_ns=None if starts_at_ns is None else starts_at_ns + due_ns[index],
        tolerance=tolerance,
        window_ns=hit_window_ns(due_ns, index, tolerance),
        onset=None if heard is None else onsets[heard],
        account=None if heard is None else accounts.get(heard),
        passed_over=_passed_over(verdict, accounts, onsets) if isinstance(verdict, Missed) else (),
        between=_between(verdict, onsets) if isinstance(verdict, Missed) else (None, None),
        technique=ledger.technique_of(index),
        told=None if heard is None else techniques.get(heard),
        inflection=Inflection() if heard is None else inflections.get(heard, Inflection()),
    )


def _between(missed: Missed, onsets: Sequence[NoteOnset]) -> tuple[NoteOnset | None, NoteOnset | None]:
    before, after = missed.after_heard, missed.after_heard + 1
    return onsets[before] if before >= 0 else None, onsets[after] if after < len(onsets) else None


def _passed_over(
    missed: Missed, accounts: Mapping[int, Account], onsets: Sequence[NoteOnset]
) -> tuple[tuple[NoteOnset, Candidate, Candidate], ...]:
    """The heard notes near the gap of which a reading in hand made this note."""
    found: list[tuple[NoteOnset, Candidate, Candidate]] = []
    for heard in range(max(0, missed.after_heard), min(missed.after_heard + NEAR_NOTES + 1, len(onsets))):
        account = accounts.get(heard)
        as_this = next((one for one in account.at_once if one.index == missed.index), None) if account else None
        if account is not None and as_this is not None:
            found.append((onsets[heard], as_this, account.settled[0]))
    return tuple(found)


NEAR_NOTES = 3
"""So many notes after the gap are looked at."""
