"""Cells: what is played in each position.

The notes of a position on the chosen strings are its *steps*, numbered from 1, the lowest. A step past the highest is
borrowed from the next higher position, on the highest of the strings; step 0 from the next lower one, on the lowest.
`cell_words` reads and writes cells.

A figure of `g` steps that moves through a position of `N` has `N - g + 1` places, whichever way it goes (counting).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import count, cycle, permutations
from random import Random

from trainer.score.errors import Unplayable
from trainer.theory.technique import Technique


@dataclass(frozen=True, slots=True)
class Step:
    """One value of the rhythm within a cell: notes, a rest, or a tie to the notes before."""

    numbers: tuple[int, ...]
    """Steps of the position that sound together; none: a rest or a tie."""
    technique: Technique | None = None
    """Asked for by the pattern; None: as the articulation of the line has it."""
    is_tie: bool = False
    """Whether the notes before sound on."""


REST = Step(())
TIE = Step((), is_tie=True)

Group = tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """The position that a cell is laid out on."""

    strings: int
    notes_a_string: int
    first_degree: int = 1
    """Degree of the scale that step 1 is, from 1."""
    scale_size: int = 7
    turn: int = 0
    """How often the cell was played before in this line."""

    @property
    def step_count(self) -> int:
        """How many steps the position has."""
        return self.strings * self.notes_a_string


@dataclass(frozen=True, slots=True)
class Run:
    """Through all steps of a position, once or there and back."""

    directions: tuple[int, ...]
    """1 = up, -1 = down, in the order played."""

    def groups(self, ground: Ground) -> tuple[Group, ...]:
        """All steps as one group."""
        return (_run(range(1, ground.step_count + 1), self.directions),)


@dataclass(frozen=True, slots=True)
class Sequence:
    """A figure that moves through the position, beginning one step on each time.

    Fours are the figure (0, 1, 2, 3), thirds (0, 2), triads (0, 2, 4); downwards it is counted from its top.
    """

    offsets: tuple[int, ...]
    """Steps above the lowest note of the figure, in the order played upwards."""
    directions: tuple[int, ...]

    def groups(self, ground: Ground) -> tuple[Group, ...]:
        """The figure in each place; one that is larger than the position borrows from above."""
        lows = range(1, max(ground.step_count - max(self.offsets), 1) + 1)
        top = lows[-1] + max(self.offsets)
        upwards = [[low + offset for offset in self.offsets] for low in lows]
        downwards = [[top + 1 - number for number in group] for group in upwards]
        return _plain(group for direction in self.directions for group in (upwards if direction > 0 else downwards))


@dataclass(frozen=True, slots=True)
class Mixed:
    """Groups of consecutive steps of several lengths, in turn or by chance, each beginning one step on."""

    sizes: tuple[int, ...]
    directions: tuple[int, ...]
    seed: int | None = None
    """Draws the lengths; None: they take turns."""

    def groups(self, ground: Ground) -> tuple[Group, ...]:
        """As many groups as the position has room for, at least one."""
        top = self.reach(ground)
        numbers: list[list[int]] = []
        for leg, direction in enumerate(self.directions):
            for low, size in zip(count(1), self._lengths(f"{ground.turn} {leg}"), strict=False):
                if low > 1 and low + size - 1 > top:
                    break
                group = list(range(low, low + size))
                numbers.append(group if direction > 0 else [top + 1 - number for number in group])
        return _plain(numbers)

    def _lengths(self, occasion: str) -> Iterator[int]:
        if self.seed is None:
            yield from cycle(self.sizes)
        chance = Random(f"{self.seed} {occasion}")
        while True:
            yield chance.choice(self.sizes)

    def reach(self, ground: Ground) -> int:
        """The highest step that it may play."""
        return max(ground.step_count, *self.sizes)


@dataclass(frozen=True, slots=True)
class Skips:
    """String by string in the order 1 3 2 4 3 5 ..., all steps of each string."""

    directions: tuple[int, ...]

    def groups(self, ground: Ground) -> tuple[Group, ...]:
        """One group for each string that is played."""
        if ground.strings < 3:
            raise Unplayable("skipping strings needs at least three of them", "strings")
        order = [string for low in range(ground.strings - 2) for string in (low, low + 2)]
        a_string = ground.notes_a_string
        upwards = [[string * a_string + nth + 1 for nth in range(a_string)] for string in order]
        downwards = [[ground.step_count + 1 - number for number in group] for group in upwards]
        return _plain(group for direction in self.directions for group in (upwards if direction > 0 else downwards))


@dataclass(frozen=True, slots=True)
class Pedal:
    """One note that comes again before each of the others: the lowest on the way up, the highest on the way down."""

    directions: tuple[int, ...]

    def groups(self, ground: Ground) -> tuple[Group, ...]:
        """Pairs of the pedal note and another."""
        last = ground.step_count
        if last < 2:
            raise Unplayable("a pedal note needs another note beside it: the position has only one", "cell")
        upwards = [[1, number] for number in range(2, last + 1)]
        downwards = [[last, number] for number in range(last - 1, 0, -1)]
        return _plain(group for direction in self.directions for group in (upwards if direction > 0 else downwards))


@dataclass(frozen=True, slots=True)
class Arpeggio:
    """Through the notes of a position that belong to a chord of the key; several chords take turns.

    A chord is every other note of the scale from a degree: three of them, or four with the seventh. In a scale of
    seven notes these are the key's triads and seventh chords (common practice).
    """

    degrees: tuple[int, ...]
    directions: tuple[int, ...]
    size: int = 3

    def groups(self, ground: Ground) -> tuple[Group, ...]:
        """The chord's notes as one group."""
        degree = self.degrees[ground.turn % len(self.degrees)]
        if not 1 <= degree <= ground.scale_size:
            raise Unplayable(f"there is no chord on {degree}: the scale has {ground.scale_size} notes", "cell")
        tones = {(degree - 1 + 2 * third) % ground.scale_size for third in range(self.size)}
        steps = range(1, ground.step_count + 1)
        chord = [number for number in steps if (ground.first_degree + number - 2) % ground.scale_size in tones]
        if not chord:
            raise Unplayable(f"no note of the chord on {degree} lies on these strings in every position", "cell")
        return (_run(chord, self.directions),)


