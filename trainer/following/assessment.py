"""The figures of a run, derived from the ledger: counts, bias, spread, evenness, and where the line is weak.

Conventions
-----------
Counts are over written notes by their latest attempt, except `extra` and `uncharged`, which are over heard notes.
Deviations are of matched notes, in ms, negative = early. A figure that needs more notes than there are is None.

- bias: median of the deviations; rush or drag. None at the player's own pace: there deviations are from where their own
  local tempo led, which follows them, so their middle is about 0 by construction and says nothing.
- spread: their standard deviation about the mean (population form, `statistics.pstdev`).
- evenness: root mean square of (played interval - fitted interval) over neighbouring matched notes, the fitted
  interval being written interval x one tempo factor fitted by least squares to the pass. Needs no click.
- transitions: for each written note after the first, how late it came after the note before it (played interval -
  written interval at the tempo fitted to the pass), over the passes: the mean is the systematic part, the spread the
  unstable part.

Reference: van Vugt, Jabusch and Altenmueller 2012 (systematic and unstable parts of unevenness in scales).
"""

from collections import Counter
from dataclasses import dataclass
from statistics import fmean, median, pstdev

from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Extra, Match, Missed, Slip, TechniqueResult, WrongNote
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.theory.technique import Technique

NS_PER_MS = 1_000_000


@dataclass(frozen=True, slots=True)
class Transition:
    """How one written note followed the one before it, over the passes."""

    from_index: int
    to_index: int
    """Places in the first pass."""
    mean_late_ms: float | None
    """Systematic part: positive = the second note tends to come late."""
    spread_ms: float | None
    """Unstable part; None for fewer than two passes."""
    misses: int
    """In how many passes the second note was not matched."""
    attempts: int
    """In how many passes it was due."""


@dataclass(frozen=True, slots=True)
class TechniqueCount:
    """How often a technique was written, and what came of it on matched notes."""

    technique: Technique
    written: int
    as_written: int
    otherwise: int
    not_measurable: int


@dataclass(frozen=True, slots=True)
class PassFigures:
    """One pass over the line."""

    matched: int
    wrong_pitch: int
    wrong_string: int
    missed: int
    bias_ms: float | None
    spread_ms: float | None
    evenness_ms: float | None


@dataclass(frozen=True, slots=True)
class Assessment:
    """The figures of a run."""

    matched: int
    wrong_pitch: int
    wrong_string: int
    missed: int
    extra: int
    """Heard notes that belong to no written note and are charged to the player."""
    uncharged: int
    """The same, not charged: slips of the pickup, frets passed on the way."""
    within_window: int
    """Matched notes whose deviation lies within the hit window, the edge included."""
    bias_ms: float | None
    spread_ms: float | None
    evenness_ms: float | None
    transitions: tuple[Transition, ...]
    techniques: tuple[TechniqueCount, ...]
    passes: tuple[PassFigures, ...]


def assess(
    exercise: Exercise,
    ledger: Ledger,
    *,
    tempo: Tempo,
    tolerance: Tolerance,
    pass_length: int | None = None,
    is_timed: bool = True,
) -> Assessment:
    """The figures of a run of `exercise` at `tempo`; see the module for what each means.

    `is_timed`: notes were due by a click.
    """
    length = pass_length or len(exercise.notes)
    due_ns = [tempo.ns(note.onset_quarters) for note in exercise.notes]
    indices = range(len(exercise.notes))
    passes = [range(first, min(first + length, len(indices))) for first in range(0, len(indices), length)]
    lateness = [_lateness_ms(ledger, due_ns, span) for span in passes]
    whole = _figures(ledger, indices, [late for of_pass in lateness for late in of_pass.values()], is_timed=is_timed)
    extras = Counter(verdict.charged for verdict in ledger.heard if isinstance(verdict, Extra))
    return Assessment(
        matched=whole.matched,
        wrong_pitch=whole.wrong_pitch,
        wrong_string=whole.wrong_string,
        missed=whole.missed,
        extra=extras[True],
        uncharged=extras[False],
        within_window=sum(_is_within(ledger, due_ns, index, tolerance) for index in indices),
        bias_ms=whole.bias_ms,
        spread_ms=whole.spread_ms,
        evenness_ms=whole.evenness_ms,
        transitions=_transitions(ledger, passes, lateness),
        techniques=_techniques(exercise, ledger),
        passes=tuple(
            _figures(ledger, span, list(late.values()), is_timed=is_timed)
            for span, late in zip(passes, lateness, strict=True)
        ),
    )


def hit_window_ns(due_ns: list[int], index: int, tolerance: Tolerance) -> int:
    """How far from its time a note may be to count as within the hit window; never over its share of an interval."""
    neighbours = due_ns[max(0, index - 1) : index] + due_ns[index + 1 : index + 2]
    gaps = [abs(due - due_ns[index]) for due in neighbours if due != due_ns[index]]
    return min([tolerance.hit_ns, *(round(gap * tolerance.hit_share_of_interval) for gap in gaps)])


def bias_ms(deviations_ms: list[float]) -> float | None:
    """Median deviation; None for none.

    >>> bias_ms([-5.0, 10.0, 12.0])
    10.0
    """
    return median(deviations_ms) if deviations_ms else None


