"""Where the hand stands: the stretches of a line that one position serves, their brackets, and the neck.

A line that names no positions is cut bar by bar instead.
"""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from trainer.score.exercise import Exercise, ScoreNote
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Anchor, Arrow, Dot, Glyph, Ink, Line, Size, Text, TextMetrics
from trainer.tablature.layout import NeckPlace
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique

OCTAVE_FRETS = 12
INLAYS = (3, 5, 7, 9, 12, 15, 17, 19, 21, 24)
"""The frets that a neck is marked at."""


@dataclass(frozen=True, slots=True)
class Hand:
    """A stretch of the line that is played from one position."""

    first: int
    last: int
    name: str
    """What its bracket says."""
    number: str
    """The same when there is no room."""
    fingers: tuple[tuple[Location, int | None], ...]
    """The places that it frets, each with its finger if one is written."""
    has_position: bool


@dataclass(frozen=True, slots=True)
class Shift:
    """How the hand gets to its next stretch: along the string of a slide, or as a whole."""

    from_fret: int
    to_fret: int
    is_slide: bool


def hands_of(exercise: Exercise) -> tuple[Hand, ...]:
    """The stretches of a line, in order; together they hold every note once."""
    hands = []
    for members in _stretches(exercise):
        notes = [note for _, note in members]
        position = notes[0].position
        number = int(notes[0].onset_quarters // exercise.meter.bar_quarters) + 1
        fingers: dict[Location, int | None] = {}
        for note in notes:
            fingers[note.location] = fingers.get(note.location) or note.finger
        hands.append(
            Hand(
                first=members[0][0],
                last=members[-1][0],
                name=f"position {position}" if position is not None else f"bar {number}",
                number=str(position if position is not None else number),
                fingers=tuple(sorted(fingers.items())),
                has_position=position is not None,
            )
        )
    return tuple(hands)


def _stretches(exercise: Exercise) -> Iterator[list[tuple[int, ScoreNote]]]:
    """The notes with their indices, cut where the position changes, or only its octave: the hand moves then, too."""
    for _, stretch in groupby(enumerate(exercise.notes), key=lambda pair: _stretch(pair[1], exercise)):
        members: list[tuple[int, ScoreNote]] = []
        for index, note in stretch:
            if any(one.course == note.course and abs(one.fret - note.fret) >= OCTAVE_FRETS for _, one in members):
                yield members
                members = []
            members.append((index, note))
        yield members


def _stretch(note: ScoreNote, exercise: Exercise) -> tuple[str, int]:
    if note.position is not None:
        return "position", note.position
    return "bar", int(note.onset_quarters // exercise.meter.bar_quarters)


def hand_at(hands: tuple[Hand, ...], index: int) -> int:
    """Which stretch serves note `index`."""
    return max(0, bisect_right(hands, index, key=lambda hand: hand.first) - 1)


def shift_between(exercise: Exercise, present: Hand, following: Hand) -> Shift | None:
    """The shift from one stretch to the next; None where the hand stays or the line names no positions.

    A slide goes from note to note, any other shift from lowest fret to lowest fret.
    """
    first = exercise.notes[following.first]
    if first.technique is Technique.SLIDE:
        source = first.slide_from or exercise.notes[following.first - 1].location
        return Shift(source.fret, first.fret, is_slide=True)
    from_fret, to_fret = _lowest_fret(present), _lowest_fret(following)
    return Shift(from_fret, to_fret, is_slide=False) if following.has_position and from_fret != to_fret else None


def _lowest_fret(hand: Hand) -> int:
    return min(location.fret for location, _ in hand.fingers)


@dataclass(frozen=True, slots=True)
class Bracket:
    """The bracket over a stretch, in strip pixels."""

    left_px: float
    right_px: float
    y_px: float
    name: str
    number: str

    def lines(self, unit: float, ink: Ink) -> tuple[Line, ...]:
        """A level line with an end on each side."""
        left_px, right_px, y_px = self.left_px, self.right_px, self.y_px
        return (
            Line(left_px, y_px, right_px, y_px, 2 * unit, ink),
            Line(left_px, y_px, left_px, y_px + 9 * unit, 2 * unit, ink),
            Line(right_px, y_px, right_px, y_px + 9 * unit, 2 * unit, ink),
        )

    def word(self, least_px: float, unit: float, ink: Ink, metrics: TextMetrics) -> Text:
        """What it says, over its left end, or from `least_px` on while that leaves room; the number in a short one."""
        fits = metrics.width_px(self.name, Size.BODY) <= self.right_px - self.left_px
        words, y_px = self.name if fits else self.number, self.y_px - 20 * unit
        x_px = max(self.left_px, least_px)
        if x_px > self.left_px and x_px + metrics.width_px(words, Size.BODY) > self.right_px:
            return Text(self.right_px, y_px, words, Size.BODY, ink, Anchor.RIGHT)
        return Text(x_px, y_px, words, Size.BODY, ink, Anchor.LEFT)


def bracket_of(exercise: Exercise, hand: Hand, axis: TimeAxis, y_px: float, unit: float) -> Bracket:
    """The bracket over a stretch, a little wider than its notes."""
    return Bracket(
        left_px=axis.x_px(exercise.notes[hand.first].onset_quarters) - 26 * unit,
        right_px=axis.x_px(exercise.notes[hand.last].onset_quarters) + 26 * unit,
        y_px=y_px,
        name=hand.name,
        number=hand.number,
    )


def board_glyphs(place: NeckPlace) -> tuple[Glyph, ...]:
    """The empty neck: strings, fret wires, nut, and the fret numbers that a neck is marked at."""
    unit, board = place.unit, place.board
    wires = tuple(
        Line(place.wire_x_px(fret), board.top_px, place.wire_x_px(fret), board.bottom_px, 2 * unit, Ink.FAINT)
        for fret in range(place.first_fret + (place.first_fret == 0), place.last_fret + 1)
    )
    strings = tuple(
        Line(board.left_px, y_px, board.right_px, y_px, 2 * unit, Ink.FAINT)
        for y_px in (place.string_y_px(course) for course in range(1, place.strings + 1))
    )
    nut_px = place.wire_x_px(0)
    nut = () if place.first_fret else (Line(nut_px, board.top_px, nut_px, board.bottom_px, 6 * unit, Ink.MUTED),)
    numbers = tuple(
        Text(place.fret_x_px(fret), board.bottom_px + 28 * unit, str(fret), Size.SMALL, Ink.MUTED)
        for fret in INLAYS
        if place.shows(fret)
    )
    names = tuple(
        Text(board.left_px - 96 * unit, place.string_y_px(course), str(course), Size.SMALL, Ink.MUTED, Anchor.LEFT)
        for course in (1, place.strings)
    )
    return (*wires, *strings, *nut, *numbers, *names)


def hand_glyphs(
    exercise: Exercise, present: Hand, following: Hand | None, note: ScoreNote | None, place: NeckPlace
) -> tuple[Glyph, ...]:
    """The present position filled with its fingers, the next one in outline, the shift as an arrow, the note due now.

    `note` is the written note that now stands at; it takes the colour of now.
    """
    unit = place.unit
    radius_px = min(14 * unit, 0.5 * (place.string_y_px(2) - place.string_y_px(1)))
    held = {location for location, _ in present.fingers}
    glyphs: list[Glyph] = []
    for location, _ in following.fingers if following is not None else ():
        if location not in held:
            x_px, y_px = place.fret_x_px(location.fret), place.string_y_px(location.course)
            glyphs += [
                Dot(x_px, y_px, radius_px, Ink.GROUND),
                Dot(x_px, y_px, radius_px, Ink.MUTED, 2.5 * unit),
            ]
    for location, finger in present.fingers:
        x_px, y_px = place.fret_x_px(location.fret), place.string_y_px(location.course)
        is_due = note is not None and note.location == location
        glyphs.append(Dot(x_px, y_px, radius_px + (2 * unit if is_due else 0), Ink.NOW if is_due else Ink.INK))
        if finger is not None:
            glyphs.append(Text(x_px, y_px, str(finger), Size.SMALL, Ink.GROUND))
    shift = shift_between(exercise, present, following) if following is not None else None
    if shift is not None:
        glyphs += _shift_glyphs(shift, place)
    return tuple(glyphs)


def _shift_glyphs(shift: Shift, place: NeckPlace) -> list[Glyph]:
    unit = place.unit
    from_px, to_px = place.fret_x_px(shift.from_fret), place.fret_x_px(shift.to_fret)
    y_px = place.board.top_px - 27 * unit
    word = "slide" if shift.is_slide else "shift"
    anchor = Anchor.RIGHT if to_px > from_px else Anchor.LEFT
    side = -1 if to_px > from_px else 1
    return [
        Arrow(from_px, y_px, to_px, y_px, 3 * unit, 9 * unit, Ink.MUTED),
        Text(from_px + side * 10 * unit, y_px, word, Size.SMALL, Ink.MUTED, anchor),
    ]
