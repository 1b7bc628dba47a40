"""Which transitions of a line are weak: those that stand out from the player's own others by more than chance.

Theory of operation. Each pass tells of each transition how late its second note came (`lateness`, in more measures than
one) and whether it failed. Lateness is standardised by the spread of the pass and of the written interval, so that fast
and slow passes count alike. Over the passes these add up to one weight of evidence a transition (`evidence`), and that
ranks them.

A rank is no weakness: of thirty even transitions one always ranks first. What chance brings is found from the passes
themselves: each is turned round by an amount of its own (`turns`), so that notes of different places meet, and the
largest weight anywhere is written down, many times. A transition is called weak when hardly any turn brings as much as
it has (`CHANCE`), which holds whatever the player's chances look like (heavy tails, drift, single lapses, waits) and
however many transitions there are. Then what it did is explained away, as in the search for outliers and level shifts
one after another (Chen and Liu 1993), and the next is held against the rest (step-down, Westfall and Young 1993).

Also asked of a weak one: that the lateness can be heard, or the spread or the failures be clearly beyond the usual.

The figures that are shown are plain: lateness of the interval, mean with its 95 % interval, and standard deviation. The
interval uses a variance drawn towards that of all transitions (empirical Bayes; Smyth 2004), since five passes say
little about one spread.

References: van Vugt, Jabusch and Altenmueller 2012 (systematic and unstable part); Westfall and Young 1993 (Resampling-
Based Multiple Testing); Chen and Liu 1993 (J. American Statistical Association 88); Smyth 2004 (Statistical
Applications in Genetics and Molecular Biology 3); Friberg and Sundberg 1995 (what can be heard: 6 ms, or 2.5 % of
intervals over 240 ms). From memory but for the first and the last.
"""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import sqrt
from statistics import fmean, median, stdev, variance

from trainer.coaching.evidence import MOST_SPREADS, Factors, in_logs
from trainer.coaching.lateness import Measured, laid, measured, memory_of, spread_of
from trainer.coaching.played import FAILURES, Outcome, PlayedPass
from trainer.coaching.quantiles import student_t_quantile
from trainer.coaching.turns import Aligned, Told

LEAST_PASSES = 5
"""So many passes are needed before anything is called weak."""
LEAST_TRANSITIONS = 4
"""So many others must there be, for one to stand out."""
CHANCE = 0.02
"""At most so often is anything of an even player's called weak; the goal is one in twenty."""
TURNS = 249
MOST_NAMED = 5
AUDIBLE_MS, AUDIBLE_SHARE = 6.0, 0.025
LEAST_TIMES_UNSTEADY = 1.3
LEAST_FAILURES = 2
PRIOR_FREEDOM = 6.0
"""How many degrees of freedom the usual variance has beside a transition's own. Our own choice."""
_PASS_WEIGHT, _CLASS_WEIGHT = 16.0, 40.0
"""So many values of all passes are laid beside those of one pass, or of one written interval, for its spread."""
_CONFIDENCE = 0.95


class Weakness(StrEnum):
    """What is weak about a transition, by what speaks most for it."""

    LATE = "late"
    UNSTEADY = "unsteady"
    FAILING = "failing"


@dataclass(frozen=True, slots=True)
class Transition:
    """How one written note follows the one before it, over the passes."""

    from_index: int
    to_index: int
    late_ms: float | None
    """Systematic part; None when it was never played in order."""
    late_interval_ms: tuple[float, float] | None
    """Where the systematic part lies, 95 times of 100; None for fewer than two passes."""
    spread_ms: float | None
    """Unstable part; None for fewer than two passes."""
    timed: int
    """In how many passes both notes were matched in order."""
    misses: int
    """In how many passes the second note was missed, wrong, or not begun as written."""
    attempts: int
    """In how many passes it was due."""
    written_ms: float
    """The written interval at the player's pace, the middle of the passes; 0 when it was never played in order."""
    onset_spread_ms: float | None = None
    """The unstable part of the second note alone: what `spread_ms` carries of the note before is left out."""
    evidence: float = 0.0
    """Natural logarithm of how much likelier a weakness makes all this."""
    kind: Weakness = Weakness.LATE
    rank: int = 0
    """1 = what speaks most for a weakness."""
    is_weak: bool = False


