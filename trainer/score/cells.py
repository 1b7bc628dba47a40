"""Cells: what is played in each position.

The notes of a position on the chosen strings are its *steps*, numbered from 1, the lowest. A step past the highest is
borrowed from the next higher position, on the highest of the strings; step 0 from the next lower one, on the lowest.

Written as words:

- `down`, `up`, `up and down`, `down and up`: a run through all steps; the turning note is played once;
- `fours down`, `fives up`, `threes down` ...: groups of consecutive steps, each group beginning one step on from the
  last. On two strings of a pentatonic there is room for one group of four; a group of five there borrows its top note;
- `steps 1 3 2 4`: any pattern. `h`, `p` or `s` before a number asks for a hammer-on, a pull-off or a slide (`4 p3`),
  `+` joins notes that sound together (`2+4`), `|` begins a new group;
- `two fours down then a five down`: cells in turn, one for each position that the route visits.
"""

import re
from dataclasses import dataclass

from trainer.score.words import Words, number_of
from trainer.theory.naming import UnknownWord
from trainer.theory.technique import Technique


@dataclass(frozen=True, slots=True)
class Step:
    """One onset of a cell."""

    numbers: tuple[int, ...]
    """Steps of the position that sound together."""
    technique: Technique | None = None
    """Asked for by the pattern; None: as the articulation of the line has it."""


@dataclass(frozen=True, slots=True)
class Run:
    """Through all steps of a position, once or there and back."""

    directions: tuple[int, ...]
    """1 = up, -1 = down, in the order played."""

    def groups(self, step_count: int) -> tuple[tuple[Step, ...], ...]:
        """The steps of the cell in a position that has `step_count` of them, as one group."""
        ups = list(range(1, step_count + 1))
        numbers: list[int] = []
        for direction in self.directions:
            leg = ups if direction > 0 else ups[::-1]
            numbers += leg[1:] if numbers else leg
        return (tuple(Step((number,)) for number in numbers),)


@dataclass(frozen=True, slots=True)
class Sequence:
    """Groups of consecutive steps, each beginning one step on from the last."""

    size: int
    direction: int

    def groups(self, step_count: int) -> tuple[tuple[Step, ...], ...]:
        """The groups in a position that has `step_count` steps; a group larger than that borrows from above."""
        lows = range(1, max(step_count - self.size + 1, 1) + 1)
        windows = [range(low, low + self.size) for low in lows]
        if self.direction < 0:
            windows = [window[::-1] for window in reversed(windows)]
        return tuple(tuple(Step((number,)) for number in window) for window in windows)


@dataclass(frozen=True, slots=True)
class Pattern:
    """Any order of steps, in groups."""

    steps: tuple[tuple[Step, ...], ...]

    def groups(self, step_count: int) -> tuple[tuple[Step, ...], ...]:  # noqa: ARG002 - the same for every position
        """The pattern as it is written."""
        return self.steps


Cell = Run | Sequence | Pattern

_SIZES = {"twos": 2, "threes": 3, "fours": 4, "fives": 5, "sixes": 6, "sevens": 7, "eights": 8}
_SIZES |= {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
_DIRECTIONS = {"up": 1, "down": -1}
_CELL_WORDS = ("up", "down", "steps", "then", *(name for name in _SIZES if name.endswith("s")))
_MARKS = {"h": Technique.HAMMER, "p": Technique.PULL, "s": Technique.SLIDE}
_STEP = re.compile(r"([hps]?)(-?\d{1,2}(?:\+-?\d{1,2})*)")


def cells_of(text: str) -> tuple[Cell, ...]:
    """The cells that a text describes, in turn; `UnknownWord` at the first word that means nothing."""
    words = Words(text)
    cells: list[Cell] = []
    while True:
        cells += _cell_of(words)
        if not words:
            return tuple(cells)
        if not words.skip("then"):
            raise UnknownWord(words.next, "part of a cell", _CELL_WORDS)


def _cell_of(words: Words) -> list[Cell]:
    if words.skip("steps"):
        return [_pattern_of(words)]
    times = 1
    if words.next not in (*_DIRECTIONS, *_SIZES) or (number_of(words.next) and not _ends_a_cell(words)):
        count = number_of(words.next)
        if count is not None:
            words.take("")
            times = count
    if words.next in _DIRECTIONS:
        return [_run_of(words)] * times
    name = words.take("a cell such as `fours down`")
    if name.lower() not in _SIZES:
        raise UnknownWord(name, "a cell", _CELL_WORDS)
    direction = words.take(f"`up` or `down` after {name!r}")
    if direction.lower() not in _DIRECTIONS:
        raise UnknownWord(direction, "a direction", _DIRECTIONS)
    return [Sequence(_SIZES[name.lower()], _DIRECTIONS[direction.lower()])] * times


def _ends_a_cell(words: Words) -> bool:
    """Whether a number word is itself the cell's name (`a five down`), not a count (`two fours down`)."""
    return words.next in _SIZES and words.after_next in _DIRECTIONS


def _run_of(words: Words) -> Run:
    directions = [_DIRECTIONS[words.take("").lower()]]
    while words.skip("and"):
        direction = words.take("`up` or `down`")
        if direction.lower() not in _DIRECTIONS:
            raise UnknownWord(direction, "a direction", _DIRECTIONS)
        directions.append(_DIRECTIONS[direction.lower()])
        if directions[-1] == directions[-2]:
            raise UnknownWord(direction, "a turn: `up and down` or `down and up`")
    return Run(tuple(directions))


def _pattern_of(words: Words) -> Pattern:
    groups: list[list[Step]] = [[]]
    while words and words.next != "then":
        word = words.take("")
        if word == "|":
            groups.append([])
            continue
        match = _STEP.fullmatch(word.lower())
        if match is None:
            raise UnknownWord(word, "a step: a number such as 3, h3, p3, s3 or 2+4")
        numbers = tuple(int(number) for number in match[2].split("+"))
        groups[-1].append(Step(numbers, _MARKS.get(match[1])))
    if not all(groups):
        raise UnknownWord("", "at least one step in every group")
    return Pattern(tuple(tuple(group) for group in groups))
