"""Sheets as pages of marks: one layout for PDF and SVG, so that the two cannot differ.

A sheet is a pile of blocks (heading, necks, systems, notes to write) that are dealt out to pages from the top. Blocks
stand as close as they must, and are then spread over the page as far as they like: a page that just holds everything is
preferred to a second one with a single system. A block that says so stays with the next one. Page numbers count the
whole document, `2 of 5`.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from trainer.score.exercise import Exercise
from trainer.score.strings import string_letters
from trainer.sheets import paper as sizes
from trainer.sheets.columns import Column, columns_of
from trainer.sheets.joins import slurs_of
from trainer.sheets.lettering import CAP_SHARE, DESCENT_SHARE, elided, width_pt, wrapped
from trainer.sheets.marks import Anchor, Box, Jump, Mark, Point, Rule, Words, moved
from trainer.sheets.neck_marks import BETWEEN_PT, Diagram, neck_diagrams
from trainer.sheets.paper import Paper
from trainer.sheets.rows import rows_of
from trainer.sheets.spacing import systems_of
from trainer.sheets.staff_marks import LABEL_ROOM_PT, Line, system_marks
from trainer.theory.technique import Technique

_LEADING = 1.35
"""From baseline to baseline over the font size."""
_BETWEEN_ITEMS = "  ·  "
_CLOSEST_PT = 5.0
_WIDEST_PT = 20.0
_NOTES_LINE_PT = 20.0


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a sheet that is not broken, from its upper left corner."""

    marks: tuple[Mark, ...]
    height_pt: float
    stays_with_next: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """One page."""

    paper: Paper
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """Pages, and the names of those where an exercise begins."""

    title: str
    pages: tuple[Page, ...]
    begins: tuple[tuple[str, int], ...]
    """Title and page (0 = the first) of each exercise."""


def sheet_of(exercise: Exercise, paper: Paper = sizes.A4) -> Document:
    """One exercise as a sheet."""
    return _numbered(exercise.title, [(exercise.title, _exercise_pages(exercise, paper))], (), paper)


def booklet_of(exercises: Sequence[Exercise], title: str, paper: Paper = sizes.A4) -> Document:
    """Several exercises, each on pages of its own, after a page that lists them; `ValueError` for none."""
    if not exercises:
        raise ValueError("a booklet needs at least one exercise")
    sheets = [(exercise.title, _exercise_pages(exercise, paper)) for exercise in exercises]
    contents_count = len(_contents(exercises, title, [0] * len(exercises), paper))
    firsts, now = [], contents_count
    for _, pages in sheets:
        firsts.append(now)
        now += len(pages)
    return _numbered(title, sheets, _contents(exercises, title, firsts, paper), paper)


def _numbered(
    title: str, sheets: Sequence[tuple[str, list[tuple[Mark, ...]]]], contents: Sequence[tuple[Mark, ...]], paper: Paper
) -> Document:
    """The document with a footer on each page."""
    named = [(title, marks) for marks in contents] + [(name, marks) for name, pages in sheets for marks in pages]
    pages = tuple(
        Page(paper, (*marks, *_footer(name, number, len(named), paper)))
        for number, (name, marks) in enumerate(named, start=1)
    )
    begins, now = [], len(contents)
    for name, sheet in sheets:
        begins.append((name, now))
        now += len(sheet)
    return Document(title, pages, tuple(begins))


def _footer(name: str, number: int, count: int, paper: Paper) -> Iterator[Mark]:
    y_pt = paper.height_pt - paper.bottom_pt + 20.0
    right = paper.width_pt - paper.right_pt
    place = Words(right, y_pt, f"{number} of {count}", sizes.BODY_PT, anchor=Anchor.RIGHT)
    yield place
    yield Words(paper.left_pt, y_pt, elided(name, sizes.BODY_PT, place.left_pt - paper.left_pt - 12), sizes.BODY_PT)


def _exercise_pages(exercise: Exercise, paper: Paper) -> list[tuple[Mark, ...]]:
    return _dealt(list(_blocks(exercise, paper)), paper)


def _blocks(exercise: Exercise, paper: Paper) -> Iterator[Block]:
    columns = columns_of(exercise)
    column_of = {index: at for at, column in enumerate(columns) for index in column.notes}
    line = Line(exercise, columns, slurs_of(exercise), rows_of(exercise, columns), column_of)
    systems = systems_of(columns, paper.room_pt - LABEL_ROOM_PT)
    yield _heading(exercise, paper)
    yield from _neck_rows(neck_diagrams(exercise, paper.room_pt))
    for system in systems:
        yield Block(system_marks(line, system), line.rows.height_pt, stays_with_next=system.is_last)
    yield _foot(exercise, columns, paper.room_pt)