@dataclass(frozen=True, slots=True)
class Weighing:
    """All transitions of a line, in written order."""

    passes: int
    transitions: tuple[Transition, ...]
    usual_spread_ms: float | None
    """The middle of the transitions' spreads."""

    @property
    def is_enough(self) -> bool:
        """Whether there are passes enough to call anything weak."""
        return self.passes >= LEAST_PASSES

    @property
    def more_needed(self) -> int:
        """How many more passes that takes."""
        return max(0, LEAST_PASSES - self.passes)

    @property
    def ranked(self) -> tuple[Transition, ...]:
        """The transitions, the weakest first."""
        return tuple(sorted(self.transitions, key=lambda each: each.rank))

    @property
    def weak(self) -> tuple[Transition, ...]:
        """Those that are called weak, the weakest first."""
        return tuple(each for each in self.ranked if each.is_weak)


def weigh(
    passes: Sequence[PlayedPass],
    techniques: Sequence[str] | None = None,
    *,
    is_timed: bool = True,
    rng: random.Random | None = None,
) -> Weighing:
    """The transitions of a line over `passes`, oldest first; all passes are of one line.

    `techniques`: how each note is written to begin, so that its failures are held against its like. `is_timed`: played
    to a click. The same passes give the same answer, unless an `rng` is given for the turns. `ValueError` when the
    passes are of different lengths.
    """
    lengths = {len(one.due_ms) for one in passes}
    if len(lengths) > 1:
        raise ValueError(f"passes of one line are expected, these have {sorted(lengths)} notes")
    if not passes:
        return Weighing(0, (), None)
    heard = _Heard(passes, techniques or [""] * len(passes[0].due_ms), is_timed=is_timed)
    figures = _figures(heard)
    spreads = [each.spread_ms for each in figures if each.spread_ms is not None]
    usual_spread_ms = median(spreads) if spreads else None
    found: list[int] = []
    weak: set[int] = set()
    while len(passes) >= LEAST_PASSES and len(found) < MOST_NAMED and len(figures) - len(found) > LEAST_TRANSITIONS:
        place = heard.foremost(found)
        if not heard.is_rare(place, found, rng or random.Random("turns")):
            break
        figures[place] = _told(figures[place], heard.factors[place])
        if _matters(figures[place], usual_spread_ms):
            weak.add(place)
        found.append(place)
        heard = heard.without(place)
    others = [place for place in range(len(figures)) if place not in found]
    for place in others:
        figures[place] = _told(figures[place], heard.factors[place])
    others.sort(key=lambda place: -figures[place].evidence)
    ranks = {place: rank for rank, place in enumerate([*found, *others], start=1)}
    ranked = (replace(each, rank=ranks[place], is_weak=place in weak) for place, each in enumerate(figures))
    return Weighing(len(passes), tuple(ranked), usual_spread_ms)


