"""When the notes of text tablature are played: from a count line, or guessed from the spacing.

A count line gives each beat its number and each note its syllable (`counting`). What `5` or `a` stands for depends on
what else is counted in its beat, so that beats are read as a whole: of all readings that would be counted aloud in just
these words the one is taken that fits the columns best. A note without a count lies between its neighbours in
proportion to the columns.

Without a count line a bar is as long as the meter says and its columns are even: the coarsest even division of the beat
on whose places all notes lie is taken. A bar may have up to three dashes before its first beat.
"""

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from itertools import groupby, pairwise

from trainer.score.counting import count_a_beat, count_syllables, notes_a_beat
from trainer.score.meter import Meter
from trainer.score.text_tab_lines import Word

_NUMBER = re.compile(r"\(?(\d{1,2})\)?")
_SAME_WORD = {"+": "&", "and": "&", "n": "&", "ee": "e", "ah": "a", "uh": "a", "tri": "trip", "pl": "trip", "l": "let"}
_SYLLABLES = frozenset(word for n in range(1, 9) for word in count_a_beat(n).split()[1:]) | {"."}
_MOST_WORDS_A_BAR, _MOST_WORDS_A_BEAT = 96, 12
_MOST_READINGS = 4000
_MIXED = 1.0
"""A beat that no even division explains is the last thing to think of."""
_UNSAID = 0.02
"""What each count costs that a reading leaves out: five notes with a slide between look like five of seven."""
_DIVISIONS = (1, 2, 4, 3, 8, 6, 5, 7, 16, 12)
_TOLERANCES_COLUMNS = (0.05, 0.34, 0.6)
_LONGEST_PAD = 3


@dataclass(slots=True)
class Bar:
    """A bar with what stands in it; columns count from its beginning."""

    width: int = 0
    columns: list[int] = field(default_factory=list)
    """Where notes begin, ascending."""
    counts: list[Word] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Timed:
    """When a bar's columns are played."""

    offsets: tuple[Fraction, ...]
    """Of each column, in beats from the beginning of the bar."""
    beats: Fraction
    """The length of the bar."""
    is_counted: bool


def is_count_row(words: Sequence[Word]) -> bool:
    """Whether a row of words is a count line: beats in figures, and syllables between them or figures in order."""
    texts = [_plain(word.text) for word in words]
    if len(texts) < 2 or not all(_is_counted(text) for text in texts):
        return False
    numbers = [number for text in texts if (number := _number(text)) is not None]
    has_syllables = len(numbers) < len(texts)
    rises = all(after <= before + 1 for before, after in pairwise(numbers))
    return bool(numbers) and (has_syllables or (rises and numbers[0] == 1))


def _plain(text: str) -> str:
    lowered = text.lower()
    return _SAME_WORD.get(lowered, lowered)


def _is_counted(text: str) -> bool:
    return text in _SYLLABLES or _NUMBER.fullmatch(text) is not None


def _number(text: str) -> int | None:
    match = _NUMBER.fullmatch(text)
    return int(match[1]) if match else None


def usual_beats(bars: Iterable[Bar]) -> int:
    """How many beats most of the counted bars have; 4 when none is counted."""
    numbers = [counted[1] for bar in bars if bar.counts and (counted := _counted(bar)) is not None]
    return max(sorted(set(numbers)), key=numbers.count) if numbers else 4


def timed_bar(bar: Bar, meter: Meter, pad: int, *, is_last: bool) -> Timed:
    """When each column of `bar` is played; `pad` columns stand before its first beat where nothing is counted."""
    counted = _counted(bar) if bar.counts else None
    if counted is None:
        return _spaced(tuple(bar.columns), bar.width, meter.beats, pad)
    anchors, beats = counted
    length = Fraction(beats) if is_last or beats > meter.beats else Fraction(max(beats, meter.beats))
    return Timed(_between(bar.columns, anchors, bar.width, length), length, is_counted=True)


def _counted(bar: Bar) -> tuple[list[tuple[int, Fraction]], int] | None:
    """(column, beats) of every counted word, and how many beats there are; None where the words make no sense."""
    words = [Word(word.column, _plain(word.text)) for word in bar.counts]
    first = _number(words[0].text)
    if first is None or len(words) > _MOST_WORDS_A_BAR:
        return None
    # (cost, anchors) of the cheapest reading of the words up to a word that begins a beat.
    ways: dict[tuple[int, int], tuple[float, list[tuple[int, Fraction]]]] = {(0, first): (0.0, [])}
    done: tuple[float, list[tuple[int, Fraction]], int] | None = None
    for start in range(len(words)):
        for beat in sorted(beat for at, beat in ways if at == start):
            cost, anchors = ways[start, beat]
            for end in range(start + 1, min(len(words), start + _MOST_WORDS_A_BEAT) + 1):
                is_end = end == len(words)
                if not is_end and _number(words[end].text) != beat + 1:
                    continue
                until = bar.width if is_end else words[end].column
                read = _beat(tuple(words[start:end]), beat, until)
                if read is None:
                    continue
                total, whole = cost + read[0] + _unevenness(words[start].column, until, bar.width), anchors + read[1]
                if is_end and (done is None or total < done[0]):
                    done = (total, whole, beat)
                elif not is_end and ((end, beat + 1) not in ways or total < ways[end, beat + 1][0]):
                    ways[end, beat + 1] = (total, whole)
    return None if done is None else (done[1], done[2])


def _unevenness(start: int, end: int, width: int) -> float:
    """A long beat is a little dearer than two short ones, so that beats come out about as wide as one another."""
    return 0.5 * ((end - start) / max(width, 1)) ** 2


