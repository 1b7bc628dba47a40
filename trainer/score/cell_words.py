"""Cells as words.

- `down`, `up`, `up and down`, `down and up`: a run through all steps; the turning note is played once;
- `fours down`, `fives up`, `threes up and down`: groups of consecutive steps, each beginning one step on from the last.
  On two strings of a pentatonic there is room for one group of four; a group of five there borrows its top note;
- `thirds up`, `fourths down`, `sixths up and down`: pairs that lie so far apart, counted in notes of the scale;
- `triads up`, `seventh chords up`: three or four notes, every other one of the scale, from each step in turn;
- `figure 1 3 2 4 up`: any figure, moved through the position;
- `mixed 4 4 5 up`: groups of several lengths in turn; `mixed 3 4 5 by chance 7 up`: drawn with 7 as the seed;
- `string skips up`: all notes of a string, then of the next but one, then of the one between;
- `pedal up`: the lowest note before each other one; `pedal down`: the highest;
- `arpeggio 1 up and down`, `seventh arpeggio 2 5 1 up`: the notes of chords of the key, one chord for each position;
- `orders of 1 2 3 4`: every order of these steps; `orders of 1 2 3 in turn`: one order for each position;
- `steps 1 3 2 4`: any pattern. `h`, `p` or `s` before a number asks for a hammer-on, a pull-off or a slide (`4 p3`),
  `+` joins notes that sound together (`2+4`), `|` begins a new group, `r` is a rest and `~` lets the note before sound
  on, each for one value of the rhythm;
- `two fours down then a five down`: cells in turn, one for each position that the route visits;
- `fours down or fives down by chance 3`: one of them for each position, drawn with 3 as the seed.
"""

import re
from collections.abc import Iterable

from trainer.score.cells import (
    REST,
    TIE,
    Arpeggio,
    Cell,
    Choice,
    Mixed,
    Orders,
    Pattern,
    Pedal,
    Run,
    Sequence,
    SingleCell,
    Skips,
    Step,
)
from trainer.score.words import Words, number_of, number_word
from trainer.theory.naming import UnknownWord
from trainer.theory.technique import Technique

SIZES = {"twos": 2, "threes": 3, "fours": 4, "fives": 5, "sixes": 6, "sevens": 7, "eights": 8}
_SINGULAR = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
_OFFSETS = (
    {name: tuple(range(size)) for name, size in (SIZES | _SINGULAR).items()}
    | {"thirds": (0, 2), "fourths": (0, 3), "fifths": (0, 4), "sixths": (0, 5), "sevenths": (0, 6)}
    | {"triads": (0, 2, 4), "seventh chords": (0, 2, 4, 6)}
)
_NAMES = {offsets: name for name, offsets in reversed(_OFFSETS.items()) if name not in _SINGULAR}
_DIRECTIONS = {"up": 1, "down": -1}
_DIRECTION_NAMES = {1: "up", -1: "down"}
CELL_WORDS = (
    *("up", "down", "steps", "figure", "mixed", "string skips", "pedal", "arpeggio", "orders of"),
    *(name for name in _OFFSETS if name not in _SINGULAR),
)
_MARKS = {"h": Technique.HAMMER, "p": Technique.PULL, "s": Technique.SLIDE}
_LETTERS = {technique: letter for letter, technique in _MARKS.items()}
_STEP = re.compile(r"([hps]?)(-?\d{1,2}(?:\+-?\d{1,2})*)")
_MOST_IN_ORDERS = 5  # 120 orders; of six there are 720
_LARGEST_SEED = 999_999


def cells_of(text: str) -> tuple[Cell, ...]:
    """The cells that a text describes, in turn; `UnknownWord` at the first word that means nothing."""
    words = Words(text)
    cells: list[Cell] = []
    while True:
        cells += _turn_of(words)
        if not words:
            return tuple(cells)
        if not words.skip("then"):
            raise UnknownWord(words.next, "part of a cell", ("then", "or", *CELL_WORDS))