def spread_ms(deviations_ms: list[float]) -> float | None:
    """Standard deviation; None for fewer than two.

    >>> spread_ms([-10.0, 10.0])
    10.0
    """
    return pstdev(deviations_ms) if len(deviations_ms) > 1 else None


def fitted_lateness(written: list[float], played: list[float]) -> list[float]:
    """Played intervals less written ones times the one factor that fits best; same unit.

    The factor minimises the sum of squares, so a pass that is merely slower is perfectly even.

    >>> fitted_lateness([100.0, 100.0, 200.0], [150.0, 150.0, 300.0])
    [0.0, 0.0, 0.0]
    >>> fitted_lateness([100.0, 100.0], [90.0, 110.0])
    [-10.0, 10.0]
    """
    squares = sum(interval * interval for interval in written)
    if not squares:
        return []
    factor = sum(w * p for w, p in zip(written, played, strict=True)) / squares
    return [p - factor * w for w, p in zip(written, played, strict=True)]


def evenness_ms(lateness_ms: list[float]) -> float | None:
    """Root mean square; None for fewer than two intervals.

    >>> evenness_ms([-10.0, 10.0])
    10.0
    """
    return fmean(late * late for late in lateness_ms) ** 0.5 if len(lateness_ms) > 1 else None


def _figures(ledger: Ledger, span: range, lateness_ms: list[float], *, is_timed: bool) -> PassFigures:
    """Counts and deviations of some written notes."""
    counts: Counter[type[Match | Missed] | Slip] = Counter()
    deviations: list[float] = []
    for index in span:
        match ledger.of_written(index):
            case Match(deviation_ns=deviation_ns):
                counts[Match] += 1
                if deviation_ns is not None:
                    deviations.append(deviation_ns / NS_PER_MS)
            case WrongNote(slip=slip):
                counts[slip] += 1
            case Missed():
                counts[Missed] += 1
            case None:
                pass
    return PassFigures(
        matched=counts[Match],
        wrong_pitch=counts[Slip.PITCH],
        wrong_string=counts[Slip.STRING],
        missed=counts[Missed],
        bias_ms=bias_ms(deviations) if is_timed else None,
        spread_ms=spread_ms(deviations),
        evenness_ms=evenness_ms(lateness_ms),
    )


def _lateness_ms(ledger: Ledger, due_ns: list[int], span: range) -> dict[int, float]:
    """For each matched note that followed the matched one before it: how late it came after it, by the pass's tempo."""
    arrived: list[int] = []
    written: list[float] = []
    played: list[float] = []
    for index in span[1:]:
        before, here = ledger.of_written(index - 1), ledger.of_written(index)
        if not isinstance(before, Match) or not isinstance(here, Match) or here.deviation_ns is None:
            continue
        if due_ns[index] == due_ns[index - 1] or here.heard < before.heard:
            continue
        arrived.append(index)
        written.append((due_ns[index] - due_ns[index - 1]) / NS_PER_MS)
        played.append((here.onset_ns - before.onset_ns) / NS_PER_MS)
    return dict(zip(arrived, fitted_lateness(written, played), strict=False))


def _is_within(ledger: Ledger, due_ns: list[int], index: int, tolerance: Tolerance) -> bool:
    """Whether a written note was matched within its hit window."""
    verdict = ledger.of_written(index)
    if not isinstance(verdict, Match) or verdict.deviation_ns is None:
        return False
    return abs(verdict.deviation_ns) <= hit_window_ns(due_ns, index, tolerance)


def _transitions(ledger: Ledger, passes: list[range], lateness: list[dict[int, float]]) -> tuple[Transition, ...]:
    """Each step of the line over all passes."""
    transitions: list[Transition] = []
    for to_index in passes[0][1:] if passes else ():
        places = [span[to_index] for span in passes if to_index < len(span)]
        late = [of_pass[place] for place, of_pass in zip(places, lateness, strict=False) if place in of_pass]
        due = [verdict for verdict in (ledger.of_written(place) for place in places) if verdict is not None]
        transitions.append(
            Transition(
                from_index=to_index - 1,
                to_index=to_index,
                mean_late_ms=fmean(late) if late else None,
                spread_ms=spread_ms(late),
                misses=sum(not isinstance(verdict, Match) for verdict in due),
                attempts=len(due),
            )
        )
    return tuple(transitions)


def _techniques(exercise: Exercise, ledger: Ledger) -> tuple[TechniqueCount, ...]:
    """For each technique that is written: how often, and what came of it."""
    written = Counter(note.technique for note in exercise.notes)
    results: Counter[tuple[Technique, TechniqueResult]] = Counter()
    for index in range(len(exercise.notes)):
        verdict = ledger.technique_of(index)
        if verdict is not None:
            results[(verdict.written, verdict.result)] += 1
    return tuple(
        TechniqueCount(
            technique=technique,
            written=written[technique],
            as_written=results[(technique, TechniqueResult.AS_WRITTEN)],
            otherwise=results[(technique, TechniqueResult.OTHERWISE)],
            not_measurable=results[(technique, TechniqueResult.NOT_MEASURABLE)],
        )
        for technique in Technique
        if written[technique]
    )
