"""The picture of the board: what is played, large enough for the last row.

From top to bottom: the last note with its degree, position and key; the neck; the last notes in tablature. What the
room reads is set by a painter of its own, whose capitals have the height that the room asks for; the foot is for
whoever stands at the computer.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from trainer.capture.free_play import LAST_FRET, Board, Sounded, degree_of, name_of
from trainer.screens.board_neck import BoardNeck, NeckView
from trainer.screens.hints import FOOT_PX as HINTS_PX
from trainer.screens.hints import MARGIN_PX, ROW_PX, Hint, hint_rows, row_targets, status_beside
from trainer.screens.paint import Fonts
from trainer.screens.room_size import Room
from trainer.screens.screen import Command, Target
from trainer.tablature.glyphs import Anchor, Dot, Glyph, Ink, Line, Rect, Size, Text
from trainer.theory.fretboard import Location
from trainer.theory.tuning import Tuning

STRING_CAPS, LEAST_STRING_CAPS, NUMBER_CAPS = 2.1, 1.2, 3.4
"""From string to string, that at least, and from number to number in the tablature, over the height of capitals."""
HEAD_CAPS, HEAD_PX = 4.6, 40.0
"""What lies over the neck: capitals, and pixels at unit 1."""
BELOW_CAPS, FOOT_PX = 2.9, 132.0
"""The fret numbers below the neck, and the foot."""
LINE_CAPS, LEAST_LINE_CAPS = 1.5, 1.15
"""From line to line in the tablature, and that at least, over the height of capitals."""
COUNT_CAPS = 2.4
"""How far below the staff the count stands."""


LESS, MORE = "\N{MINUS SIGN}", "+"

Parts = Sequence[tuple[str, Command | None]]
"""Words in a row, and what pressing some of them asks for."""


@dataclass(frozen=True, slots=True)
class BoardView:
    """What the board shows."""

    neck: NeckView
    room: Room
    status: str
    said: Parts
    """A row over the hints; empty: what fits."""
    hints: Sequence[Sequence[Hint]]
    """Two rows of them."""
    counts: Mapping[int, str] = field(default_factory=dict)
    """Of a phrase that stands: what is counted at each note."""
    pointer: tuple[float, float] | None = None
    """Where the mouse points, when it points at anything but the neck."""

    @property
    def board(self) -> Board:
        """What was played."""
        return self.neck.board


def largest_cap_px(size: tuple[int, int], strings: int, unit: float) -> float:
    """The largest capitals with which the neck still fits."""
    return (size[1] - (HEAD_PX + FOOT_PX) * unit) / (HEAD_CAPS + BELOW_CAPS + (strings - 1) * LEAST_STRING_CAPS)


class BoardPicture:
    """Lays out the board at one size; `room_fonts` are those of what the room reads."""

    def __init__(self, size: tuple[int, int], tuning: Tuning, unit: float, fonts: Fonts, room_fonts: Fonts) -> None:
        self._size, self._tuning, self._unit = size, tuning, unit
        self._fonts, self._room_fonts = fonts, room_fonts
        self._cap_px = room_fonts.cap_px(Size.FRET)
        self._left_px, self._right_px = MARGIN_PX * unit, size[0] - MARGIN_PX * unit
        top_px, gaps = HEAD_CAPS * self._cap_px + HEAD_PX * unit, len(tuning.open_pitches) - 1
        room_px = size[1] - top_px - BELOW_CAPS * self._cap_px - FOOT_PX * unit
        self._neck_bottom_px = top_px + gaps * min(STRING_CAPS * self._cap_px, room_px / gaps)
        area = Rect(self._left_px + 2.6 * self._cap_px, top_px, self._right_px, self._neck_bottom_px)
        self.neck = BoardNeck(area, self._left_px, tuning, unit, room_fonts)

    @property
    def has_tablature(self) -> bool:
        """Whether there is room for the tablature below the neck."""
        return self._line_gap_px >= LEAST_LINE_CAPS * self._cap_px

    @property
    def has_counts(self) -> bool:
        """Whether there is room for the count below the tablature."""
        reach_px = self._staff_px + (COUNT_CAPS + 0.6) * self._cap_px
        return self._tablature_top_px + reach_px < self._size[1] - FOOT_PX * self._unit

    @property
    def numbers(self) -> int:
        """How many notes fit into the tablature."""
        room_px = self._right_px - self._left_px
        return int(room_px / (NUMBER_CAPS * self._cap_px)) if self.has_tablature else 0

    def for_room(self, view: BoardView) -> list[Glyph]:
        """What the room reads."""
        pointer = view.pointer
        return [
            *self._head(view),
            *self.neck.glyphs(view.neck),
            *(self._tablature(view) if self.has_tablature else ()),
            *([] if pointer is None else [Dot(*pointer, 1.25 * self._cap_px, Ink.INK, max(2.0, 3 * self._unit))]),
        ]

    def for_teacher(self, view: BoardView) -> list[Glyph]:
        """The foot."""
        hints = hint_rows(view.hints, self._size, self._fonts, self._unit)
        ink = Ink.INK if view.said else Ink.MUTED
        said = "".join(words for words, _ in view.said or self.fits(view.room))
        fitting = self._fonts.elided(said, Size.SMALL, self._right_px - self._left_px)
        return [
            Text(self._left_px, self._foot_px(2), fitting, Size.SMALL, ink, Anchor.LEFT),
            *hints,
            status_beside(hints, view.status, self._size, self._fonts, self._unit),
        ]

    def fits(self, room: Room) -> Parts:
        """What the room asks for, and what then fits."""
        needed_px = room.least_cap_px(self._size[1])
        farthest_m, frets = room.farthest_m(self._cap_px, self._size[1]), self.neck.frets
        what_fits = (
            f" high: capitals of {needed_px:.0f} px",
            f"shown: {self._cap_px:.0f} px, read from {farthest_m:.0f} m",
            "whole neck" if frets == LAST_FRET else f"{frets} frets",
            f"{self.numbers} notes of tablature" if self.has_tablature else "no room for tablature",
        )
        return (
            ("last row ", None),
            (LESS, Command.SLOWER),
            (f" {room.distance_m:g} m ", None),
            (MORE, Command.FASTER),
            (", picture ", None),
            (LESS, Command.DOWN),
            (f" {room.height_m:g} m ", None),
            (MORE, Command.UP),
            (" · ".join(what_fits), None),
        )

    def targets(self, view: BoardView) -> list[Target]:
        """Where the mouse can press in the foot."""
        hints = row_targets(view.hints, self._size, self._fonts, self._unit)
        return [*hints, *self._said_targets(view.said or self.fits(view.room))]

    def note_at(self, x_px: float, y_px: float, board: Board) -> int | None:
        """The note of the tablature that lies at a point, by its ordinal; None beside it."""
        known, gap_px = self._known(board), self._line_gap_px
        place = int((x_px - self._left_px) // (NUMBER_CAPS * self._cap_px))
        above_px = y_px - self._tablature_top_px
        is_inside = self.has_tablature and -gap_px <= above_px <= self._staff_px + gap_px
        return known[place].heard if is_inside and 0 <= place < len(known) else None

    @property
    def _line_gap_px(self) -> float:
        room_px = self._size[1] - FOOT_PX * self._unit - self._cap_px - self._tablature_top_px
        return min(LINE_CAPS * self._cap_px, room_px / (len(self._tuning.open_pitches) - 1))

    @property
    def _staff_px(self) -> float:
        return (len(self._tuning.open_pitches) - 1) * self._line_gap_px

    @property
    def _tablature_top_px(self) -> float:
        return self._neck_bottom_px + 4.0 * self._cap_px

    def _foot_px(self, row: int) -> float:
        return self._size[1] - (HINTS_PX + ROW_PX * row) * self._unit

    def _said_targets(self, parts: Parts) -> list[Target]:
        """The signs among what is said."""
        x_px, y_px, pad_px = self._left_px, self._foot_px(2), 0.9 * self._fonts.cap_px(Size.SMALL)
        targets, said = [], ""
        for words, command in parts:
            left_px = x_px + self._fonts.width_px(said, Size.SMALL)
            said += words
            right_px = x_px + self._fonts.width_px(said, Size.SMALL)
            if command is not None:
                area = Rect(left_px - pad_px, y_px - pad_px, right_px + pad_px, y_px + pad_px)
                targets.append(Target(area, command))
        return targets

    def _head(self, view: BoardView) -> list[Glyph]:
        board, key, y_px = view.board, view.board.key, 2.2 * self._cap_px
        if not board.notes:
            return [Text(self._left_px, y_px, "Play something", Size.FRET, Ink.MUTED, Anchor.LEFT)]
        last = board.notes[-1]
        note, degree = name_of(last.pitch, key), "" if key is None else degree_of(last.pitch, key)
        hand = "" if board.position is None else f"position {board.position}"
        told = ("", "") if view.neck.hides_frets else (note, degree and f"degree {degree}")
        held = ", held" if board.is_held else ""
        # What is found stands as fully as there is room for it.
        spoken = ["   ".join(filter(None, words)) for words in ((*told, hand), (note, degree, hand))]
        found = ["", "", ""] if key is None else [f"{key.name}{held}", f"in {key.root}{held}", ""]
        words, beside = next(
            (one, other)
            for other in found
            for one in (spoken if told[0] else spoken[:1])
            if self._room_fonts.width_px(other, Size.FRET) <= self._room_px(one) or not other
        )
        return [
            Text(self._left_px, y_px, words, Size.FRET, Ink.INK, Anchor.LEFT),
            Text(self._right_px, y_px, beside, Size.FRET, Ink.MUTED, Anchor.RIGHT),
        ]

    def _room_px(self, spoken: str) -> float:
        """What is left beside the words of the head."""
        return self._right_px - self._left_px - self._room_fonts.width_px(spoken, Size.FRET) - self._cap_px

    def _known(self, board: Board) -> list[Sounded]:
        """The last notes whose string is known, as many as fit, oldest first."""
        known = [note for note in board.notes if len(note.places) == 1]
        return known[-self.numbers :] if self.numbers else []

    def _tablature(self, view: BoardView) -> list[Glyph]:
        """The last notes: their frets, or dots where these are hidden, and what is counted if that is known."""
        top_px, gap_px, step_px = self._tablature_top_px, self._line_gap_px, NUMBER_CAPS * self._cap_px
        glyphs: list[Glyph] = [
            Line(self._left_px, top_px + row * gap_px, self._right_px, top_px + row * gap_px, 2 * self._unit, Ink.LINE)
            for row in range(len(self._tuning.open_pitches))
        ]
        count_y_px = top_px + self._staff_px + COUNT_CAPS * self._cap_px
        for number, note in enumerate(self._known(view.board)):
            at: Location = note.places[0]
            x_px, y_px = self._left_px + (number + 0.5) * step_px, top_px + (at.course - 1) * gap_px
            ink = Ink.NOW if note.is_sounding else Ink.INK
            if view.neck.hides_frets:
                glyphs.append(Dot(x_px, y_px, 0.5 * self._cap_px, ink))
            else:
                glyphs.append(Text(x_px, y_px, str(at.fret), Size.FRET, ink, on_ground=True))
            if self.has_counts and note.heard in view.counts:
                glyphs.append(Text(x_px, count_y_px, view.counts[note.heard], Size.FRET, Ink.MUTED))
        return glyphs
