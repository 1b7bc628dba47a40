"""The rhythm of a system above its strings: heads, stems, beams, dots, rests, ties and tuplet brackets.

Signs and their proportions are those of common notation, drawn from straight lines and ovals, so that no music font is
needed; a sign without a value (a stray duration from a file) is a head with a bare stem.
"""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby, pairwise

from trainer.score.beaming import beam_groups, beams_of
from trainer.score.meter import Meter
from trainer.score.notation import Sign
from trainer.sheets import paper
from trainer.sheets.columns import HEAD_ACROSS_PT, Column
from trainer.sheets.marks import Anchor, Bow, Mark, Oval, Point, Rule, Shape, Words
from trainer.sheets.rows import HEAD_DOWN_PT, Rows
from trainer.sheets.spacing import System

_BEAM_STEP_PT = 4.0
_STUB_PT = 5.5
_DOT_PT = 1.1


def rhythm_marks(columns: Sequence[Column], system: System, rows: Rows, meter: Meter) -> Iterator[Mark]:
    """Everything in the rhythm's rows of one system."""
    shown = columns[system.first : system.last + 1]
    signs = tuple(column.sign for column in shown)
    x_of = dict(zip(signs, system.xs_pt, strict=True))
    groups = [group for run in _bars(shown) for group in beam_groups(run, meter)]
    beamed = {sign for group in groups for sign in group}
    for sign in signs:
        if sign.is_rest:
            yield from _rest(sign, x_of[sign], rows)
        else:
            yield from _note(sign, x_of[sign], rows, has_flags=sign not in beamed)
    for group in groups:
        yield from _beams(group, [x_of[sign] + HEAD_ACROSS_PT for sign in group], rows.stem_pt, meter)
    yield from _ties(signs, system, rows)
    yield from _tuplets(signs, system, rows)


def _bars(shown: Iterable[Column]) -> Iterator[tuple[Sign, ...]]:
    for _, run in groupby(shown, key=lambda column: column.bar):
        yield tuple(column.sign for column in run)


def _note(sign: Sign, x_pt: float, rows: Rows, *, has_flags: bool) -> Iterator[Mark]:
    plain = Fraction(1) if sign.value is None else sign.value.plain_quarters
    is_hollow = plain >= 2
    yield Oval(Point(x_pt, rows.head_pt), HEAD_ACROSS_PT, HEAD_DOWN_PT, paper.LINE_PT if is_hollow else 0.0)
    stem_x = x_pt + HEAD_ACROSS_PT - paper.LINE_PT / 2
    if plain < 4:
        yield Rule(Point(stem_x, rows.head_pt), Point(stem_x, rows.stem_pt), paper.LINE_PT)
    if has_flags and sign.value is not None:
        for flag in range(sign.value.flags):
            top = rows.stem_pt + flag * _BEAM_STEP_PT
            yield Rule(Point(stem_x, top + 0.5), Point(stem_x + 4.5, top + 6.0), 1.4)
    if sign.value is not None and sign.value.dots:
        yield Oval(Point(x_pt + HEAD_ACROSS_PT + 3.0, rows.head_pt), _DOT_PT, _DOT_PT)


def _beams(group: Sequence[Sign], stems_pt: Sequence[float], top_pt: float, meter: Meter) -> Iterator[Mark]:
    """The beams of a group; a short stub where a neighbour has fewer."""
    for beam in beams_of(group, meter):
        left, right = stems_pt[beam.first], stems_pt[beam.last]
        stub = _STUB_PT * beam.side
        yield _bar(left - paper.LINE_PT + min(stub, 0.0), right + max(stub, 0.0), top_pt + beam.level * _BEAM_STEP_PT)


def _bar(left_pt: float, right_pt: float, top_pt: float) -> Shape:
    bottom = top_pt + paper.THICK_PT
    return Shape((Point(left_pt, top_pt), Point(right_pt, top_pt), Point(right_pt, bottom), Point(left_pt, bottom)))


