"""What transitions share, and whether what they share is what is weak.

A trait is something that a teacher would point at: a change from one string to another, a shift of position, a slide, a
pull-off by the little finger. The figures of the transitions that have it are held against those of all others; chance
is found by giving the trait to as many other transitions at random (a permutation test), and the limit is divided by
the number of comparisons (Bonferroni).
"""

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from trainer.coaching.transitions import AUDIBLE_MS, LEAST_TIMES_UNSTEADY, Transition, Weakness, Weighing
from trainer.score.exercise import Exercise, ScoreNote
from trainer.theory.technique import Technique

LEAST_SHARING = 3
"""So many transitions must have a trait, and as many not, before anything is said of it."""
CHANCE = 0.02
DRAWS = 4000
LITTLE_FINGER = 4
_LEAST_FAILING_MORE = 0.1
"""Share of attempts by which a trait must fail more often than the rest. Our own choice."""


@dataclass(frozen=True, slots=True)
class Trait:
    """Something that transitions share."""

    words: str
    """In the plural, as in a sentence: `shifts of position`."""
    is_of_strings: bool = False
    """It compares strings: said only where the strings are known and their delays measured."""


@dataclass(frozen=True, slots=True)
class SharedWeakness:
    """A trait whose transitions are weaker than the others."""

    trait: Trait
    kind: Weakness
    to_indices: tuple[int, ...]
    theirs: float
    """Mean lateness in ms, mean spread in ms, or share of attempts that failed, by `kind`."""
    others: float


def traits_of(exercise: Exercise) -> dict[Trait, tuple[int, ...]]:
    """Each trait that occurs in a line, with the second notes of its transitions."""
    found: dict[Trait, list[int]] = {}
    sizes: dict[int, int] = {}
    for note in exercise.notes:
        sizes[note.group] = sizes.get(note.group, 0) + 1
    for index in range(1, len(exercise.notes)):
        for trait in _traits(exercise.notes, index, sizes):
            found.setdefault(trait, []).append(index)
    return {trait: tuple(indices) for trait, indices in found.items()}


def _traits(notes: Sequence[ScoreNote], index: int, sizes: Mapping[int, int]) -> Iterator[Trait]:
    before, note = notes[index - 1], notes[index]
    if before.onset_quarters == note.onset_quarters:
        return
    if before.course != note.course:
        yield Trait("changes of string", is_of_strings=True)
        yield Trait(f"changes from string {before.course} to {note.course}", is_of_strings=True)
    if _shifts(before, note):
        yield Trait("shifts of position")
    if index > 1 and _shifts(notes[index - 2], before) and not _shifts(before, note):
        yield Trait("first notes after a shift")
    yield from _techniques(before, note)
    if note.group != before.group and sizes[note.group] > 1:
        yield Trait(f"turns into a group of {_number(sizes[note.group])}")
    if index > 1 and (before.pitch - notes[index - 2].pitch) * (note.pitch - before.pitch) < 0:
        yield Trait("turns of direction")


def _techniques(before: ScoreNote, note: ScoreNote) -> Iterator[Trait]:
    match note.technique:
        case Technique.SLIDE:
            yield Trait("slides")
        case Technique.HAMMER:
            yield Trait("hammer-ons")
            if note.finger == LITTLE_FINGER:
                yield Trait("hammer-ons by the little finger")
        case Technique.PULL:
            yield Trait("pull-offs")
            if before.finger == LITTLE_FINGER:
                yield Trait("pull-offs by the little finger")
        case Technique.PICK:
            if note.finger == LITTLE_FINGER:
                yield Trait("picked notes of the little finger")


def _shifts(before: ScoreNote, note: ScoreNote) -> bool:
    return before.position is not None and note.position is not None and before.position != note.position


def _number(count: int) -> str:
    words = ("two", "three", "four", "five", "six", "seven", "eight", "nine")
    return words[count - 2] if count - 2 < len(words) else str(count)


def shared_weaknesses(
    exercise: Exercise, weighing: Weighing, *, compares_strings: bool, rng: random.Random | None = None
) -> tuple[SharedWeakness, ...]:
    """The traits that are weak, the clearest first; none while there are too few passes.

    `compares_strings`: the strings are known and their delays measured.
    """
    if not weighing.is_enough:
        return ()
    traits = {
        trait: indices
        for trait, indices in traits_of(exercise).items()
        if len(indices) >= LEAST_SHARING and (compares_strings or not trait.is_of_strings)
    }
    chances = rng or random.Random("traits")
    limit = CHANCE / max(1, len(traits) * len(Weakness))
    told: list[tuple[float, SharedWeakness]] = []
    for kind in Weakness:
        figures = {
            each.to_index: figure for each in weighing.transitions if (figure := _figure(each, kind)) is not None
        }
        for trait, indices in traits.items():
            theirs = [figures[index] for index in indices if index in figures]
            others = [figure for index, figure in figures.items() if index not in indices]
            if min(len(theirs), len(others)) < LEAST_SHARING:
                continue
            weakness = SharedWeakness(trait, kind, indices, fmean(theirs), fmean(others))
            if _matters(weakness) and (chance := _chance(theirs, others, chances)) <= limit:
                told.append((chance, weakness))
    told.sort(key=lambda each: each[0])
    return tuple(weakness for _, weakness in told)


def _figure(each: Transition, kind: Weakness) -> float | None:
    match kind:
        case Weakness.LATE:
            return each.late_ms
        case Weakness.UNSTEADY:
            return each.spread_ms
        case Weakness.FAILING:
            return each.misses / each.attempts if each.attempts else None


def _matters(weakness: SharedWeakness) -> bool:
    match weakness.kind:
        case Weakness.LATE:
            return weakness.theirs - weakness.others >= AUDIBLE_MS and weakness.theirs >= AUDIBLE_MS
        case Weakness.UNSTEADY:
            return weakness.theirs >= LEAST_TIMES_UNSTEADY * weakness.others
        case Weakness.FAILING:
            return weakness.theirs - weakness.others >= _LEAST_FAILING_MORE


def _chance(theirs: Sequence[float], others: Sequence[float], rng: random.Random) -> float:
    """How often as many transitions drawn at random have as high a mean."""
    everything = [*theirs, *others]
    reached = sum(theirs)
    as_high = sum(sum(rng.sample(everything, len(theirs))) >= reached - 1e-9 for _ in range(DRAWS))
    return (as_high + 1) / (DRAWS + 1)
