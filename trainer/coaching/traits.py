"""What transitions share, and whether what they share is what is weak.

A trait is something that a teacher would point at: a change from one string to another, a shift of position, a slide, a
pull-off by the little finger. The figures of the transitions that have it are held against those of all others; chance
is found by giving the trait to as many other transitions at random (a permutation test), and the limit is divided by
the number of comparisons (Bonferroni).

Traits overlap: where every shift is also a change of string, late shifts make changes of string late on average. So
the trait that explains most is named first and what it explains is taken out, before the next is held against the rest
(forward selection; Efroymson 1960, from memory). Traits that occur at the very same places cannot be told apart, and
are named together.
"""

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
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

    traits: tuple[Trait, ...]
    """More than one where a line has them at the same places."""
    kind: Weakness
    to_indices: tuple[int, ...]
    theirs: float
    """Mean lateness in ms, mean spread of one onset in ms, or share of attempts that failed, by `kind`."""
    others: float
    may_be_pickup: bool = False
    """These are changes of string too, strings are not compared, and what their delays make of it is not known."""


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
    """The traits that are weak, of each kind what explains most first; none while there are too few passes.

    `compares_strings`: the strings are known and their delays measured. Where they are not, what strings explain is
    taken out all the same, and not said.
    """
    if not weighing.is_enough:
        return ()
    places: dict[tuple[int, ...], tuple[Trait, ...]] = {}
    for trait, indices in traits_of(exercise).items():
        if len(indices) >= LEAST_SHARING:
            places[indices] = (*places.get(indices, ()), trait)
    chances = rng or random.Random("traits")
    limit = CHANCE / max(1, len(places) * len(Weakness))
    found = (each for kind in Weakness for each in _of_kind(kind, weighing, places, limit, chances))
    return tuple(found) if compares_strings else tuple(each for each in map(_without_strings, found) if each.traits)


def _without_strings(weakness: SharedWeakness) -> SharedWeakness:
    traits = tuple(trait for trait in weakness.traits if not trait.is_of_strings)
    is_late = weakness.kind is Weakness.LATE
    return replace(weakness, traits=traits, may_be_pickup=is_late and traits != weakness.traits)


def _of_kind(
    kind: Weakness,
    weighing: Weighing,
    places: Mapping[tuple[int, ...], tuple[Trait, ...]],
    limit: float,
    rng: random.Random,
) -> Iterator[SharedWeakness]:
    figures = {each.to_index: figure for each in weighing.transitions if (figure := _figure(each, kind)) is not None}
    left = dict(places)
    while left:
        split = {at: _split(figures, at) for at in left}
        weak = [
            SharedWeakness(left[at], kind, at, fmean(theirs), fmean(others))
            for at, (theirs, others) in split.items()
            if min(len(theirs), len(others)) >= LEAST_SHARING
        ]
        weak.sort(key=lambda each: -_explained(each, *split[each.to_indices]))
        rare = (each for each in weak if _matters(each) and _is_rare(*split[each.to_indices], limit, rng))
        clearest = next(rare, None)
        if clearest is None:
            return
        yield clearest
        del left[clearest.to_indices]
        for index in clearest.to_indices:
            if index in figures:
                figures[index] -= clearest.theirs - clearest.others


def _split(figures: Mapping[int, float], indices: Sequence[int]) -> tuple[list[float], list[float]]:
    """The figures of a trait, and those of all others."""
    having = set(indices)
    theirs = [figure for index, figure in figures.items() if index in having]
    return theirs, [figure for index, figure in figures.items() if index not in having]


def _explained(each: SharedWeakness, theirs: Sequence[float], others: Sequence[float]) -> float:
    """The sum of squares that the difference of the two means takes out of the figures."""
    return (each.theirs - each.others) ** 2 * len(theirs) * len(others) / (len(theirs) + len(others))


def _figure(each: Transition, kind: Weakness) -> float | None:
    match kind:
        case Weakness.LATE:
            return each.late_ms
        case Weakness.UNSTEADY:
            return each.onset_spread_ms
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


def _is_rare(theirs: Sequence[float], others: Sequence[float], limit: float, rng: random.Random) -> bool:
    """Whether as many transitions drawn at random hardly ever have as high a mean."""
    everything = [*theirs, *others]
    reached = sum(theirs) - 1e-9
    allowed = int(limit * (DRAWS + 1)) - 1
    for _ in range(DRAWS):
        if sum(rng.sample(everything, len(theirs))) >= reached:
            allowed -= 1
            if allowed < 0:
                return False
    return allowed >= 0
