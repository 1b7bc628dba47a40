"""The transitions of a line over the passes that the history kept: where the coach's weighing meets the history."""

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.coaching.played import LEAST_SHARE_PLAYED, Outcome, PlayedPass
from trainer.coaching.telling import Hearing, place_of
from trainer.coaching.transitions import Transition, weigh
from trainer.following.verdict import TechniqueResult
from trainer.history.passes import NoteOfPass, PassPlayed
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

NS_PER_MS = 1_000_000


@dataclass(frozen=True, slots=True)
class WeakPlace:
    """One transition, by what was measured of it."""

    from_index: int
    to_index: int
    name: str
    """Where it is: strings and frets as written, or pitches where the pickup does not tell strings."""
    late_ms: float | None
    spread_ms: float | None
    failures: int
    attempts: int
    is_weak: bool
    evidence: float
    transition: Transition
    """The same, as it was weighed."""

    def words(self) -> str:
        """What was measured, as a sentence."""
        timing = ""
        if self.late_ms is not None:
            side = "late" if self.late_ms >= 0 else "early"
            timing = f"came {abs(self.late_ms):.0f} ms {side} on average"
            if self.spread_ms is not None:
                timing += f", spread {self.spread_ms:.0f} ms"
        failed = f"failed {self.failures} times of {self.attempts}" if self.failures else ""
        what = " and ".join(part for part in (timing, failed) if part) or "was not heard in order"
        return f"From note {self.from_index} to {self.to_index} ({self.name}): {what}."


@dataclass(frozen=True, slots=True)
class WeakPlaces:
    """All transitions over some passes, the weakest first."""

    passes: int
    places: tuple[WeakPlace, ...]


def weak_places(exercise: Exercise, passes: Sequence[PassPlayed], hearing: Hearing) -> WeakPlaces:
    """The transitions over passes with the click, oldest first; passes hardly played do not count."""
    played = [one for one in (played_pass(exercise, one) for one in passes) if one.share_played >= LEAST_SHARE_PLAYED]
    weighed = weigh(played, is_timed=True)
    return WeakPlaces(weighed.passes, tuple(_place(exercise, each, hearing) for each in weighed.ranked))


def played_pass(exercise: Exercise, one: PassPlayed) -> PlayedPass:
    """A pass of the history as the coach sees it."""
    tempo = Tempo(one.quarters_per_minute)
    notes = [one.notes.get(index) for index in range(len(exercise.notes))]
    return PlayedPass(
        due_ms=tuple(tempo.ns(note.onset_quarters) / NS_PER_MS for note in exercise.notes),
        played_ms=tuple(
            None if note is None or note.slip is not None or note.onset_ns is None else note.onset_ns / NS_PER_MS
            for note in notes
        ),
        outcomes=tuple(_outcome(note) for note in notes),
        entries=frozenset(index for index, note in enumerate(notes) if note is not None and note.comes_after_jump),
    )


def _outcome(note: NoteOfPass | None) -> Outcome:
    if note is None:
        return Outcome.OPEN
    if note.is_missed:
        return Outcome.MISSED
    if note.slip is not None:
        return Outcome.WRONG
    return Outcome.OTHERWISE if note.technique_result is TechniqueResult.OTHERWISE else Outcome.CLEAN


def _place(exercise: Exercise, each: Transition, hearing: Hearing) -> WeakPlace:
    before, after = (place_of(exercise, index, hearing) for index in (each.from_index, each.to_index))
    return WeakPlace(
        each.from_index,
        each.to_index,
        f"{before} to {after}",
        each.late_ms,
        each.spread_ms,
        each.misses,
        each.attempts,
        each.is_weak,
        each.evidence,
        each,
    )
