"""The picture of homework that is being made: its head in four rows, an exercise a row, and one row to add another."""

from dataclasses import dataclass, replace

from trainer.screens.hints import Hint, foot_hints
from trainer.screens.paint import Painter
from trainer.screens.screen import Command
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Line, Rect, Size, Text

HEAD_FIELDS = (("title", "title"), ("teacher", "from"), ("pupils", "for"), ("note", "note"))
"""Name and what it is called."""
ITEM_FIELDS = ("target", "passes", "articulation", "note")
ARTICULATIONS = ("", "picked", "legato", "one pick a string")
AS_WRITTEN = "as it is written"
EMPTY = {
    "title": "what it is called, e.g. Week 12",
    "teacher": "your name, as pupils will see it",
    "pupils": "names between commas; empty: whoever gets the file",
    "note": "what is to be said about all of it",
}
ADD = "+ an exercise"
TOP_PX, HEAD_ROW_PX, ITEM_ROW_PX, BOTTOM_PX = 104.0, 42.0, 46.0, 150.0
"""Where the head begins, how high its rows and those of the exercises are, and what is left below, at unit 1."""
ITEMS_PX = TOP_PX + HEAD_ROW_PX * len(HEAD_FIELDS) + 66.0
HINTS: tuple[Hint, ...] = (
    ("F7", "write the file", Command.KEEP),
    ("F4", "add an exercise", Command.BUILD),
    ("Tab", "field", Command.NEXT_CHOICE),
    ("← →", "change", Command.RIGHT),
    ("Delete", "take out", Command.ERASE_NEXT),
    ("Esc", "leave", Command.BACK),
    ("F1", "keys", Command.KEYS),
)
SHARES = (0.0, 0.30, 0.42, 0.55, 0.72)
"""Where the title and the fields of an exercise begin, as shares of the width."""
CURSOR = "▏"


@dataclass(frozen=True, slots=True)
class ItemDraft:
    """An exercise, and what is asked of it."""

    name: str
    title: str
    target: str
    passes: str
    articulation: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Draft:
    """Homework as it is written so far."""

    title: str = ""
    teacher: str = ""
    pupils: str = ""
    note: str = ""
    items: tuple[ItemDraft, ...] = ()

    def with_text(self, place: "Place", text: str) -> "Draft":
        """Another text in a field."""
        item = place.row - len(HEAD_FIELDS)
        if item < 0:
            return replace(self, **{place.name: text})  # type: ignore[arg-type]  # every name is that of a text
        items = list(self.items)
        items[item] = replace(items[item], **{place.name: text})
        return replace(self, items=tuple(items))


@dataclass(frozen=True, slots=True)
class Place:
    """A row, and in the row of an exercise a field."""

    row: int
    field: int = 0

    @property
    def name(self) -> str:
        """What the field is called in a draft."""
        return HEAD_FIELDS[self.row][0] if self.row < len(HEAD_FIELDS) else ITEM_FIELDS[self.field]


@dataclass(frozen=True, slots=True)
class MakingView:
    """What is shown."""

    draft: Draft
    place: Place
    """The field that is chosen."""
    notice: str

    def text_at(self, place: Place) -> str | None:
        """What stands in a field; None where there is none."""
        item = place.row - len(HEAD_FIELDS)
        if item >= len(self.draft.items):
            return None
        return str(getattr(self.draft if item < 0 else self.draft.items[item], place.name))


