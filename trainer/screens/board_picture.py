"""The picture of the board: what is played, large enough for the last row.

From top to bottom: the last note with its degree, position and key; the neck with the key's notes in outline and what
was played filled; the last notes in tablature. What the room reads is set by a painter of its own, whose capitals have
the height that the room asks for; the foot is for whoever stands at the computer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from trainer.capture.free_play import LAST_FRET, Board, Sounded, degree_of, name_of
from trainer.screens.hints import Hint, hint_targets, key_hints
from trainer.screens.look import worn
from trainer.screens.paint import Fonts
from trainer.screens.room_size import Room
from trainer.screens.screen import Target
from trainer.tablature.glyphs import Anchor, Box, Dot, Glyph, Ink, Line, Rect, Size, Text
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
STRING_CAPS, LEAST_STRING_CAPS, NUMBER_CAPS = 2.1, 1.2, 3.4
"""From string to string, that at least, and from number to number in the tablature, over the height of capitals."""
HEAD_CAPS, HEAD_PX = 4.6, 40.0
"""What lies over the neck: capitals, and pixels at unit 1."""
BELOW_CAPS, FOOT_PX = 2.9, 96.0
"""The fret numbers below the neck, and the foot."""


class Label(Enum):
    """What stands in the marks of the neck."""

    DEGREE = "degrees"
    NAME = "names"
    FRET = "frets"

    @property
    def following(self) -> "Label":
        """The next of them."""
        labels = tuple(Label)
        return labels[(labels.index(self) + 1) % len(labels)]


@dataclass(frozen=True, slots=True)
class BoardView:
    """What the board shows."""

    board: Board
    label: Label
    room: Room
    status: str
    notice: str
    hints: Sequence[Hint]


def largest_cap_px(size: tuple[int, int], strings: int, unit: float) -> float:
    """The largest capitals with which the neck still fits."""
    return (size[1] - (HEAD_PX + FOOT_PX) * unit) / (HEAD_CAPS + BELOW_CAPS + (strings - 1) * LEAST_STRING_CAPS)


class BoardPicture:
    """Lays out the board at one size; `room_fonts` are those of what the room reads."""

    def __init__(self, size: tuple[int, int], tuning: Tuning, unit: float, fonts: Fonts, room_fonts: Fonts) -> None:
        self._size, self._tuning, self._unit = size, tuning, unit
        self._fonts, self._room_fonts = fonts, room_fonts
        self._cap_px = room_fonts.cap_px(Size.FRET)
        self._left_px, self._right_px = 48 * unit, size[0] - 48 * unit

    @property
    def frets(self) -> int:
        """So many frets fit with labels between their wires."""
        room_px = self._right_px - self._neck_left_px
        return next((frets for frets in NECKS if room_px / frets >= CELL_CAPS * self._cap_px), NECKS[-1])

    def part(self, board: Board) -> tuple[int, int]:
        """The wires between which the neck is shown: from the nut, or further up when it is played there."""
        highest = max((at.fret for note in board.notes[-RECENT:] for at in note.places[:1]), default=0)
        first = next((first for first in STARTS if highest <= first + self.frets), STARTS[-1])
        return first, min(LAST_FRET, first + self.frets)

    @property
    def has_tablature(self) -> bool:
        """Whether there is room for the tablature below the neck."""
        return self._tablature_top_px + self._staff_px + self._cap_px < self._size[1] - FOOT_PX * self._unit

    @property
    def numbers(self) -> int:
        """How many notes fit into the tablature."""
        room_px = self._right_px - self._left_px
        return int(room_px / (NUMBER_CAPS * self._cap_px)) if self.has_tablature else 0

    def for_room(self, view: BoardView) -> list[Glyph]:
        """What the room reads."""
        return [*self._head(view), *self._neck(view), *(self._tablature(view.board) if self.has_tablature else ())]

    def for_teacher(self, view: BoardView) -> list[Glyph]:
        """The foot."""
        unit, foot_px = self._unit, self._size[1] - 28 * self._unit
        room_px = self._right_px - self._left_px
        fits = self._fonts.elided(self.fits_words(view), Size.SMALL, room_px)
        hints = self._hints(view)
        status_px = self._right_px - hints[-1].bounds(self._fonts).right_px - 40 * unit
        words = self._fonts.elided(view.notice or view.status, Size.SMALL, max(0, status_px))
        return [
            Text(self._left_px, foot_px - 40 * unit, fits, Size.SMALL, Ink.MUTED, Anchor.LEFT),
            *hints,
            Text(self._right_px, foot_px, words, Size.SMALL, Ink.MUTED, Anchor.RIGHT),
        ]

    def fits_words(self, view: BoardView) -> str:
        """What the room asks for, and what then fits."""
        room, needed_px = view.room, view.room.least_cap_px(self._size[1])
        farthest_m = room.farthest_m(self._cap_px, self._size[1])
        parts = [
            f"last row {room.distance_m:g} m from a picture {room.height_m:g} m high: capitals of {needed_px:.0f} px",
            f"these are {self._cap_px:.0f} px, read from {farthest_m:.0f} m",
            "the whole neck" if self.frets == LAST_FRET else f"{self.frets} frets of the neck",
            f"{self.numbers} notes of tablature" if self.has_tablature else "no room for tablature",
        ]
        return " · ".join(parts)

    def targets(self, view: BoardView) -> list[Target]:
        """Where the mouse can press."""
        return hint_targets(self._hints(view), [command for *_, command in view.hints], self._fonts)

    @property
    def _neck_left_px(self) -> float:
        return self._left_px + 2.6 * self._cap_px

    @property
    def _neck_top_px(self) -> float:
        return HEAD_CAPS * self._cap_px + HEAD_PX * self._unit

    @property
    def _staff_px(self) -> float:
        return (len(self._tuning.open_pitches) - 1) * 1.5 * self._cap_px

    @property
    def _tablature_top_px(self) -> float:
        return self._neck_bottom_px + 4.2 * self._cap_px

    @property
    def _neck_bottom_px(self) -> float:
        return self._neck_top_px + (len(self._tuning.open_pitches) - 1) * self._string_gap_px

    @property
    def _string_gap_px(self) -> float:
        below_px = BELOW_CAPS * self._cap_px + FOOT_PX * self._unit
        room_px = (self._size[1] - self._neck_top_px - below_px) / (len(self._tuning.open_pitches) - 1)
        return min(STRING_CAPS * self._cap_px, room_px)

    def _hints(self, view: BoardView) -> list[Text]:
        rows = [(name, words) for name, words, _ in view.hints]
        return key_hints(rows, self._left_px, self._size[1] - 28 * self._unit, self._fonts, self._unit, self._right_px)

    def _head(self, view: BoardView) -> list[Glyph]:
        board, key, y_px = view.board, view.board.key, 2.2 * self._cap_px
        if not board.notes:
            return [Text(self._left_px, y_px, "Play something", Size.FRET, Ink.MUTED, Anchor.LEFT)]
        last = board.notes[-1]
        words = [name_of(last.pitch, key)]
        if key is not None:
            words.append(f"degree {degree_of(last.pitch, key)}")
        if board.position is not None:
            words.append(f"position {board.position}")
        found = "" if key is None else f"{key.name}{', held' if board.is_held else ''}"
        spoken = "   ".join(words)
        room_px = self._right_px - self._left_px - self._room_fonts.width_px(spoken, Size.FRET) - self._cap_px
        return [
            Text(self._left_px, y_px, spoken, Size.FRET, Ink.INK, Anchor.LEFT),
            Text(
                self._right_px,
                y_px,
                self._room_fonts.elided(found, Size.FRET, max(0, room_px)),
                Size.FRET,
                Ink.MUTED,
                Anchor.RIGHT,
            ),
        ]

    def _neck(self, view: BoardView) -> list[Glyph]:
        board = view.board
        aside_px = self._left_px - self._neck_left_px if worn().is_left_handed else 0.0
        first_fret, last_fret = self.part(board)
        place = NeckPlace(
            Rect(self._neck_left_px + aside_px, self._neck_top_px, self._right_px + aside_px, self._neck_bottom_px),
            len(self._tuning.open_pitches),
            last_fret,
            self._unit,
            worn().is_left_handed,
            first_fret,
        )
        empty = [glyph for glyph in board_glyphs(place) if not isinstance(glyph, Text)]
        numbers = [
            Text(place.fret_x_px(fret), self._neck_bottom_px + 1.9 * self._cap_px, str(fret), Size.FRET, Ink.MUTED)
            for fret in INLAYS
            if place.shows(fret)
        ]
        outline = [] if board.key is None else self._scale(board.key, place)
        played: dict[Location, Sounded] = {}
        for note in board.notes[-RECENT:]:
            for at in note.places:
                if place.shows(at.fret):
                    played[at] = note
        marks = [glyph for at, note in played.items() for glyph in self._mark(at, note, view, place)]
        return [*empty, *numbers, *outline, *marks]

    def _scale(self, key: Key, place: NeckPlace) -> list[Glyph]:
        """The places of the key's notes: rings, and squares for the root."""
        glyphs: list[Glyph] = []
        radius_px, width_px = 0.42 * self._cap_px, max(2.0, 3 * self._unit)
        for course in self._tuning.courses:
            for fret in filter(place.shows, range(place.last_fret + 1)):
                at = Location(course, fret)
                pitch = self._tuning.pitch_at(at)
                x_px, y_px = place.fret_x_px(fret), place.string_y_px(course)
                if pitch % 12 == key.root.pitch_class:
                    glyphs.append(
                        Box(
                            x_px - radius_px,
                            y_px - radius_px,
                            x_px + radius_px,
                            y_px + radius_px,
                            0,
                            Ink.LINE,
                            width_px,
                        )
                    )
                elif pitch % 12 in key.pitch_classes:
                    glyphs.append(Dot(x_px, y_px, radius_px, Ink.LINE, width_px))
        return glyphs

    def _mark(self, at: Location, note: Sounded, view: BoardView, place: NeckPlace) -> list[Glyph]:
        x_px, y_px = place.fret_x_px(at.fret), place.string_y_px(at.course)
        ink = Ink.NOW if note.is_sounding else Ink.INK
        label = self._label(at, note, view)
        half_px = max(1.0 * self._cap_px, self._room_fonts.width_px(label, Size.FRET) / 2 + 0.25 * self._cap_px)
        high_px = min(0.95 * self._cap_px, 0.48 * self._string_gap_px)
        box = Box(x_px - half_px, y_px - high_px, x_px + half_px, y_px + high_px, 0.5 * self._cap_px, ink)
        return [box, Text(x_px, y_px, label, Size.FRET, Ink.GROUND)]

    def _label(self, at: Location, note: Sounded, view: BoardView) -> str:
        key = view.board.key
        if view.label is Label.FRET:
            return str(at.fret)
        if view.label is Label.DEGREE and key is not None:
            return degree_of(note.pitch, key)
        return name_of(note.pitch, key)

    def _tablature(self, board: Board) -> list[Glyph]:
        """The last notes whose string is known, oldest first."""
        top_px, gap_px, step_px = self._tablature_top_px, 1.5 * self._cap_px, NUMBER_CAPS * self._cap_px
        glyphs: list[Glyph] = [
            Line(self._left_px, top_px + row * gap_px, self._right_px, top_px + row * gap_px, 2 * self._unit, Ink.LINE)
            for row in range(len(self._tuning.open_pitches))
        ]
        known = [note for note in board.notes if len(note.places) == 1][-self.numbers :]
        for number, note in enumerate(known):
            at = note.places[0]
            x_px = self._left_px + (number + 0.5) * step_px
            y_px = top_px + (at.course - 1) * gap_px
            ink = Ink.NOW if note.is_sounding else Ink.INK
            glyphs.append(Text(x_px, y_px, str(at.fret), Size.FRET, ink, on_ground=True))
        return glyphs