def _heading(exercise: Exercise, paper: Paper) -> Block:
    tempo = Words(
        paper.room_pt,
        CAP_SHARE * sizes.TITLE_PT,
        f"♩ = {float(exercise.tempo.quarters_per_minute):g}",
        sizes.TEMPO_PT,
        bold=True,
        anchor=Anchor.RIGHT,
    )
    text = _Text(paper.room_pt)
    room = tempo.left_pt - 16.0
    fits = width_pt(exercise.title, sizes.TITLE_PT, bold=True) <= room
    text.add(exercise.title, sizes.TITLE_PT if fits else sizes.LONG_TITLE_PT, bold=True, room_pt=room)
    text.add(_facts(exercise), sizes.FACTS_PT)
    if exercise.about:
        text.add(exercise.about, sizes.BODY_PT, above_pt=2.0)
    return Block((tempo, *text.marks), text.height_pt, stays_with_next=True)


def _facts(exercise: Exercise) -> str:
    meter, tuning = exercise.meter, exercise.tuning
    strings = " ".join(reversed(string_letters(tuning)))
    named = f"{tuning.name} tuning ({strings})" if tuning.name != strings else f"tuning {strings}"
    facts = [exercise.key, named, f"{meter.beats}/{meter.beat_unit}"]
    return _BETWEEN_ITEMS.join(fact for fact in facts if fact)


class _Text:
    """Paragraphs one below the other."""

    def __init__(self, room_pt: float) -> None:
        self._room_pt = room_pt
        self.marks: list[Mark] = []
        self.height_pt = 0.0

    def add(
        self, text: str, size_pt: float, *, bold: bool = False, room_pt: float | None = None, above_pt: float = 0.0
    ) -> None:
        """Add a paragraph, broken where it does not fit."""
        self.height_pt += above_pt
        for line in wrapped(text, size_pt, room_pt or self._room_pt, bold=bold):
            baseline = self.height_pt + CAP_SHARE * size_pt
            self.marks.append(Words(0.0, baseline, line, size_pt, bold=bold))
            self.height_pt += _LEADING * size_pt
        self.height_pt += DESCENT_SHARE * size_pt

    def add_list(self, items: Iterable[str], size_pt: float) -> None:
        """Add short texts in a row, broken only between two of them."""
        lines: list[str] = []
        for item in items:
            longer = f"{lines[-1]}{_BETWEEN_ITEMS}{item}" if lines else item
            if lines and width_pt(longer, size_pt) <= self._room_pt:
                lines[-1] = longer
            else:
                lines.append(item)
        for line in lines:
            self.marks.append(Words(0.0, self.height_pt + CAP_SHARE * size_pt, line, size_pt))
            self.height_pt += _LEADING * size_pt


def _neck_rows(rows: Iterable[Sequence[Diagram]]) -> Iterator[Block]:
    """The diagrams side by side; the first system stays with the last row."""
    for row in rows:
        marks: list[Mark] = []
        now = 0.0
        for diagram in row:
            marks += moved(diagram.marks, now, 0.0)
            now += diagram.width_pt + BETWEEN_PT
        yield Block(tuple(marks), max(diagram.height_pt for diagram in row), stays_with_next=True)


def _foot(exercise: Exercise, columns: Sequence[Column], room_pt: float) -> Block:
    """What the signs mean, and lines to write on."""
    text = _Text(room_pt)
    text.add_list(_legend(exercise, columns), sizes.SMALLEST_PT)
    y_pt = text.height_pt + _NOTES_LINE_PT
    marks: list[Mark] = list(text.marks)
    now = 0.0
    for label, share in (("target  ♩ =", 0.26), ("reached  ♩ =", 0.26), ("notes", 0.48)):
        words = Words(now, y_pt, label, sizes.FACTS_PT)
        end = now + share * room_pt - (12.0 if share < 0.4 else 0.0)
        marks += [words, Rule(Point(words.box.right_pt + 5.0, y_pt + 2.0), Point(end, y_pt + 2.0), sizes.HAIR_PT)]
        now = end + 12.0
    second = y_pt + _NOTES_LINE_PT
    marks.append(Rule(Point(0.0, second + 2.0), Point(room_pt, second + 2.0), sizes.HAIR_PT))
    return Block(tuple(marks), second + 3.0)