class MakingPicture:
    """Lays it out at one size."""

    def __init__(self, size: tuple[int, int], painter: Painter) -> None:
        self._size = size
        self._painter = painter
        self._unit, self._fonts = painter.unit, painter.fonts
        self._left_px, self._right_px = 48 * painter.unit, size[0] - 48 * painter.unit

    def glyphs(self, view: MakingView) -> list[Glyph]:
        """Everything."""
        unit = self._unit
        return [
            Text(self._left_px, 50 * unit, "Give out homework", Size.TITLE, Ink.INK, Anchor.LEFT),
            *self._names(view),
            *(glyph for place, area in self.fields(view) for glyph in self._field(view, place, area)),
            *self._notice(view),
            *foot_hints(HINTS, self._size, self._painter),
        ]

    def rows(self, view: MakingView) -> list[tuple[int, Rect]]:
        """The rows that are seen, and where they lie: those of the head, exercises, and the one that adds another."""
        heads = len(HEAD_FIELDS)
        areas = [(row, self._row_area(TOP_PX + row * HEAD_ROW_PX, HEAD_ROW_PX)) for row in range(heads)]
        count = len(view.draft.items) + 1
        room = max(1, int((self._size[1] / self._unit - ITEMS_PX - BOTTOM_PX) // ITEM_ROW_PX))
        first = max(0, min(view.place.row - heads - room // 2, count - room))
        shown = range(first, min(count, first + room))
        return [
            *areas,
            *(
                (heads + item, self._row_area(ITEMS_PX + place * ITEM_ROW_PX, ITEM_ROW_PX))
                for place, item in enumerate(shown)
            ),
        ]

    def fields(self, view: MakingView) -> list[tuple[Place, Rect]]:
        """Every field that is seen, and where it lies."""
        found: list[tuple[Place, Rect]] = []
        for row, area in self.rows(view):
            if row < len(HEAD_FIELDS):
                found.append((Place(row), area._replace(left_px=self._left_px + self._names_px)))
            elif row - len(HEAD_FIELDS) == len(view.draft.items):
                found.append((Place(row), area))
            else:
                ends = (*SHARES[1:], 1.0)
                found += [
                    (
                        Place(row, field),
                        area._replace(left_px=self._x_px(ends[field]), right_px=self._x_px(ends[field + 1])),
                    )
                    for field in range(len(ITEM_FIELDS))
                ]
        return found

    @property
    def _names_px(self) -> float:
        """The width of what the fields of the head are called."""
        return max(self._fonts.width_px(words, Size.BODY) for _, words in HEAD_FIELDS) + 30 * self._unit

    def _x_px(self, share: float) -> float:
        return self._left_px + share * (self._right_px - self._left_px)

    def _row_area(self, top_px: float, height_px: float) -> Rect:
        unit = self._unit
        return Rect(36 * unit, top_px * unit, self._size[0] - 36 * unit, (top_px + height_px) * unit)

    def _names(self, view: MakingView) -> list[Glyph]:
        """What the fields are called, and the titles of the exercises."""
        glyphs: list[Glyph] = []
        headings_px = (ITEMS_PX - 26) * self._unit
        for share, words in zip(
            SHARES, ("exercise", "target, ♩ =", "clean passes", "to be played", "note"), strict=True
        ):
            room_px = (next(s for s in (*SHARES, 1.0) if s > share) - share) * (self._right_px - self._left_px)
            shown = self._fonts.elided(words, Size.SMALL, room_px - 10 * self._unit)
            glyphs.append(Text(self._x_px(share), headings_px, shown, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        for row, area in self.rows(view):
            y_px = (area.top_px + area.bottom_px) / 2
            item = row - len(HEAD_FIELDS)
            if item < 0:
                words, ink = HEAD_FIELDS[row][1], Ink.MUTED
            elif item < len(view.draft.items):
                room_px = (SHARES[1] - SHARES[0]) * (self._right_px - self._left_px) - 24 * self._unit
                words, ink = self._fonts.elided(view.draft.items[item].title, Size.BODY, room_px), Ink.INK
            else:
                words, ink = ADD, Ink.INK if view.place.row == row else Ink.MUTED
            glyphs.append(Text(self._left_px, y_px, words, Size.BODY, ink, Anchor.LEFT))
        return glyphs

    def _field(self, view: MakingView, place: Place, area: Rect) -> list[Glyph]:
        text = view.text_at(place)
        if text is None:
            return []
        unit, fonts, y_px = self._unit, self._fonts, (area.top_px + area.bottom_px) / 2
        is_chosen, room_px = place == view.place, min(area.right_px, self._right_px) - area.left_px - 24 * unit
        ink = Ink.INK
        if place.name == "articulation":
            words = fonts.elided(text or AS_WRITTEN, Size.BODY, room_px)
        elif not text and not is_chosen:
            is_head = place.row < len(HEAD_FIELDS)
            words, ink = fonts.elided(EMPTY[place.name] if is_head else "–", Size.BODY, room_px), Ink.MUTED
        elif is_chosen:
            words = fonts.ending(text + CURSOR, Size.BODY, room_px)
        else:
            words = fonts.elided(text, Size.BODY, room_px)
        glyphs: list[Glyph] = [Text(area.left_px, y_px, words, Size.BODY, ink, Anchor.LEFT)]
        if is_chosen:
            below_px = area.bottom_px - 5 * unit
            glyphs.append(Line(area.left_px, below_px, area.left_px + room_px, below_px, 3 * unit, Ink.NOW))
        return glyphs

    def _notice(self, view: MakingView) -> list[Glyph]:
        lines = self._fonts.wrapped(view.notice, Size.BODY, self._right_px - self._left_px)[:2]
        first_px = self._size[1] / self._unit - BOTTOM_PX + 40
        return [
            Text(self._left_px, (first_px + 36 * place) * self._unit, line, Size.BODY, Ink.NOW, Anchor.LEFT)
            for place, line in enumerate(lines)
        ]
