"""Figures of a reading of a take against the truth."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from statistics import median

from tests.benchmarks.takes import Take
from trainer.score.exercise import Exercise

CONTEXT = 3
AFTERWARDS = 4
"""Notes after which a verdict must be settled."""
ERROR_WORDS = frozenset({"wrong-pitch", "wrong-string", "missed", "extra"})


@dataclass(slots=True)
class Reading:
    """What a method said of a take, when it was done, and how it got there."""

    indices: list[int | None]
    words: list[str]
    written: dict[int, str]
    first_indices: list[int | None] = field(default_factory=list)
    shown: int = 0
    shown_at_once: int = 0
    """Heard notes that were said something about before the next one was heard."""
    revised: int = 0
    lags: list[int] = field(default_factory=list)
    costs_us: list[float] = field(default_factory=list)


@dataclass(slots=True)
class Tally:
    """Sums over takes."""

    pairs_true: int = 0
    pairs_said: int = 0
    pairs_right: int = 0
    pairs_right_copies: int = 0
    told_true: int = 0
    told_said: int = 0
    told_right: int = 0
    """The same of the notes that what was heard can tell; see `told_by_what_was_heard`."""
    verdicts: int = 0
    verdicts_right: int = 0
    errors_true: int = 0
    errors_said: int = 0
    errors_right: int = 0
    shown: int = 0
    shown_at_once: int = 0
    revised: int = 0
    lags: list[int] = field(default_factory=list)
    costs_us: list[float] = field(default_factory=list)
    recoveries: list[int] = field(default_factory=list)
    lost: int = 0

    def add(self, take: Take, reading: Reading) -> None:
        """Count one take."""
        contexts = contexts_of(take.exercise)
        told = told_by_what_was_heard(take)
        for true, said, is_told in zip(take.truth.indices, reading.indices, told, strict=True):
            self.pairs_true += true is not None
            self.pairs_said += said is not None
            self.told_true += true is not None and is_told
            self.told_said += said is not None and is_told
            self.told_right += true is not None and true == said and is_told
            if true is not None and said is not None:
                self.pairs_right += true == said
                self.pairs_right_copies += contexts[true] == contexts[said]
        self._add_verdicts(take, reading)
        self._add_recoveries(take, reading, contexts)
        self.shown += reading.shown
        self.shown_at_once += reading.shown_at_once
        self.revised += reading.revised
        self.lags += reading.lags
        self.costs_us += reading.costs_us

    def _add_verdicts(self, take: Take, reading: Reading) -> None:
        heard = zip(map(_plain, take.truth.words), map(_plain, reading.words), strict=True)
        size = len(take.exercise.notes)
        misses = [(take.truth.written[i] == "missed", reading.written[i] == "missed") for i in range(size)]
        for true, said in [*heard, *((("missed" if t else ""), ("missed" if s else "")) for t, s in misses if t or s)]:
            self.verdicts += 1
            self.verdicts_right += true == said
            self.errors_true += true in ERROR_WORDS
            self.errors_said += said in ERROR_WORDS
            self.errors_right += true == said and true in ERROR_WORDS

    def _add_recoveries(self, take: Take, reading: Reading, contexts: list[tuple[int, ...]]) -> None:
        """After each jump: how many notes until two in a row are in place, as settled, copies counting as right."""
        true, said = take.truth.indices, reading.indices
        ends = [*take.truth.entries, len(true)][1:]
        for entry, end in zip(take.truth.entries, ends, strict=True):
            meant = [i for i in range(entry, end) if true[i] is not None]
            placed = [said[i] is not None and contexts[said[i] or 0] == contexts[true[i] or 0] for i in meant]
            runs = [n for n in range(len(placed) - 1) if placed[n] and placed[n + 1]]
            if runs:
                self.recoveries.append(runs[0])
            elif len(meant) > 8:
                self.recoveries.append(len(meant))
                self.lost += 1

    @property
    def pair_f1(self) -> float:
        return _f1(self.pairs_right, self.pairs_said, self.pairs_true)

    @property
    def pair_f1_copies(self) -> float:
        return _f1(self.pairs_right_copies, self.pairs_said, self.pairs_true)

    @property
    def told_f1(self) -> float:
        return _f1(self.told_right, self.told_said, self.told_true)

    @property
    def told_share(self) -> float:
        return 100 * self.told_true / max(1, self.pairs_true)

    @property
    def accuracy(self) -> float:
        return 100 * self.verdicts_right / max(1, self.verdicts)

    @property
    def error_f1(self) -> float:
        return _f1(self.errors_right, self.errors_said, self.errors_true)

    @property
    def revised_share(self) -> float:
        return 100 * self.revised / max(1, self.shown)

    @property
    def at_once_share(self) -> float:
        return 100 * self.shown_at_once / max(1, len(self.lags))

    @property
    def recovery(self) -> tuple[float, float]:
        """Notes until back in place: median and 90th percentile."""
        return (median(self.recoveries), percentile(self.recoveries, 90)) if self.recoveries else (0.0, 0.0)


def contexts_of(exercise: Exercise) -> list[tuple[int, ...]]:
    """For each written note the notes round it; equal ones cannot be told apart from nearby."""
    spots = [note.course * 128 + note.pitch for note in exercise.notes]
    padded = [-1] * CONTEXT + spots + [-1] * CONTEXT
    return [tuple(padded[i : i + 2 * CONTEXT + 1]) for i in range(len(spots))]


def told_by_what_was_heard(take: Take) -> list[bool]:
    """For each heard note whether pitches and strings alone tell which written note it was meant for.

    They do not where all that was meant since the last jump, up to four notes further on, stands elsewhere in the line
    as well: then only habits of players and the beats speak for one place, and before the first jump nothing is open.
    """
    spots = [(note.course, note.pitch) for note in take.exercise.notes]
    true, told = take.truth.indices, [True] * len(take.truth.indices)
    ends = [*take.truth.entries, len(true)][1:]
    for entry, end in zip(take.truth.entries, ends, strict=True):
        first = true[entry]
        last = max((index for index in true[entry:end] if index is not None), default=0)
        if first is None:
            continue
        others = [place for place, spot in enumerate(spots) if spot == spots[first] and place != first]
        for heard in range(entry, end):
            upto = min((true[heard] or first) + AFTERWARDS, last)
            run = spots[first : upto + 1]
            others = [place for place in others if spots[place : place + len(run)] == run]
            told[heard] = not others
    return told


def percentile(values: Iterable[float], share: float) -> float:
    """Nearest-rank percentile."""
    ranked = sorted(values)
    return float(ranked[max(0, -(-len(ranked) * share // 100).__trunc__() - 1)]) if ranked else 0.0


def _plain(word: str) -> str:
    return "extra" if word == "slip" else word


def _f1(right: int, said: int, true: int) -> float:
    return 100 * 2 * right / (said + true) if said + true else 100.0