def _legend(exercise: Exercise, columns: Sequence[Column]) -> Iterator[str]:
    """The signs that occur on the sheet, in words."""
    techniques = {note.technique for note in exercise.notes}
    if any(column.position for column in columns):
        yield "pos.: position, boxed where the hand moves to it"
        yield "neck: fingers, the root in a square"
    if Technique.HAMMER in techniques:
        yield "H: hammer-on"
    if Technique.PULL in techniques:
        yield "P: pull-off"
    if any(note.technique is Technique.SLIDE and note.slide_from is None for note in exercise.notes):
        yield "slanted line: slide"
    if any(note.slide_from is not None for note in exercise.notes):
        yield "small figure: pick it and slide at once"
    if any(note.accent for note in exercise.notes):
        yield "> accent"
    if any(note.stroke is not None for note in exercise.notes):
        yield "pick: bracket = down, wedge = up"
    if any(count.word.startswith("(") for column in columns for count in column.counts):
        yield "(2): a beat on which no note begins"
    yield "lines are strings, the lowest line the last string; 0 = open"


def _contents(exercises: Sequence[Exercise], title: str, firsts: Sequence[int], paper: Paper) -> list[tuple[Mark, ...]]:
    """The pages that list the exercises of a booklet."""
    text = _Text(paper.room_pt)
    text.add(title, sizes.TITLE_PT, bold=True)
    blocks = [Block(tuple(text.marks), text.height_pt, stays_with_next=True)]
    for ordinal, (exercise, first) in enumerate(zip(exercises, firsts, strict=True), start=1):
        blocks.append(_entry(ordinal, exercise, first, paper.room_pt))
    return _dealt(blocks, paper)


def _entry(ordinal: int, exercise: Exercise, first: int, room_pt: float) -> Block:
    y_pt = CAP_SHARE * sizes.FACTS_PT + 2.0
    page = Words(room_pt, y_pt, str(first + 1), sizes.FACTS_PT, anchor=Anchor.RIGHT)
    details = f"{exercise.key}, " if exercise.key else ""
    details += f"♩ = {float(exercise.tempo.quarters_per_minute):g}"
    detail_words = Words(
        room_pt - 34.0, y_pt, elided(details, sizes.BODY_PT, 0.4 * room_pt), sizes.BODY_PT, anchor=Anchor.RIGHT
    )
    number = Words(18.0, y_pt, f"{ordinal}", sizes.FACTS_PT, anchor=Anchor.RIGHT)
    room = detail_words.left_pt - 26.0 - 24.0
    name = Words(26.0, y_pt, elided(exercise.title, sizes.FACTS_PT, room, bold=True), sizes.FACTS_PT, bold=True)
    rule = Rule(Point(name.box.right_pt + 6.0, y_pt), Point(detail_words.left_pt - 6.0, y_pt), sizes.HAIR_PT)
    height = y_pt + 4.0
    return Block((number, name, rule, detail_words, page, Jump(Box(0.0, 0.0, room_pt, height), first)), height)


def _dealt(blocks: Sequence[Block], paper: Paper) -> list[tuple[Mark, ...]]:
    """Blocks on pages: as many as fit at the closest, then spread out."""
    pages: list[list[Block]] = [[]]
    for pile in _piles(blocks):
        fits = _height(pages[-1] + pile) <= paper.column_pt
        if pages[-1] and not fits:
            pages.append([])
        pages[-1] += pile
    return [tuple(_spread(page, paper)) for page in pages]


def _piles(blocks: Iterable[Block]) -> Iterator[list[Block]]:
    """The blocks in piles that stay together."""
    pile: list[Block] = []
    for block in blocks:
        pile.append(block)
        if not block.stays_with_next:
            yield pile
            pile = []
    if pile:
        yield pile


def _height(blocks: Sequence[Block]) -> float:
    return sum(block.height_pt for block in blocks) + _CLOSEST_PT * (len(blocks) - 1)


def _spread(blocks: Sequence[Block], paper: Paper) -> Iterator[Mark]:
    spare = paper.column_pt - _height(blocks)
    gap = min(_WIDEST_PT, _CLOSEST_PT + max(0.0, spare) / max(1, len(blocks) - 1))
    now = paper.top_pt
    for block in blocks:
        yield from moved(block.marks, paper.left_pt, now)
        now += block.height_pt + gap
