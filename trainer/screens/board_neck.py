"""The neck of the board: the key's notes as small rings, what was played filled, what was pointed at ringed.

What a second instrument plays stands in frames, so that the two are told apart without colours.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import Enum

from trainer.capture.free_play import LAST_FRET, Board, Sounded, degree_of, name_of
from trainer.screens.look import worn
from trainer.screens.paint import Fonts
from trainer.tablature.glyphs import Box, Dot, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.hands import INLAYS, board_glyphs
from trainer.tablature.layout import NeckPlace
from trainer.theory.fretboard import Location
from trainer.theory.scale import Key
from trainer.theory.tuning import Tuning

RECENT = 6
"""So many of the last notes stand on the neck."""
NECKS = (LAST_FRET, 17, 12)
"""How many frets are shown: the whole neck if its labels fit."""
STARTS = (0, 5, 7, 9, 12)
"""Where a part of the neck begins."""
CELL_CAPS = 2.05
"""From wire to wire, that at least, over the height of capitals."""
RING_CAPS = 1.25
"""The radius of a ring around a place, over the height of capitals."""


class Label(Enum):
    """What stands in the marks of the neck."""

    DEGREE = "degrees"
    NAME = "names"
    FRET = "frets"
    FINGER = "fingers"

    @property
    def following(self) -> "Label":
        """The next of them."""
        labels = tuple(Label)
        return labels[(labels.index(self) + 1) % len(labels)]


@dataclass(frozen=True, slots=True)
class NeckView:
    """What the neck shows."""

    board: Board
    label: Label
    fingers: Mapping[int, int] = field(default_factory=dict)
    """By the ordinals of notes; needed for the labels that are fingers."""
    hides_frets: bool = False
    """Nothing that was played is shown: its place is to be found."""
    rung: frozenset[Location] = frozenset()
    """Places with a ring that stays."""
    pointed: Location | None = None
    second: tuple[Sounded, ...] = ()
    """What is played on the second input; hidden with the rest."""


class BoardNeck:
    """Lays out the neck between two edges, which must leave room for open strings on its left."""

    def __init__(self, board: Rect, left_px: float, tuning: Tuning, unit: float, fonts: Fonts) -> None:
        self._area, self._left_px = board, left_px
        self._tuning, self._unit, self._fonts = tuning, unit, fonts
        self._cap_px = fonts.cap_px(Size.FRET)

    @property
    def frets(self) -> int:
        """So many frets fit with labels between their wires."""
        room_px = self._area.right_px - self._area.left_px
        return next((frets for frets in NECKS if room_px / frets >= CELL_CAPS * self._cap_px), NECKS[-1])

    def part(self, view: NeckView) -> tuple[int, int]:
        """The wires between which the neck is shown: from the nut, or further up when it is played there."""
        frets = [at.fret for note in view.board.notes[-RECENT:] for at in note.places[:1]]
        highest = max([*frets, *(at.fret for at in view.rung)], default=0)
        first = next((first for first in STARTS if highest <= first + self.frets), STARTS[-1])
        return first, min(LAST_FRET, first + self.frets)

    def place(self, view: NeckView) -> NeckPlace:
        """Where strings and frets lie."""
        area = self._area
        aside_px = self._left_px - area.left_px if worn().is_left_handed else 0.0
        first_fret, last_fret = self.part(view)
        return NeckPlace(
            Rect(area.left_px + aside_px, area.top_px, area.right_px + aside_px, area.bottom_px),
            len(self._tuning.open_pitches),
            last_fret,
            self._unit,
            worn().is_left_handed,
            first_fret,
        )

    def location_at(self, x_px: float, y_px: float, view: NeckView) -> Location | None:
        """The place on the neck that a point lies nearest to; None beside the neck."""
        place, gap_px = self.place(view), self._string_gap_px
        half_px = abs(place.fret_x_px(1) - place.fret_x_px(2)) / 2
        frets = [fret for fret in range(place.last_fret + 1) if place.shows(fret)]
        fret = min(frets, key=lambda one: abs(place.fret_x_px(one) - x_px))
        course = min(self._tuning.courses, key=lambda one: abs(place.string_y_px(one) - y_px))
        is_near = abs(place.fret_x_px(fret) - x_px) <= half_px and abs(place.string_y_px(course) - y_px) <= gap_px / 2
        return Location(course, fret) if is_near else None

    def glyphs(self, view: NeckView) -> list[Glyph]:
        """All of it, from the ground up."""
        board, place = view.board, self.place(view)
        empty = [glyph for glyph in board_glyphs(place) if not isinstance(glyph, Text)]
        numbers = [
            Text(place.fret_x_px(fret), self._area.bottom_px + 1.9 * self._cap_px, str(fret), Size.FRET, Ink.MUTED)
            for fret in INLAYS
            if place.shows(fret)
        ]
        outline = [] if board.key is None else self._scale(board.key, place)
        played = self._played(view, place)
        marks = [glyph for at, note in played.items() for glyph in self._mark(at, note, view, place)]
        # The fingers are those of the first.
        unfingered, second = replace(view, fingers={}), () if view.hides_frets else view.second
        framed = {at: note for note in second[-RECENT:] for at in note.places if place.shows(at.fret)}
        marks += [
            glyph
            for at, note in framed.items()
            for glyph in self._mark(at, note, unfingered, place, is_framed=True, is_empty=at not in played)
        ]
        pointed = {view.pointed} if view.pointed is not None and place.shows(view.pointed.fret) else set()
        rings = [
            glyph
            for at in sorted({*view.rung, *pointed})
            if place.shows(at.fret)
            for glyph in self._ring(at, view, place, is_empty=at not in played)
        ]
        return [*empty, *numbers, *outline, *marks, *rings]

    @property
    def _string_gap_px(self) -> float:
        return (self._area.bottom_px - self._area.top_px) / (len(self._tuning.open_pitches) - 1)

    def _played(self, view: NeckView, place: NeckPlace) -> dict[Location, Sounded]:
        notes = () if view.hides_frets else view.board.notes[-RECENT:]
        return {at: note for note in notes for at in note.places if place.shows(at.fret)}

    def _scale(self, key: Key, place: NeckPlace) -> list[Glyph]:
        """The places of the key's notes: rings, and squares for the root."""
        glyphs: list[Glyph] = []
        radius_px, width_px = 0.42 * self._cap_px, max(2.0, 3 * self._unit)
        for course in self._tuning.courses:
            for fret in filter(place.shows, range(place.last_fret + 1)):
                pitch = self._tuning.pitch_at(Location(course, fret))
                x_px, y_px = place.fret_x_px(fret), place.string_y_px(course)
                if pitch % 12 == key.root.pitch_class:
                    sides = (x_px - radius_px, y_px - radius_px, x_px + radius_px, y_px + radius_px)
                    glyphs.append(Box(*sides, 0, Ink.LINE, width_px))
                elif pitch % 12 in key.pitch_classes:
                    glyphs.append(Dot(x_px, y_px, radius_px, Ink.LINE, width_px))
        return glyphs

    def _mark(
        self,
        at: Location,
        note: Sounded,
        view: NeckView,
        place: NeckPlace,
        *,
        is_framed: bool = False,
        is_empty: bool = True,
    ) -> list[Glyph]:
        """A note filled, or in a frame; where both play the same note, a bar under it stands for the second."""
        x_px, y_px = place.fret_x_px(at.fret), place.string_y_px(at.course)
        ink = Ink.NOW if note.is_sounding else Ink.INK
        label = label_of(at, note, view)
        half_px = max(1.0 * self._cap_px, self._fonts.width_px(label, Size.FRET) / 2 + 0.25 * self._cap_px)
        high_px = min(0.95 * self._cap_px, 0.48 * self._string_gap_px)
        radius_px = 0.5 * self._cap_px
        if not is_framed:
            box = Box(x_px - half_px, y_px - high_px, x_px + half_px, y_px + high_px, radius_px, ink)
            return [box, Text(x_px, y_px, label, Size.FRET, Ink.GROUND)]
        width_px = max(3.0, 5 * self._unit)
        if not is_empty:
            left_px, right_px, below_px = x_px - half_px, x_px + half_px, y_px + high_px + 1.5 * width_px
            return [Line(left_px, below_px, right_px, below_px, width_px, ink)]
        frame = Box(x_px - half_px, y_px - high_px, x_px + half_px, y_px + high_px, radius_px, ink, width_px)
        return [frame, Text(x_px, y_px, label, Size.FRET, ink)]

    def _ring(self, at: Location, view: NeckView, place: NeckPlace, *, is_empty: bool) -> list[Glyph]:
        """A ring around a place, thin when it only follows, and what stands there if nothing was played there."""
        x_px, y_px = place.fret_x_px(at.fret), place.string_y_px(at.course)
        width_px = (6.0 if at in view.rung else 3.0) * self._unit
        radius_px = RING_CAPS * self._cap_px
        if not is_empty or view.hides_frets:
            return [Dot(x_px, y_px, radius_px, Ink.INK, max(2.0, width_px))]
        label = label_of(at, Sounded(-1, self._tuning.pitch_at(at), (at,), is_sounding=False), view)
        radius_px = max(radius_px, self._fonts.width_px(label, Size.FRET) / 2 + 0.4 * self._cap_px)
        return [
            Text(x_px, y_px, label, Size.FRET, Ink.INK, on_ground=True),
            Dot(x_px, y_px, radius_px, Ink.INK, max(2.0, width_px)),
        ]


def label_of(at: Location, note: Sounded, view: NeckView) -> str:
    """What stands in the mark of a note; its name where what is asked for is not known."""
    key = view.board.key
    match view.label:
        case Label.FRET:
            return str(at.fret)
        case Label.FINGER if note.heard in view.fingers:
            return str(view.fingers[note.heard])
        case Label.FINGER if at.fret == 0:
            return "0"
        case Label.DEGREE if key is not None:
            return degree_of(note.pitch, key)
        case _:
            return name_of(note.pitch, key)