def _turn_of(words: Words) -> list[Cell]:
    """One cell, the same several times over, or one of several by chance."""
    times = 1
    if number_of(words.next) and not _begins_a_cell(words):
        times = words.number("")
    cell = _cell_of(words)
    if words.next != "or":
        return [cell] * times
    choices = [cell]
    while words.skip("or"):
        choices.append(_cell_of(words))
    seed = _chance_of(words)
    if seed is None:
        raise UnknownWord("", "`by chance` and a number to draw with, such as `by chance 3`")
    return [Choice(tuple(choices), seed)] * times


def _begins_a_cell(words: Words) -> bool:
    """Whether a number word is itself the cell's name (`a five down`), not a count (`two fours down`)."""
    return words.next in _SINGULAR and words.after_next in _DIRECTIONS


def _cell_of(words: Words) -> SingleCell:
    match words.next:
        case "up" | "down":
            return Run(_directions_of(words))
        case "steps":
            words.take("")
            return _pattern_of(words)
        case "figure":
            words.take("")
            return _figure_of(words)
        case "mixed":
            words.take("")
            return _mixed_of(words)
        case "string":
            return _skips_of(words)
        case "pedal":
            words.take("")
            return Pedal(_directions_of(words, "pedal"))
        case "arpeggio" | "arpeggios":
            return _arpeggio_of(words, size=3)
        case "seventh":
            return _sevenths_of(words)
        case "orders":
            return _orders_of(words)
    name = words.take("a cell such as `fours down`")
    if name.lower() not in _OFFSETS:
        raise UnknownWord(name, "a cell", CELL_WORDS)
    return Sequence(_OFFSETS[name.lower()], _directions_of(words, name))


def _directions_of(words: Words, after: str = "") -> tuple[int, ...]:
    """`up`, `down`, `up and down` ...; which word stood before is said where none follows."""
    expected = f"`up` or `down` after {after!r}" if after else "`up` or `down`"
    directions = [_direction_of(words, expected)]
    while words.skip("and"):
        word = words.next
        directions.append(_direction_of(words, "`up` or `down`"))
        if directions[-1] == directions[-2]:
            raise UnknownWord(word, "a turn: `up and down` or `down and up`")
    return tuple(directions)


def _direction_of(words: Words, expected: str) -> int:
    word = words.take(expected)
    if word.lower() not in _DIRECTIONS:
        raise UnknownWord(word, "a direction", _DIRECTIONS)
    return _DIRECTIONS[word.lower()]


def _numbers_of(words: Words, expected: str, most: int) -> tuple[int, ...]:
    """The numbers from 1 to `most` that come next, at least one."""
    numbers: list[int] = []
    while words.next.isdigit():
        word = words.take("")
        if not 1 <= int(word) <= most:
            raise UnknownWord(word, f"{expected}, 1 to {most}")
        numbers.append(int(word))
    if not numbers:
        raise UnknownWord(words.next, expected)
    return tuple(numbers)


def _figure_of(words: Words) -> Sequence:
    numbers = _numbers_of(words, "a step of the figure", 99)
    lowest = min(numbers)
    return Sequence(tuple(number - lowest for number in numbers), _directions_of(words, "the figure"))


def _mixed_of(words: Words) -> Mixed:
    sizes = _numbers_of(words, "the length of a group", 12)
    seed = _chance_of(words)
    return Mixed(sizes, _directions_of(words, "the lengths"), seed)


def _chance_of(words: Words) -> int | None:
    if not words.skip("by", "chance"):
        return None
    word = words.next
    seed = words.number("a number to draw with, such as `by chance 3`") if word.isdigit() else 1
    if seed > _LARGEST_SEED:
        raise UnknownWord(word, f"a number to draw with, at most {_LARGEST_SEED}")
    return seed


def _skips_of(words: Words) -> Skips:
    words.take("")
    if not words.skip("skips"):
        raise UnknownWord(words.next, "`skips` after 'string'", ("skips",))
    return Skips(_directions_of(words, "string skips"))


def _sevenths_of(words: Words) -> Sequence | Arpeggio:
    words.take("")
    if words.next in {"arpeggio", "arpeggios"}:
        return _arpeggio_of(words, size=4)
    if not words.skip("chords"):
        raise UnknownWord(words.next, "`chords` or `arpeggio` after 'seventh'", ("chords", "arpeggio"))
    return Sequence(_OFFSETS["seventh chords"], _directions_of(words, "seventh chords"))


