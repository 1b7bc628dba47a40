"""Diagrams of the neck: one for each position that a line visits, as the player sees it, string 1 on top.

A circle is a note that the line plays there, a square one is the root of the key; in it stands the finger. A position
that comes again an octave higher has one diagram with the frets of both.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from trainer.score.exercise import Exercise
from trainer.score.strings import string_letters
from trainer.sheets import paper
from trainer.sheets.lettering import CAP_SHARE
from trainer.sheets.marks import Anchor, Mark, Oval, Point, Rule, Shape, Words, moved
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord
from trainer.theory.scale import key_named

BETWEEN_PT = 13.0
"""Between two diagrams."""

# A fret is drawn as wide as lets the diagrams stand in the fewest rows; a circle with its line takes 10 pt.
_FRET_WIDTHS_PT = (15.0, 14.0, 13.0, 12.0, 11.0)
_GAP_PT = 10.5
_DOT_PT = 4.5
_LEAST_FRETS = 4
_LABEL_PT = 15.0
_LETTERS_PT = 12.0
_OCTAVE = 12


@dataclass(frozen=True, slots=True)
class Visited:
    """A position of the hand and the notes that a line plays in it, with their fingers."""

    number: int
    fingers: Mapping[Location, int | None]

    @property
    def first_fret(self) -> int:
        """The lowest fret that is shown."""
        return max(1, min(place.fret for place in self.fingers))

    @property
    def frets(self) -> int:
        """How many frets are shown."""
        return max(_LEAST_FRETS, max(place.fret for place in self.fingers) - self.first_fret + 1)


@dataclass(frozen=True, slots=True)
class Diagram:
    """A drawing of one position, from its upper left corner."""

    marks: tuple[Mark, ...]
    width_pt: float
    height_pt: float


def positions_visited(exercise: Exercise) -> tuple[Visited, ...]:
    """The positions that a line visits, in their order; each visit an octave apart counts by itself."""
    visits: list[Visited] = []
    placed = [note for note in exercise.notes if note.position is not None]
    for number, run in groupby(placed, key=lambda note: note.position):
        fingers = {note.location: note.finger for note in run}
        lowest = min(place.fret for place in fingers)
        for at, other in enumerate(visits):
            if other.number == number and abs(min(p.fret for p in other.fingers) - lowest) < _OCTAVE // 2:
                visits[at] = Visited(number, {**fingers, **other.fingers})
                break
        else:
            visits.append(Visited(number or 0, fingers))
    return tuple(visits)


def neck_diagrams(exercise: Exercise, room_pt: float) -> tuple[tuple[Diagram, ...], ...]:
    """A diagram for each shape that a line visits, lowest on the neck first, in rows no wider than `room_pt`."""
    shapes: dict[tuple[object, ...], list[Visited]] = {}
    for visited in sorted(positions_visited(exercise), key=lambda visited: visited.first_fret):
        low = min(place.fret for place in visited.fingers)
        shape = frozenset((place.course, place.fret - low) for place in visited.fingers)
        shapes.setdefault((visited.number, shape, low == 0), []).append(visited)
    drawn = ([_diagram(exercise, same, fret_pt) for same in shapes.values()] for fret_pt in _FRET_WIDTHS_PT)
    return min((_in_rows(diagrams, room_pt) for diagrams in drawn), key=len)


def _in_rows(diagrams: Iterable[Diagram], room_pt: float) -> tuple[tuple[Diagram, ...], ...]:
    rows: list[list[Diagram]] = []
    now = room_pt
    for diagram in diagrams:
        if not rows or now + diagram.width_pt > room_pt:
            rows.append([])
            now = 0.0
        rows[-1].append(diagram)
        now += diagram.width_pt + BETWEEN_PT
    return tuple(tuple(row) for row in rows)


def _diagram(exercise: Exercise, same: list[Visited], fret_pt: float) -> Diagram:
    visited = same[0]
    strings = len(exercise.tuning.open_pitches)
    frets = " and ".join(str(other.first_fret) for other in same)
    number = Words(0.0, 0.0, f"pos. {visited.number}", paper.SMALLEST_PT, bold=True)
    place = Words(number.width_pt + 6.0, 0.0, f"fret {frets}", paper.SMALLEST_PT)
    label = moved((number, place), _LETTERS_PT, CAP_SHARE * paper.SMALLEST_PT)
    neck = moved(_neck(exercise, visited, fret_pt), _LETTERS_PT, _LABEL_PT)
    width = max(_LETTERS_PT + visited.frets * fret_pt, _LETTERS_PT + number.width_pt + 6.0 + place.width_pt)
    letters = tuple(
        Words(
            _LETTERS_PT - 3.0,
            _LABEL_PT + _GAP_PT * (course - 1) + CAP_SHARE * paper.SMALLEST_PT / 2,
            letter,
            paper.SMALLEST_PT,
            anchor=Anchor.RIGHT,
        )
        for course, letter in enumerate(string_letters(exercise.tuning), start=1)
        if any(place.course == course for place in visited.fingers) and not _has_open(visited, course)
    )
    return Diagram((*label, *neck, *letters), width, _LABEL_PT + _GAP_PT * (strings - 1) + _DOT_PT)


def _has_open(visited: Visited, course: int) -> bool:
    return Location(course, 0) in visited.fingers


def _neck(exercise: Exercise, visited: Visited, fret_pt: float) -> Iterator[Mark]:
    strings = len(exercise.tuning.open_pitches)
    right, bottom = visited.frets * fret_pt, _GAP_PT * (strings - 1)
    for course in range(strings):
        yield Rule(Point(0.0, course * _GAP_PT), Point(right, course * _GAP_PT), paper.HAIR_PT)
    for fret in range(visited.frets + 1):
        is_nut = fret == 0 and visited.first_fret == 1
        weight = paper.THICK_PT if is_nut else paper.HAIR_PT
        yield Rule(Point(fret * fret_pt, 0.0), Point(fret * fret_pt, bottom), weight)
    root = _root_class(exercise)
    for place, finger in sorted(visited.fingers.items()):
        x_pt = (place.fret - visited.first_fret + 0.5) * fret_pt if place.fret else -_DOT_PT - 2.0
        y_pt = (place.course - 1) * _GAP_PT
        if exercise.tuning.pitch_at(place) % _OCTAVE == root:
            yield from _square(x_pt, y_pt)
        else:
            yield Oval(Point(x_pt, y_pt), _DOT_PT, _DOT_PT, paper.LINE_PT)
        if finger is not None:
            baseline = y_pt + CAP_SHARE * paper.SMALLEST_PT / 2
            yield Words(x_pt, baseline, str(finger), paper.SMALLEST_PT, bold=True, anchor=Anchor.MIDDLE)


def _square(x_pt: float, y_pt: float) -> Iterator[Mark]:
    left, right, top, bottom = x_pt - _DOT_PT, x_pt + _DOT_PT, y_pt - _DOT_PT, y_pt + _DOT_PT
    corners = (Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom))
    yield Shape(corners, weight_pt=1.6)


def _root_class(exercise: Exercise) -> int | None:
    try:
        return key_named(exercise.key).root.pitch_class
    except UnknownWord:
        return None
