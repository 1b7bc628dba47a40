"""The picture of a pupil's homework: what is asked for above, the exercises in rows, the chosen one's details below."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.screens.hints import Hint, foot_hints
from trainer.screens.paint import Painter
from trainer.screens.screen import Command
from trainer.screens.turning import GOES_ON, turned_to
from trainer.screens.words import number_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Line, Rect, Size, Text
from trainer.theory.naming import counted

NOTE_PX, LINE_PX, ROW_PX, BOTTOM_PX = 148.0, 38.0, 42.0, 350.0
"""Where the note begins, how high its lines and the rows are, and what is left below the rows, at unit 1."""
LEAST_ROWS, LEAST_LINES = 4, 2
"""So many rows and so many lines of the note are seen in any case; what room is left the note may have."""
DETAIL_LINES = 7
MORE: Hint = ("Page ↓", "more of the note", Command.NEXT_BAR)
BAR_PX = 150.0
"""The stroke that is as long as an exercise is done, at unit 1."""
HINTS: tuple[Hint, ...] = (
    ("Enter", "play", Command.CHOOSE),
    ("O", "open a file", Command.OPEN),
    ("F7", "give back", Command.KEEP),
    ("F4", "give out", Command.BUILD),
    ("F9", "what came back", Command.PROGRESS),
    ("Esc", "leave", Command.BACK),
    ("F1", "keys", Command.KEYS),
)
NAMING_HINTS: tuple[Hint, ...] = (
    ("Enter", "write the file", Command.CHOOSE),
    ("Backspace", "take back a letter", Command.ERASE),
    ("Esc", "do not", Command.BACK),
)
INTO_THE_FILE = "Takes of this homework, notes about them and your name go into the file, nothing else."
NONE_OPEN = (
    "No homework is open. Drop its file onto this window, or press O to look for it.",
    "Whoever teaches gives out exercises with F4, and sees what came back with F9 or by dropping the files here.",
)


@dataclass(frozen=True, slots=True)
class Item:
    """One exercise of homework."""

    title: str
    target_qpm: Fraction
    passes: int
    """How many clean passes at the target are asked for."""
    articulation: str
    note: str
    about: str
    """Where on the neck it lies."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Homework that is open."""

    title: str
    about: str
    """From whom, and since when."""
    note: str
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Done:
    """How far homework is; one value for each exercise."""

    clean: tuple[int, ...]
    """Clean passes at the target or faster."""
    words: tuple[str, ...]
    """What else was measured."""
    remarks: tuple[str, ...] = ()
    """Which takes do not count, and why."""


@dataclass(frozen=True, slots=True)
class HomeworkView:
    """What is shown."""

    sheet: Sheet | None
    place: tuple[int, int]
    """Which of how many."""
    chosen: int
    done: Done | str
    """A sentence while it is being counted."""
    turned: int
    """How often a note that does not fit was turned over."""
    notice: str
    naming: str | None
    """The name that is being written."""
    written_to: str