def _arpeggio_of(words: Words, size: int) -> Arpeggio:
    words.take("")
    degrees = _numbers_of(words, "the degree that the chord is built on", 12)
    return Arpeggio(degrees, _directions_of(words, "the degree"), size)


def _orders_of(words: Words) -> Orders:
    words.take("")
    words.skip("of")
    numbers = _numbers_of(words, "a step", 99)
    if len(numbers) > _MOST_IN_ORDERS or len(set(numbers)) < len(numbers):
        listed = " ".join(map(str, numbers))
        raise UnknownWord(listed, f"up to {_MOST_IN_ORDERS} different steps to put in every order")
    return Orders(numbers, in_turn=words.skip("in", "turn"))


def _pattern_of(words: Words) -> Pattern:
    groups: list[list[Step]] = [[]]
    while words and words.next not in {"then", "or", "by"}:
        word = words.take("")
        match = _STEP.fullmatch(word.lower())
        if word == "|":
            groups.append([])
        elif word.lower() == "r":
            groups[-1].append(REST)
        elif word == "~":
            groups[-1].append(TIE)
        elif match is not None:
            numbers = tuple(int(number) for number in match[2].split("+"))
            groups[-1].append(Step(numbers, _MARKS.get(match[1])))
        else:
            raise UnknownWord(word, "a step: a number such as 3, h3, p3, s3 or 2+4, `r` for a rest, `~` for a tie")
    if not all(any(step.numbers for step in group) for group in groups):
        raise UnknownWord("", "at least one step in every group")
    return Pattern(tuple(tuple(group) for group in groups))


def cells_text(cells: Iterable[Cell]) -> str:
    """The words for `cells`: `cells_of` reads them back.

    >>> cells_text(cells_of("two fours down, then up"))
    'two fours down then up'
    """
    turns: list[tuple[Cell, int]] = []
    for cell in cells:
        # `two up` are groups of two, so runs are written one by one.
        if turns and turns[-1][0] == cell and not _cell_text(cell).startswith(tuple(_DIRECTIONS)):
            turns[-1] = (cell, turns[-1][1] + 1)
        else:
            turns.append((cell, 1))
    return " then ".join(f"{number_word(n)} {_cell_text(cell)}" if n > 1 else _cell_text(cell) for cell, n in turns)


def _cell_text(cell: Cell) -> str:
    match cell:
        case Run(directions=directions):
            return _way(directions)
        case Sequence(offsets=offsets, directions=directions):
            figure = " ".join(str(offset + 1) for offset in offsets)
            return f"{_NAMES.get(offsets, f'figure {figure}')} {_way(directions)}"
        case Mixed(sizes=sizes, directions=directions, seed=seed):
            chance = "" if seed is None else f" by chance {seed}"
            return f"mixed {_listed(sizes)}{chance} {_way(directions)}"
        case Skips(directions=directions):
            return f"string skips {_way(directions)}"
        case Pedal(directions=directions):
            return f"pedal {_way(directions)}"
        case Arpeggio(degrees=degrees, directions=directions, size=size):
            return f"{'seventh ' if size > 3 else ''}arpeggio {_listed(degrees)} {_way(directions)}"
        case Orders(numbers=numbers, in_turn=in_turn):
            return f"orders of {_listed(numbers)}{' in turn' if in_turn else ''}"
        case Pattern(steps=groups):
            return "steps " + " | ".join(" ".join(_step_text(step) for step in group) for group in groups)
        case Choice(cells=cells, seed=seed):
            return " or ".join(_cell_text(each) for each in cells) + f" by chance {seed}"


def _way(directions: Iterable[int]) -> str:
    return " and ".join(_DIRECTION_NAMES[direction] for direction in directions)


def _listed(numbers: Iterable[int]) -> str:
    return " ".join(map(str, numbers))


def _step_text(step: Step) -> str:
    if not step.numbers:
        return "~" if step.is_tie else "r"
    return ("" if step.technique is None else _LETTERS[step.technique]) + "+".join(map(str, step.numbers))