@dataclass(frozen=True, slots=True)
class Orders:
    """The same steps in every order, a group for each; or one order for each position in turn."""

    numbers: tuple[int, ...]
    in_turn: bool = False

    def groups(self, ground: Ground) -> tuple[Group, ...]:
        """The orders, beginning with the one that is written."""
        orders = list(permutations(self.numbers))
        return _plain([orders[ground.turn % len(orders)]] if self.in_turn else orders)


@dataclass(frozen=True, slots=True)
class Pattern:
    """Any order of steps, in groups."""

    steps: tuple[Group, ...]

    def groups(self, ground: Ground) -> tuple[Group, ...]:  # noqa: ARG002 - the same for every position
        """The pattern as it is written."""
        return self.steps


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several cells by chance, another draw for each position."""

    cells: tuple["SingleCell", ...]
    seed: int

    def groups(self, ground: Ground) -> tuple[Group, ...]:
        """The groups of the cell that is drawn."""
        return Random(f"{self.seed} {ground.turn}").choice(self.cells).groups(ground)


SingleCell = Run | Sequence | Mixed | Skips | Pedal | Arpeggio | Orders | Pattern
Cell = SingleCell | Choice


def steps_needed(cell: Cell, ground: Ground) -> set[int]:
    """Every step that `cell` may play on such ground, in any turn."""
    match cell:
        case Choice(cells=cells):
            return {number for each in cells for number in steps_needed(each, ground)}
        case Mixed():
            return set(range(1, cell.reach(ground) + 1))
        case Arpeggio():
            return set(range(1, ground.step_count + 1))
        case _:
            return {number for group in cell.groups(ground) for step in group for number in step.numbers}


def mirrored(cell: Cell, step_count: int) -> Cell:
    """The cell upside down: what rose falls, step 1 is the highest of `step_count` and so on."""
    match cell:
        case Choice(cells=cells):
            turned = tuple(mirrored(each, step_count) for each in cells)
            return replace(cell, cells=tuple(each for each in turned if not isinstance(each, Choice)))
        case Orders(numbers=numbers):
            return replace(cell, numbers=tuple(step_count + 1 - number for number in numbers))
        case Pattern(steps=groups):
            return Pattern(tuple(tuple(_mirrored_step(step, step_count) for step in group) for group in groups))
        case _:
            return replace(cell, directions=tuple(-direction for direction in cell.directions))


_UPSIDE_DOWN = {Technique.HAMMER: Technique.PULL, Technique.PULL: Technique.HAMMER}


def _mirrored_step(step: Step, step_count: int) -> Step:
    numbers = tuple(step_count + 1 - number for number in step.numbers)
    technique = step.technique and _UPSIDE_DOWN.get(step.technique, step.technique)
    return replace(step, numbers=numbers, technique=technique)


def _run(numbers: Iterable[int], directions: tuple[int, ...]) -> Group:
    """There and back through `numbers`, the turning notes once."""
    ups = list(numbers)
    row: list[int] = []
    for direction in directions:
        leg = ups if direction > 0 else ups[::-1]
        row += leg[1:] if row else leg
    return tuple(Step((number,)) for number in row)


def _plain(groups: Iterable[Iterable[int]]) -> tuple[Group, ...]:
    return tuple(tuple(Step((number,)) for number in group) for group in groups)
