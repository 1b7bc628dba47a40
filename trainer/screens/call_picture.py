"""The picture of call and answer: whose turn it is, and below it, once it is asked for, what differs from the call."""

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.screens.hints import MARGIN_PX, Hint, hint_rows, row_targets, status_beside
from trainer.screens.paint import Painter
from trainer.screens.screen import Target
from trainer.tablature.glyphs import Anchor, Box, Glyph, Ink, Rect, Size, Text

TURNS_PX, TURN_HIGH_PX = 156.0, 150.0
"""Where the boxes of the two turns stand and how high they are, at unit 1."""
LINE_PX, WORDS_PX, WORD_ROW_PX, ROWS = 336.0, 330.0, 36.0, 6
"""Where the tablature begins, how far above the lower edge the words begin, their rows, and how many there are."""


@dataclass(frozen=True, slots=True)
class TurnBox:
    """One of the two players."""

    name: str
    who: str
    notes: str
    """How many notes of this turn were heard."""
    is_now: bool


@dataclass(frozen=True, slots=True)
class CallView:
    """What is shown."""

    subtitle: str
    turns: tuple[TurnBox, TurnBox]
    sentence: str
    """What can be done now, or what went wrong."""
    words: Sequence[str]
    """What differs, a sentence each; empty while it is not asked for."""
    hints: Sequence[Sequence[Hint]]
    status: str


class CallPicture:
    """Lays it out at one size."""

    def __init__(self, size: tuple[int, int], painter: Painter) -> None:
        self._size, self._unit, self._fonts = size, painter.unit, painter.fonts
        self._left_px, self._right_px = MARGIN_PX * self._unit, size[0] - MARGIN_PX * self._unit

    @property
    def line_area(self) -> Rect:
        """Where the tablature has room."""
        return Rect(self._left_px, LINE_PX * self._unit, self._right_px, self._size[1] - (WORDS_PX + 24.0) * self._unit)

    def glyphs(self, view: CallView) -> list[Glyph]:
        """Everything but the tablature."""
        unit, fonts, room_px = self._unit, self._fonts, self._right_px - self._left_px
        subtitle = fonts.elided(view.subtitle, Size.BODY, room_px)
        boxes = [glyph for place, turn in enumerate(view.turns) for glyph in self._turn(place, turn)]
        words_px = self._size[1] - WORDS_PX * unit if view.words else (LINE_PX + 40) * unit
        said = [(line, Ink.INK) for line in fonts.wrapped(view.sentence, Size.BODY, room_px)]
        hidden = len(view.words) - ROWS
        shown = view.words if hidden <= 0 else [*view.words[: ROWS - 1], f"And {hidden + 1} more."]
        rows = [Text(self._left_px, words_px, line, Size.BODY, ink, Anchor.LEFT) for line, ink in said[:1]]
        if not view.words:
            rows += [
                Text(self._left_px, words_px + place * 40 * unit, line, Size.BODY, ink, Anchor.LEFT)
                for place, (line, ink) in enumerate(said[1:], start=1)
            ]
        rows += [
            Text(
                self._left_px,
                words_px + (place * WORD_ROW_PX + 6) * unit,
                fonts.elided(words, Size.SMALL, room_px),
                Size.SMALL,
                Ink.INK,
                Anchor.LEFT,
            )
            for place, words in enumerate(shown, start=1)
        ]
        return [
            Text(self._left_px, 50 * unit, "Call and answer", Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(self._left_px, 104 * unit, subtitle, Size.BODY, Ink.MUTED, Anchor.LEFT),
            *boxes,
            *rows,
            *self._foot(view),
        ]

    def targets(self, view: CallView) -> list[Target]:
        """Where the mouse can press."""
        return row_targets(view.hints, self._size, self._fonts, self._unit)

    def _turn(self, place: int, turn: TurnBox) -> list[Glyph]:
        """A box, filled while it is this one's turn, which a word says as well."""
        unit, gap_px = self._unit, 36 * self._unit
        wide_px = (self._right_px - self._left_px - gap_px) / 2
        left_px = self._left_px + place * (wide_px + gap_px)
        top_px = TURNS_PX * unit
        box = Rect(left_px, top_px, left_px + wide_px, top_px + TURN_HIGH_PX * unit)
        inset_px, room_px = left_px + 28 * unit, wide_px - 56 * unit
        ink, quiet = (Ink.GROUND, Ink.GROUND) if turn.is_now else (Ink.INK, Ink.MUTED)
        frame = Box(*box, 10 * unit, Ink.NOW) if turn.is_now else Box(*box, 10 * unit, Ink.LINE, max(2.0, 3 * unit))
        heard_px = self._fonts.width_px(turn.notes, Size.HEAD) + 20 * unit
        name = self._fonts.elided(turn.name, Size.TITLE, room_px - heard_px)
        who = self._fonts.elided(turn.who, Size.BODY, room_px)
        return [
            frame,
            Text(inset_px, top_px + 48 * unit, name, Size.TITLE, ink, Anchor.LEFT),
            Text(box.right_px - 28 * unit, top_px + 50 * unit, turn.notes, Size.HEAD, ink, Anchor.RIGHT),
            Text(inset_px, top_px + 108 * unit, who, Size.BODY, quiet, Anchor.LEFT),
        ]

    def _foot(self, view: CallView) -> list[Glyph]:
        hints = hint_rows(view.hints, self._size, self._fonts, self._unit)
        return [*hints, status_beside(hints, view.status, self._size, self._fonts, self._unit)]
