"""Text tablature as lines: which lines are strings, what stands above and below them, and where the bars are.

A *system* is a block of adjacent lines, one a string, the top one string 1: an optional letter, then mostly dashes and
bar lines. Lines beside a system, without a blank line between, are its rows: a row is words and the columns that they
begin at. Everything else is text. Columns count from where the strings begin, after the letter.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

LARGEST_BYTES = 512 * 1024
LONGEST_LINE = 2000
MOST_LINES = 10_000
FEWEST_STRINGS, MOST_STRINGS = 4, 8

_LABEL = re.compile(r"^\s*(?P<label>[A-Ga-g][#b]?[0-9]?)?\s?:?\s*(?=[|\-:])")
_BODY_SIGNS = frozenset("-|:0123456789hpbrstvxHPBRSTVXM/\\~()<>[]{}^*=.o+ w")
# Of a line with other signs too, this share is dashes and bar lines, else it is a sentence with dashes in it.
_DASHES_AMONG_OTHERS = 0.5
_FEWEST_DASHES = 3
_SIGNS_OF_TYPESETTERS = str.maketrans(
    {"–": "-", "—": "-", "−": "-", "‒": "-", "―": "-", "│": "|", "┃": "|", "¦": "|", "♯": "#", "♭": "b", "\u00a0": " "}
)
_WORD = re.compile(r"\S+")
_BAR = re.compile(r"[^|]+")


class TextTabError(Exception):
    """Why a text is no tablature, and in which line (0 = the text as a whole)."""

    def __init__(self, text: str, line: int = 0) -> None:
        super().__init__(text)
        self.line = line


@dataclass(frozen=True, slots=True)
class Word:
    """A word in a row beside a system."""

    column: int
    text: str


@dataclass(frozen=True, slots=True)
class Segment:
    """What one string has between two bar lines."""

    column: int
    """Where it begins in its system."""
    text: str


@dataclass(frozen=True, slots=True)
class StringLine:
    """One line of a system."""

    number: int
    """In the text, from 1."""
    label: str
    segments: tuple[Segment, ...]
    begins_bar: bool
    ends_bar: bool
    after: str
    """What stands behind the last bar line, such as `x2`."""
    start: int
    """Column of the text at which the string begins."""


@dataclass(frozen=True, slots=True)
class System:
    """A block of strings with the rows beside it."""

    strings: tuple[StringLine, ...]
    above: tuple[tuple[Word, ...], ...] = ()
    below: tuple[tuple[Word, ...], ...] = ()

    @property
    def rows(self) -> tuple[tuple[Word, ...], ...]:
        """All rows beside the strings."""
        return (*self.above, *self.below)


@dataclass(slots=True)
class Page:
    """A text parted into its systems and the rest."""

    systems: list[System] = field(default_factory=list)
    heading: list[str] = field(default_factory=list)
    """The lines before the first system's rows."""
    others: list[tuple[int, str]] = field(default_factory=list)
    """(line number, text) of what is neither heading nor system."""


def read_page(text: str) -> Page:
    """The systems in `text`; `TextTabError` when there is none, or when a line or the whole is too long."""
    lines = [line.translate(_SIGNS_OF_TYPESETTERS).expandtabs(8).rstrip() for line in text.splitlines()]
    if len(lines) > MOST_LINES:
        raise TextTabError(f"has {len(lines)} lines: expected at most {MOST_LINES}")
    for number, line in enumerate(lines, start=1):
        if len(line) > LONGEST_LINE:
            raise TextTabError(f"has {len(line)} characters: expected at most {LONGEST_LINE}", number)
    strings = {number: read for number, line in enumerate(lines, start=1) if (read := _string_line(line, number))}
    blocks = _blocks(strings)
    if not blocks:
        raise TextTabError(
            f"holds no tablature: expected {FEWEST_STRINGS} to {MOST_STRINGS} adjacent lines of dashes and frets"
        )
    return _page(lines, blocks)


def _string_line(line: str, number: int) -> StringLine | None:
    match = _LABEL.match(line)
    if match is None:
        return None
    body = line[match.end() :]
    last_bar = body.rfind("|")
    after = body[last_bar + 1 :] if last_bar > 0 else ""
    if after and "-" not in after:
        body, after = body[: last_bar + 1], after.strip()
    else:
        after = ""
    dashes = body.count("-")
    is_known = set(body) <= _BODY_SIGNS
    if dashes < _FEWEST_DASHES or not (is_known or dashes + body.count("|") >= _DASHES_AMONG_OTHERS * len(body)):
        return None
    segments = tuple(Segment(found.start(), found[0]) for found in _BAR.finditer(body) if set(found[0]) - set(": *o"))
    return StringLine(
        number, match["label"] or "", segments, body.startswith("|"), body.endswith("|"), after, match.end()
    )


def _blocks(strings: dict[int, StringLine]) -> list[list[StringLine]]:
    """The adjacent string lines, systems that stand close together parted."""
    runs: list[list[StringLine]] = []
    for number, string in strings.items():
        if runs and runs[-1][-1].number == number - 1:
            runs[-1].append(string)
        else:
            runs.append([string])
    return [block for run in runs if len(run) >= FEWEST_STRINGS for block in _parted(run)]


def _parted(run: Sequence[StringLine]) -> list[list[StringLine]]:
    if len(run) <= MOST_STRINGS:
        return [list(run)]
    for size in (6, 7, 8, 5, 4):
        blocks = [list(run[at : at + size]) for at in range(0, len(run), size)]
        labels = [[string.label for string in block] for block in blocks]
        if len(run) % size == 0 and all(one == other for one, other in pairwise(labels)):
            return blocks
    raise TextTabError(
        f"{len(run)} lines of strings in one block: expected {FEWEST_STRINGS} to {MOST_STRINGS}", run[0].number
    )


def _page(lines: Sequence[str], blocks: Sequence[Sequence[StringLine]]) -> Page:
    page = Page()
    taken = {string.number for block in blocks for string in block}
    for block in blocks:
        above = _beside(lines, block[0].number - 1, -1, taken)
        below = _beside(lines, block[-1].number + 1, 1, taken)
        start = block[0].start
        page.systems.append(
            System(
                tuple(block),
                tuple(_words(lines[number - 1], start) for number in reversed(above)),
                tuple(_words(lines[number - 1], start) for number in below),
            )
        )
        taken |= {*above, *below}
    first = min(taken)
    page.heading = [line for line in lines[: first - 1] if line.strip()]
    page.others = [
        (number, line.strip())
        for number, line in enumerate(lines, start=1)
        if number >= first and number not in taken and line.strip()
    ]
    return page


def _beside(lines: Sequence[str], number: int, step: int, taken: set[int]) -> list[int]:
    """The numbers of the lines from `number` on, up or down, to the next blank or taken one."""
    found: list[int] = []
    while 1 <= number <= len(lines) and lines[number - 1].strip() and number not in taken:
        found.append(number)
        number += step
    return found


def _words(line: str, start: int) -> tuple[Word, ...]:
    return tuple(Word(found.start() - start, found[0]) for found in _WORD.finditer(line))