def _beat(words: tuple[Word, ...], beat: int, until: int) -> tuple[float, list[tuple[int, Fraction]]] | None:
    """The reading of one beat's words that fits their columns best: its cost and its anchors; None without any."""
    origin, room = words[0].column, max(until - words[0].column, 1)
    texts = tuple(word.text for word in words)
    shares = [(word.column - origin) / room for word in words[1:]]
    best: tuple[float, tuple[Fraction, ...]] | None = None
    for offsets in _readings(texts):
        cost = sum((float(offset) - share) ** 2 for offset, share in zip(offsets, shares, strict=True) if offset >= 0)
        division = notes_a_beat([offset for offset in offsets if offset >= 0]) or len(words)
        cost += _UNSAID * max(0, division - len(words))
        if best is None or cost < best[0]:
            best = (cost, offsets)
    if best is None:
        return None
    mixed = _MIXED if notes_a_beat([offset for offset in best[1] if offset >= 0]) is None else 0.0
    anchors = [(origin, Fraction(beat - 1))]
    anchors += [
        (word.column, beat - 1 + offset) for word, offset in zip(words[1:], best[1], strict=True) if offset >= 0
    ]
    return best[0] + mixed, anchors


@cache
def _readings(texts: tuple[str, ...]) -> tuple[tuple[Fraction, ...], ...]:
    """All offsets within the beat at which the words after the first would be said; -1 for a dot: any place."""
    begins = texts[0].isdecimal()
    found = []
    for number, offsets in enumerate(_rows(texts[1:], Fraction(0))):
        if number > _MOST_READINGS:
            break
        placed = [offset for offset in offsets if offset >= 0]
        said = count_syllables([Fraction(0), *placed] if begins else placed, Meter())
        wanted = [text for text in texts[1:] if text != "."]
        if "." in texts or list(said[1 if begins else 0 :]) == wanted:
            found.append(offsets)
    # Words that one even division explains are not taken for a mixture of several.
    even = [offsets for offsets in found if "." not in texts and notes_a_beat(offsets) is not None]
    return tuple(even or found)


def _rows(texts: tuple[str, ...], after: Fraction) -> Iterator[tuple[Fraction, ...]]:
    """Ascending places of the words, each in a division where it is said so."""
    if not texts:
        yield ()
        return
    if texts[0] == ".":
        for rest in _rows(texts[1:], after):
            yield (Fraction(-1), *rest)
        return
    for place in _places(texts[0]):
        if place > after:
            for rest in _rows(texts[1:], place):
                yield (place, *rest)


@cache
def _places(syllable: str) -> tuple[Fraction, ...]:
    return tuple(
        sorted(
            {
                Fraction(at, division)
                for division in range(2, 9)
                for at, word in enumerate(count_a_beat(division).split())
                if at and word == syllable
            }
        )
    )


def _between(
    columns: Sequence[int], anchors: Sequence[tuple[int, Fraction]], width: int, length: Fraction
) -> tuple[Fraction, ...]:
    """When columns are played: at the count that stands there (or one column beside), else between its neighbours.

    No two columns are played at once.
    """
    at = {column: moment for column, moment in anchors if column in columns}
    free = {column: moment for column, moment in anchors if column not in columns}
    for column in columns:
        near = next((near for near in (column - 1, column + 1) if near in free), None)
        if column not in at and near is not None:
            at[column] = free.pop(near)
    places = [column for column, _ in anchors]
    between = groupby(
        (column for column in columns if column not in at), key=lambda column: bisect_right(places, column)
    )
    for after, group in between:
        left_column, left = anchors[after - 1] if after else (-1, Fraction(0))
        right_column, right = anchors[after] if after < len(anchors) else (width, length)
        row = list(group)
        shares = [Fraction(column - left_column, max(right_column - left_column, 1)) for column in row]
        at |= {column: left + share * (right - left) for column, share in zip(row, _simple(shares), strict=True)}
    return tuple(at[column] for column in columns)


def _simple(shares: Sequence[Fraction]) -> Sequence[Fraction]:
    """The simplest ascending fractions strictly between 0 and 1 that are near."""
    for most in (2, 3, 4, 8, 16):
        simple = [share.limit_denominator(most) for share in shares]
        is_near = all(abs(near - share) <= Fraction(1, 3 * most) for near, share in zip(simple, shares, strict=True))
        if is_near and all(before < after for before, after in pairwise([Fraction(0), *simple, Fraction(1)])):
            return simple
    return shares


def pad_of(bars: Sequence[Bar]) -> int:
    """How many dashes stand before the first beat of the bars: the fewest before any first note, at most three."""
    firsts = [bar.columns[0] for bar in bars if bar.columns]
    return min([*firsts, _LONGEST_PAD])


@cache
def _spaced(columns: tuple[int, ...], width: int, beats: int, pad: int) -> Timed:
    """Places by even columns; the last resort, where no division fits, is in proportion."""
    room = max(width - pad, 1)
    for tolerance in _TOLERANCES_COLUMNS:
        for division in _DIVISIONS:
            for wider in (0, 1, -1, 2, -2):
                places = _on_division(columns, pad, Fraction(room + wider, beats * division), tolerance)
                if places is not None and all(0 <= place < beats * division for place in places):
                    return Timed(tuple(Fraction(p, division) for p in places), Fraction(beats), is_counted=False)
    shares = [Fraction(max(column - pad, 0), room) * beats for column in columns]
    return Timed(tuple(shares), Fraction(beats), is_counted=False)


def _on_division(columns: Sequence[int], pad: int, cell: Fraction, tolerance: float) -> tuple[int, ...] | None:
    if cell <= 0:
        return None
    places = tuple(round((column - pad) / cell) for column in columns)
    is_near = all(
        abs(float(place * cell) - (column - pad)) <= tolerance for place, column in zip(places, columns, strict=True)
    )
    return places if is_near and len(set(places)) == len(places) else None