class _Heard:
    """All passes measured, standardised and weighed; places count transitions, 0 = into note 1."""

    def __init__(self, passes: Sequence[PlayedPass], techniques: Sequence[str], *, is_timed: bool) -> None:
        self.passes = passes
        self.lines = [laid(one) for one in passes]
        memory = memory_of(self.lines)
        self.rows = [measured(one, line, memory) for one, line in zip(passes, self.lines, strict=True)]
        self._techniques = techniques
        self._is_timed = is_timed
        self.table = _standardised(passes, self.rows)
        self._without: dict[int, _Heard] = {}
        self.factors = Aligned(self.table, techniques[1:], is_timed=is_timed).factors() if self.table[0] else []

    def foremost(self, found: Sequence[int]) -> int:
        """The place that speaks most for a weakness, of those not yet found."""
        return max((p for p in range(len(self.factors)) if p not in found), key=lambda p: self.factors[p].weak)

    def is_rare(self, place: int, found: Sequence[int], rng: random.Random) -> bool:
        """Whether chance hardly ever brings as much as stands at `place` anywhere but in what was found.

        That it is late is what is asked: its lateness is taken out before the passes are turned.
        """
        left = [each for each in range(len(self.factors)) if each not in found]
        source = self.without(place) if _kind(self.factors[place]) is Weakness.LATE else self
        kinds = [self._techniques[each + 1] for each in left]
        aligned = Aligned([[row[each] for each in left] for row in source.table], kinds, is_timed=self._is_timed)
        reached = self.factors[place].weak
        allowed = int(CHANCE * (TURNS + 1)) - 1
        for _ in range(TURNS):
            if aligned.reaches(reached, [rng.randrange(len(left)) for _ in source.table]):
                allowed -= 1
                if allowed < 0:
                    return False
        return True

    def without(self, place: int) -> "_Heard":
        """The same passes with what stands at `place` explained away, so that its neighbours are seen as they are."""
        if place not in self._without:
            self._without[place] = self._explained_away(place)
        return self._without[place]

    def _explained_away(self, place: int) -> "_Heard":
        index = place + 1
        timed = [row[index] for row in self.rows if index in row and not row[index].is_wait]
        if _kind(self.factors[place]) is not Weakness.LATE or not timed:
            return _Heard([_left_out(one, index) for one in self.passes], self._techniques, is_timed=self._is_timed)
        note, rest = self._means(place)
        if note >= rest:
            span, late_ms = range(index, index + 1), fmean(each.note_late_ms for each in timed)
        else:
            span, late_ms = range(index, len(self.passes[0].due_ms)), fmean(each.rest_late_ms for each in timed)
        return _Heard([_earlier(one, span, late_ms) for one in self.passes], self._techniques, is_timed=self._is_timed)

    def _means(self, place: int) -> tuple[float, float]:
        column = [row[place] for row in self.table]
        notes = [told.note for told in column if told.note is not None]
        rests = [told.rest for told in column if told.rest is not None]
        return fmean(notes) if notes else 0.0, fmean(rests) if rests else 0.0


def _earlier(one: PlayedPass, span: range, late_ms: float) -> PlayedPass:
    """The pass with some of its notes played earlier."""
    played = tuple(
        at_ms - late_ms if at_ms is not None and index in span else at_ms for index, at_ms in enumerate(one.played_ms)
    )
    return replace(one, played_ms=played)


def _left_out(one: PlayedPass, index: int) -> PlayedPass:
    """The pass without one of its notes, and without what would lead over the gap."""
    played = tuple(None if place == index else at_ms for place, at_ms in enumerate(one.played_ms))
    return replace(one, played_ms=played, entries=one.entries | {index})


def _standardised(passes: Sequence[PlayedPass], rows: Sequence[Mapping[int, Measured]]) -> list[list[Told]]:
    """For each pass what it tells of each transition, lateness in spreads of one onset and cut off at the far ends."""
    notes = _in_spreads(
        [{index: each.note_late_ms / sqrt(each.note_weight) for index, each in row.items()} for row in rows], passes
    )
    rests = _in_spreads(
        [{index: each.rest_late_ms / sqrt(each.rest_weight) for index, each in row.items()} for row in rows], passes
    )
    table: list[list[Told]] = []
    for one, row, note, rest in zip(passes, rows, notes, rests, strict=True):
        waits = {index: MOST_SPREADS for index, each in row.items() if each.is_wait}
        late_note, late_rest = note | waits, rest | waits
        table.append(
            [
                Told(late_note.get(index), late_rest.get(index), _failed(one.outcomes[index]))
                for index in range(1, len(one.due_ms))
            ]
        )
    return table


def _failed(outcome: Outcome) -> bool | None:
    return None if outcome is Outcome.OPEN else outcome in FAILURES


def _in_spreads(rows: Sequence[Mapping[int, float]], passes: Sequence[PlayedPass]) -> list[dict[int, float]]:
    """Each value less the middle of its pass, over the spread of its pass and of its written interval."""
    centred: list[dict[int, float]] = []
    for row in rows:
        middle = median(row.values()) if row else 0.0
        centred.append({index: value - middle for index, value in row.items()})
    overall = spread_of([value for row in centred for value in row.values()]) or 1.0
    classes: dict[float, list[float]] = {}
    for row, one in zip(centred, passes, strict=True):
        of_pass = _drawn(spread_of(list(row.values())), len(row), overall, _PASS_WEIGHT)
        for index in row:
            row[index] /= of_pass
            classes.setdefault(_written_ms(one, index), []).append(row[index])
    of_class = {
        written: _drawn(spread_of(values), len(values), 1.0, _CLASS_WEIGHT) for written, values in classes.items()
    }
    return [
        {
            index: min(max(value / of_class[_written_ms(one, index)], -MOST_SPREADS), MOST_SPREADS)
            for index, value in row.items()
        }
        for row, one in zip(centred, passes, strict=True)
    ]