class HomeworkPicture:
    """Lays it out at one size."""

    def __init__(self, size: tuple[int, int], painter: Painter) -> None:
        self._size = size
        self._painter = painter
        self._unit, self._fonts = painter.unit, painter.fonts
        self._left_px, self._right_px = 48 * painter.unit, size[0] - 48 * painter.unit

    def glyphs(self, view: HomeworkView) -> list[Glyph]:
        """Everything."""
        hints = foot_hints(self.hints(view), self._size, self._painter)
        return [*self._head(view), *self._rows(view), *self._details(view), *hints]

    def hints(self, view: HomeworkView) -> tuple[Hint, ...]:
        """The hints at the foot."""
        if view.naming is not None:
            return NAMING_HINTS
        if view.sheet is None:
            return HINTS[1:2] + HINTS[3:]
        others: tuple[Hint, ...] = (("← →", "other homework", Command.RIGHT),) if view.place[1] > 1 else ()
        is_cut = len(self._note(view)) > self._note_room(view) or len(self._item_note(view)) > self._item_room(view)
        return (*HINTS[:3], *((MORE,) if is_cut else ()), *others, *HINTS[3:])

    def rows(self, view: HomeworkView) -> list[tuple[int, Rect]]:
        """The exercises that are seen, and where their rows lie."""
        count = 0 if view.sheet is None else len(view.sheet.items)
        top = self._top(view)
        room = max(1, int((self._size[1] / self._unit - top - BOTTOM_PX) // ROW_PX))
        first = max(0, min(view.chosen - room // 2, count - room))
        found = []
        for row, item in enumerate(range(first, min(count, first + room))):
            top_px = (top + row * ROW_PX) * self._unit
            area = Rect(36 * self._unit, top_px, self._size[0] - 36 * self._unit, top_px + ROW_PX * self._unit)
            found.append((item, area))
        return found

    def _head(self, view: HomeworkView) -> list[Glyph]:
        unit, fonts, sheet = self._unit, self._fonts, view.sheet
        if sheet is None:
            lines = [line for words in NONE_OPEN for line in fonts.wrapped(words, Size.BODY, self._width_px)]
            title = self._text(50, "Homework", Size.TITLE)
            return [title, *(self._text(130 + 44 * place, line) for place, line in enumerate(lines))]
        number, of = view.place
        which = f"{number + 1} of {of}" if of > 1 else ""
        room_px = self._width_px - fonts.width_px(which, Size.BODY) - 40 * unit
        note = self._turned(self._note(view), self._note_room(view), view.turned)
        return [
            self._text(50, fonts.elided(sheet.title, Size.TITLE, room_px), Size.TITLE),
            *([Text(self._right_px, 50 * unit, which, Size.BODY, Ink.MUTED, Anchor.RIGHT)] if which else []),
            self._text(104, fonts.elided(sheet.about, Size.BODY, self._width_px), ink=Ink.MUTED),
            *(self._text(NOTE_PX + LINE_PX * place, line) for place, line in enumerate(note)),
        ]

    def _note(self, view: HomeworkView) -> tuple[str, ...]:
        """What is to be said about all of it, in lines."""
        return self._wrapped("" if view.sheet is None else view.sheet.note)

    def _note_room(self, view: HomeworkView) -> int:
        """How many lines of that are seen."""
        rows = LEAST_ROWS if view.sheet is None else max(LEAST_ROWS, len(view.sheet.items))
        spare = self._size[1] / self._unit - NOTE_PX - BOTTOM_PX - 30 - rows * ROW_PX
        return max(LEAST_LINES, int(spare // LINE_PX))

    def _top(self, view: HomeworkView) -> float:
        """Where the rows begin, at unit 1."""
        return NOTE_PX + LINE_PX * min(len(self._note(view)), self._note_room(view)) + 12

    def _item_note(self, view: HomeworkView) -> tuple[str, ...]:
        """What is to be said about the chosen exercise, in lines."""
        if view.sheet is None:
            return ()
        item = view.sheet.items[view.chosen]
        return self._wrapped(item.note or item.about)

    def _item_room(self, view: HomeworkView) -> int:
        """How many lines of that are seen: those that nothing else needs."""
        return max(LEAST_LINES, DETAIL_LINES - len(self._told(view)))

    def _turned(self, lines: Sequence[str], room: int, turned: int) -> list[str]:
        """The lines that are seen; a sign stands where more follow."""
        seen = turned_to(len(lines), room, turned)
        goes_on = GOES_ON if seen.stop < len(lines) else ""
        return [line + (goes_on if place == seen[-1] else "") for place, line in enumerate(lines) if place in seen]

    def _wrapped(self, words: str) -> tuple[str, ...]:
        """In lines that leave room for the sign that more follow."""
        return self._fonts.wrapped(words, Size.BODY, self._width_px - self._fonts.width_px(GOES_ON, Size.BODY))

    def _rows(self, view: HomeworkView) -> list[Glyph]:
        sheet, unit, fonts = view.sheet, self._unit, self._fonts
        if sheet is None:
            return []
        number_px = self._left_px + fonts.width_px("88", Size.BODY)
        title_px = number_px + 24 * unit
        target_px = title_px + self._width_px * 0.36
        count_px = target_px + fonts.width_px("♩ = 888.8", Size.BODY) + 40 * unit
        widest_px = max(fonts.width_px(count_words(view, place), Size.BODY) for place in range(len(sheet.items)))
        bar_px = count_px + widest_px + 30 * unit
        manner_px = bar_px + BAR_PX * unit + 30 * unit
        glyphs: list[Glyph] = []
        for place, area in self.rows(view):
            item, y_px = sheet.items[place], (area.top_px + area.bottom_px) / 2
            title = fonts.elided(item.title, Size.BODY, target_px - title_px - 24 * unit)
            manner = fonts.elided(item.articulation, Size.SMALL, self._right_px - manner_px)
            glyphs += [
                Text(number_px, y_px, str(place + 1), Size.BODY, Ink.MUTED, Anchor.RIGHT),
                Text(title_px, y_px, title, Size.BODY, Ink.INK, Anchor.LEFT),
                Text(target_px, y_px, f"♩ = {number_words(item.target_qpm)}", Size.BODY, Ink.INK, Anchor.LEFT),
                Text(count_px, y_px, count_words(view, place), Size.BODY, self._ink(view, place), Anchor.LEFT),
                *self._bar(view, place, bar_px, y_px),
                *([Text(manner_px, y_px, manner, Size.SMALL, Ink.MUTED, Anchor.LEFT)] if manner else []),
            ]
        hidden = len(sheet.items) - len(self.rows(view))
        if hidden:
            below_px = self.rows(view)[-1][1].bottom_px + 22 * unit
            words = f"{counted(hidden, 'exercise')} more, with ↑ and ↓"
            glyphs.append(Text(self._right_px, below_px, words, Size.SMALL, Ink.MUTED, Anchor.RIGHT))
        return glyphs

    def _ink(self, view: HomeworkView, place: int) -> Ink:
        return Ink.AS_WRITTEN if is_done(view, place) else Ink.INK

    def _bar(self, view: HomeworkView, place: int, left_px: float, y_px: float) -> list[Glyph]:
        """How much of an exercise is done."""
        if view.sheet is None or isinstance(view.done, str):
            return []
        share = min(1.0, view.done.clean[place] / view.sheet.items[place].passes)
        right_px, thick_px = left_px + BAR_PX * self._unit, 8 * self._unit
        bar: list[Glyph] = [Line(left_px, y_px, right_px, y_px, thick_px, Ink.FAINT)]
        if share:
            bar.append(Line(left_px, y_px, left_px + share * (right_px - left_px), y_px, thick_px, Ink.AS_WRITTEN))
        return bar

    def _details(self, view: HomeworkView) -> list[Glyph]:
        """The chosen exercise, and what is to be said or written."""
        note = (
            [] if view.naming is not None else self._turned(self._item_note(view), self._item_room(view), view.turned)
        )
        lines = [*((line, Ink.INK) for line in note), *self._told(view)]
        first_px = self._size[1] / self._unit - BOTTOM_PX + 52
        return [self._text(first_px + LINE_PX * place, line, ink=ink) for place, (line, ink) in enumerate(lines)]

    def _told(self, view: HomeworkView) -> list[tuple[str, Ink]]:
        """What stands below the note of the chosen exercise."""
        if view.naming is not None:
            told = [
                (f"Your name, as your teacher will see it: {view.naming}▏", Ink.INK, 2),
                (f"{INTO_THE_FILE} {view.written_to}", Ink.MUTED, 4),
            ]
        elif view.sheet is None:
            told = [(view.notice, Ink.NOW, DETAIL_LINES)]
        elif isinstance(view.done, str):
            told = [(view.done, Ink.MUTED, 2), (view.notice, Ink.NOW, 3)]
        else:
            remark = (view.notice, Ink.NOW, 3) if view.notice else (" ".join(view.done.remarks), Ink.MUTED, 2)
            told = [(view.done.words[view.chosen], Ink.MUTED, 2), remark]
        return [
            (line, ink)
            for words, ink, most in told
            for line in self._fonts.wrapped(words, Size.BODY, self._width_px)[:most]
        ]

    @property
    def _width_px(self) -> float:
        return self._right_px - self._left_px

    def _text(self, y_px: float, words: str, size: Size = Size.BODY, ink: Ink = Ink.INK) -> Text:
        """At the left, `y_px` at unit 1."""
        return Text(self._left_px, y_px * self._unit, words, size, ink, Anchor.LEFT)


def is_done(view: HomeworkView, place: int) -> bool:
    """Whether an exercise has the clean passes that were asked for."""
    if view.sheet is None or isinstance(view.done, str):
        return False
    return view.done.clean[place] >= view.sheet.items[place].passes


def count_words(view: HomeworkView, place: int) -> str:
    """How many clean passes there are of those asked for."""
    if view.sheet is None:
        return ""
    asked = view.sheet.items[place].passes
    if isinstance(view.done, str):
        return counted(asked, "clean pass")
    return f"{view.done.clean[place]} of {counted(asked, 'clean pass')}{', done' if is_done(view, place) else ''}"
