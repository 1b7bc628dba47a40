"""What was played of one line so far, over all takes and passes of one sitting.

A take may begin in the middle of the line (after a pause) or go round a part of it (a loop), so each stretch knows
which notes of the line it holds; figures per note of the line are gathered from all stretches.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

from trainer.following.assessment import Assessment, TechniqueCount
from trainer.following.explaining import Explanation
from trainer.following.ledger import Ledger
from trainer.following.verdict import Match, Missed, WrongNote
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise
from trainer.tablature.explained import sentences
from trainer.tablature.figures import technique_counts
from trainer.tablature.state import TO_COME, NoteState, state_of
from trainer.tablature.trace import Spread, spread_of
from trainer.theory.technique import Technique

MISSED_COSTS_MS = 50.0
"""In the order of weak transitions a note that is always missed weighs as one at the edge of the hit window."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """One take of a line or of a part of it."""

    exercise: Exercise
    """All that was to be played, its passes written out."""
    ledger: Ledger
    onsets: Sequence[NoteOnset]
    assess: Callable[[], Assessment]
    """The figures of the take, as they stand."""
    explain: Callable[[int], Explanation]
    """Why a note got its verdict."""
    pass_length: int
    first: int
    """Which note of the whole (all passes of the line) its note 0 is."""
    line_length: int
    is_loop: bool = False
    is_timed: bool = True
    """Its notes were due by a click."""

    def line_index(self, index: int) -> int:
        """Which note of the line a note of this stretch is."""
        return (self.first + index % self.pass_length) % self.line_length

    def pass_number(self, index: int) -> int:
        """Which time through the line a note belongs to, from 1; in a loop, which time round."""
        rounds, within = divmod(index, self.pass_length)
        return rounds + 1 if self.is_loop else rounds + (self.first + within) // self.line_length + 1

    @property
    def attempted(self) -> tuple[int, ...]:
        """The notes about which something is known."""
        return tuple(i for i in range(len(self.exercise.notes)) if self.ledger.of_written(i) is not None)


@dataclass(frozen=True, slots=True)
class WeakTransition:
    """Two neighbouring notes of the line, and how the second followed the first over all passes."""

    from_index: int
    to_index: int
    mean_late_ms: float | None
    spread_ms: float | None
    misses: int
    attempts: int

    @property
    def cost_ms(self) -> float:
        """What the worst ones are ordered by: how far off, how unsteady, how often missed."""
        missed_share = self.misses / self.attempts if self.attempts else 0.0
        return abs(self.mean_late_ms or 0.0) + (self.spread_ms or 0.0) + MISSED_COSTS_MS * missed_share


def deviations_ms(stretches: Iterable[Stretch], *, before_pass: int | None = None) -> dict[int, list[float]]:
    """The deviations of each note of the line; of the last stretch only the passes before `before_pass` count."""
    deviations: dict[int, list[float]] = defaultdict(list)
    in_order = list(stretches)
    for stretch in in_order:
        for index in stretch.attempted:
            verdict = stretch.ledger.of_written(index)
            is_over = before_pass is None or stretch is not in_order[-1] or stretch.pass_number(index) < before_pass
            if isinstance(verdict, Match) and verdict.deviation_ns is not None and is_over:
                deviations[stretch.line_index(index)].append(verdict.deviation_ns / 1e6)
    return deviations


def spreads(stretches: Iterable[Stretch], *, before_pass: int | None = None) -> dict[int, Spread]:
    """The spread of each note of the line that was played often enough; `before_pass` as above."""
    found = {index: spread_of(values) for index, values in deviations_ms(stretches, before_pass=before_pass).items()}
    return {index: spread for index, spread in found.items() if spread is not None}


def pooled_techniques(stretches: Iterable[Stretch]) -> tuple[TechniqueCount, ...]:
    """What was heard of the written slides, hammer-ons and pull-offs, over all takes."""
    pooled: dict[Technique, TechniqueCount] = {}
    for stretch in stretches:
        for one in technique_counts(stretch.exercise, stretch.ledger, stretch.attempted):
            known = pooled.get(one.technique, TechniqueCount(one.technique, 0, 0, 0, 0))
            pooled[one.technique] = TechniqueCount(
                one.technique,
                known.written + one.written,
                known.as_written + one.as_written,
                known.otherwise + one.otherwise,
                known.not_measurable + one.not_measurable,
            )
    return tuple(pooled.values())


def latest_states(stretches: Sequence[Stretch]) -> dict[int, NoteState]:
    """The latest attempt at each note of the line."""
    states: dict[int, NoteState] = {}
    for stretch in stretches:
        for index in stretch.attempted:
            state = state_of(index, stretch.exercise, stretch.ledger, stretch.onsets)
            if state is not TO_COME:
                states[stretch.line_index(index)] = state
    return states


def latest_explained(stretches: Sequence[Stretch], line_index: int) -> tuple[str, ...]:
    """Why the latest attempt at a note of the line got its verdict, in sentences; none if it was not attempted."""
    for stretch in reversed(stretches):
        for index in reversed(stretch.attempted):
            if stretch.line_index(index) == line_index:
                return explained(stretch, index)
    return ()


def explained(stretch: Stretch, index: int) -> tuple[str, ...]:
    """Why a note of a take got its verdict, in sentences."""
    return sentences(stretch.explain(index), stretch.exercise.tuning, partial(_note_words, stretch))


def _note_words(stretch: Stretch, index: int) -> str:
    """A note by its place in the line, and the pass where there are several."""
    of_pass = f" of pass {stretch.pass_number(index)}" if len(stretch.exercise.notes) > stretch.pass_length else ""
    return f"{stretch.line_index(index)}{of_pass}"


def misses(stretches: Iterable[Stretch]) -> dict[int, tuple[int, int]]:
    """For each note of the line: how often it was missed or played wrong, of how many attempts."""
    counts: dict[int, list[int]] = defaultdict(lambda: [0, 0])
    for stretch in stretches:
        for index in stretch.attempted:
            count = counts[stretch.line_index(index)]
            count[0] += isinstance(stretch.ledger.of_written(index), Missed | WrongNote)
            count[1] += 1
    return {index: (missed, attempts) for index, (missed, attempts) in counts.items()}


def weak_transitions(stretches: Iterable[Stretch]) -> tuple[WeakTransition, ...]:
    """Every transition of the line that was played, the worst first; takes are pooled by their attempts."""
    pooled: dict[tuple[int, int], list[tuple[float | None, float | None, int, int]]] = defaultdict(list)
    for stretch in stretches:
        for one in stretch.assess().transitions:
            pair = stretch.line_index(one.from_index), stretch.line_index(one.to_index)
            if one.attempts:
                pooled[pair].append((one.mean_late_ms, one.spread_ms, one.misses, one.attempts))
    weak = [_pooled(pair, parts) for pair, parts in pooled.items()]
    return tuple(sorted(weak, key=lambda transition: -transition.cost_ms))


def _pooled(pair: tuple[int, int], parts: list[tuple[float | None, float | None, int, int]]) -> WeakTransition:
    """One transition over several takes: the variance of all is that within the takes plus that between them."""
    weighted = [
        (mean, spread or 0.0, attempts - missed) for mean, spread, missed, attempts in parts if mean is not None
    ]
    weight = sum(count for _, _, count in weighted)
    mean_ms = sum(mean * count for mean, _, count in weighted) / weight if weight else None
    spread_ms = None
    if mean_ms is not None and weight > 1:
        squares = sum(count * (spread**2 + (mean - mean_ms) ** 2) for mean, spread, count in weighted)
        spread_ms = (squares / weight) ** 0.5
    return WeakTransition(
        *pair,
        mean_late_ms=mean_ms,
        spread_ms=spread_ms,
        misses=sum(missed for _, _, missed, _ in parts),
        attempts=sum(attempts for _, _, _, attempts in parts),
    )