def _rest(sign: Sign, x_pt: float, rows: Rows) -> Iterator[Mark]:
    """A rest stands in the middle of the stems' height."""
    middle = (rows.stem_pt + rows.head_pt) / 2 + 1.0
    plain = Fraction(1) if sign.value is None else sign.value.plain_quarters
    if plain >= 2:
        # A whole rest hangs from its line, a half rest sits on it.
        yield Rule(Point(x_pt - 5.0, middle), Point(x_pt + 5.0, middle), paper.LINE_PT)
        top = middle if plain >= 4 else middle - 3.4
        yield Shape(
            (
                Point(x_pt - 3.0, top),
                Point(x_pt + 3.0, top),
                Point(x_pt + 3.0, top + 3.4),
                Point(x_pt - 3.0, top + 3.4),
            )
        )
    elif plain == 1:
        zigzag = ((-1.6, -8.0), (1.8, -3.6), (-1.4, 0.2), (2.0, 4.6))
        corners = [Point(x_pt + dx, middle + dy) for dx, dy in zigzag]
        for weight, (start, end) in zip((1.1, 2.4, 1.1), pairwise(corners), strict=True):
            yield Rule(start, end, weight)
        yield Bow(corners[-1], Point(x_pt + 0.4, middle + 8.0), 2.0, 1.4)
    elif sign.value is not None:
        flags = sign.value.flags
        foot = Point(x_pt - 0.5, middle + 7.0)
        head = Point(x_pt + 2.2, middle - 2.5 - 2.2 * (flags - 1))
        yield Rule(foot, head, paper.LINE_PT)
        for flag in range(flags):
            y_pt = head.y_pt + 4.2 * flag
            x_stem = head.x_pt + (foot.x_pt - head.x_pt) * (y_pt - head.y_pt) / (foot.y_pt - head.y_pt)
            yield Oval(Point(x_stem - 4.2, y_pt + 0.6), 1.4, 1.4)
            yield Bow(Point(x_stem - 4.2, y_pt + 1.6), Point(x_stem, y_pt), -1.0, paper.LINE_PT)
    if sign.value is not None and sign.value.dots:
        yield Oval(Point(x_pt + HEAD_ACROSS_PT + 3.0, middle - 1.0), _DOT_PT, _DOT_PT)


def _ties(signs: Sequence[Sign], system: System, rows: Rows) -> Iterator[Mark]:
    y_pt = rows.head_pt + HEAD_DOWN_PT + 0.8
    for at, (sign, x_pt) in enumerate(zip(signs, system.xs_pt, strict=True)):
        if sign.tied_to:
            end = system.xs_pt[at + 1] if at + 1 < len(signs) else system.width_pt
            yield Bow(Point(x_pt + 1.0, y_pt), Point(end - 1.0, y_pt), -2.6, paper.LINE_PT)
        if sign.tied_from and at == 0:
            yield Bow(Point(x_pt - 12.0, y_pt), Point(x_pt - 1.0, y_pt), -2.6, paper.LINE_PT)


def _tuplets(signs: Sequence[Sign], system: System, rows: Rows) -> Iterator[Mark]:
    """A bracket over each tuplet with its figure; what goes on in another system has an open end."""
    if rows.tuplet_pt is None:
        return
    start: float | None = None
    for at, (sign, x_pt) in enumerate(zip(signs, system.xs_pt, strict=True)):
        if sign.tuplet is None:
            continue
        if start is None:
            start = x_pt - HEAD_ACROSS_PT
            begins = sign.tuplet_begins
        if sign.tuplet_ends or at + 1 == len(signs):
            end = x_pt + HEAD_ACROSS_PT + 0.6
            yield from _bracket(start, end, str(sign.tuplet.actual), rows.tuplet_pt, (begins, sign.tuplet_ends))
            start = None


def _bracket(left_pt: float, right_pt: float, figure: str, y_pt: float, closed: tuple[bool, bool]) -> Iterator[Mark]:
    words = Words((left_pt + right_pt) / 2, y_pt + 2.9, figure, paper.SMALLEST_PT, bold=True, anchor=Anchor.MIDDLE)
    yield words
    gap_left, gap_right = words.box.left_pt - 2.0, words.box.right_pt + 2.0
    if gap_left > left_pt:
        yield Rule(Point(left_pt, y_pt), Point(gap_left, y_pt), paper.HAIR_PT)
        yield Rule(Point(gap_right, y_pt), Point(right_pt, y_pt), paper.HAIR_PT)
    for is_closed, x_pt in zip(closed, (left_pt, right_pt), strict=True):
        if is_closed:
            yield Rule(Point(x_pt, y_pt), Point(x_pt, y_pt + 3.5), paper.HAIR_PT)