def _written_ms(one: PlayedPass, index: int) -> float:
    return round(one.due_ms[index] - one.due_ms[index - 1], 1)


def _drawn(spread: float, count: int, towards: float, weight: float) -> float:
    """A spread drawn towards another one, by variances."""
    return sqrt((count * spread * spread + weight * towards * towards) / (count + weight))


def _matters(each: Transition, usual_spread_ms: float | None) -> bool:
    """Whether a weakness is large enough to be worth a word."""
    match each.kind:
        case Weakness.LATE:
            least_ms = max(AUDIBLE_MS, AUDIBLE_SHARE * each.written_ms)
            return each.late_ms is not None and each.late_ms >= least_ms
        case Weakness.UNSTEADY:
            least_ms = LEAST_TIMES_UNSTEADY * (usual_spread_ms or 0.0)
            return each.spread_ms is not None and each.spread_ms >= least_ms
        case Weakness.FAILING:
            return each.misses >= LEAST_FAILURES


def _figures(heard: _Heard) -> list[Transition]:
    """The plain figures of each transition."""
    indices = range(1, len(heard.passes[0].due_ms))
    late = {index: [row[index].interval_ms for row in heard.rows if index in row] for index in indices}
    alone = {
        index: [row[index].note_late_ms / sqrt(row[index].note_weight) for row in heard.rows if index in row]
        for index in indices
    }
    variances = [variance(values) for values in late.values() if len(values) > 1]
    usual_variance = median(variances) if variances else 0.0
    return [
        Transition(
            from_index=index - 1,
            to_index=index,
            late_ms=fmean(late[index]) if late[index] else None,
            late_interval_ms=_interval(late[index], usual_variance),
            spread_ms=stdev(late[index]) if len(late[index]) > 1 else None,
            timed=len(late[index]),
            misses=sum(one.outcomes[index] in FAILURES for one in heard.passes),
            attempts=sum(one.outcomes[index] is not Outcome.OPEN for one in heard.passes),
            written_ms=_written_at_pace(heard, index),
            onset_spread_ms=stdev(alone[index]) if len(alone[index]) > 1 else None,
        )
        for index in indices
    ]


def _written_at_pace(heard: _Heard, index: int) -> float:
    """The written interval at the player's pace, ms: the middle of the passes that played it; 0 when none did."""
    written = [
        (one.due_ms[index] - one.due_ms[index - 1]) * line.pace
        for one, line, row in zip(heard.passes, heard.lines, heard.rows, strict=True)
        if index in row
    ]
    return median(written) if written else 0.0


def _interval(late_ms: Sequence[float], usual_variance: float) -> tuple[float, float] | None:
    """The 95 % interval of the mean, its variance drawn towards the usual one."""
    if len(late_ms) < 2:
        return None
    freedom = len(late_ms) - 1 + PRIOR_FREEDOM
    moderated = ((len(late_ms) - 1) * variance(late_ms) + PRIOR_FREEDOM * usual_variance) / freedom
    half = student_t_quantile((1 + _CONFIDENCE) / 2, freedom) * sqrt(moderated / len(late_ms))
    return fmean(late_ms) - half, fmean(late_ms) + half


def _told(figures: Transition, factors: Factors) -> Transition:
    return replace(figures, evidence=in_logs(factors.weak), kind=_kind(factors))


def _kind(told: Factors) -> Weakness:
    """What speaks most for a weakness."""
    of_each = {Weakness.LATE: told.late, Weakness.UNSTEADY: told.unsteady, Weakness.FAILING: told.failing}
    return max(of_each, key=lambda kind: of_each[kind])
