"""The picture of a pupil's homework: what is asked for above, the exercises in rows, the chosen one's details below."""

from dataclasses import dataclass
from fractions import Fraction

from trainer.screens.hints import Hint, foot_hints
from trainer.screens.paint import Painter
from trainer.screens.screen import Command
from trainer.screens.words import number_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Line, Rect, Size, Text
from trainer.theory.naming import counted

TOP_PX, ROW_PX, BOTTOM_PX = 236.0, 42.0, 350.0
"""Where the rows begin, how high one is, and what is left below them, at unit 1."""
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
    notice: str
    naming: str | None
    """The name that is being written."""
    written_to: str


def hints_of(view: HomeworkView) -> tuple[Hint, ...]:
    """The hints at the foot."""
    if view.naming is not None:
        return NAMING_HINTS
    if view.place[1] > 1:
        return (*HINTS[:3], ("← →", "other homework", Command.RIGHT), *HINTS[3:])
    return HINTS if view.sheet is not None else HINTS[1:2] + HINTS[3:]


class HomeworkPicture:
    """Lays it out at one size."""

    def __init__(self, size: tuple[int, int], painter: Painter) -> None:
        self._size = size
        self._painter = painter
        self._unit, self._fonts = painter.unit, painter.fonts
        self._left_px, self._right_px = 48 * painter.unit, size[0] - 48 * painter.unit

    def glyphs(self, view: HomeworkView) -> list[Glyph]:
        """Everything."""
        hints = foot_hints(hints_of(view), self._size, self._painter)
        return [*self._head(view), *self._rows(view), *self._details(view), *hints]

    def rows(self, view: HomeworkView) -> list[tuple[int, Rect]]:
        """The exercises that are seen, and where their rows lie."""
        count = 0 if view.sheet is None else len(view.sheet.items)
        room = max(1, int((self._size[1] / self._unit - TOP_PX - BOTTOM_PX) // ROW_PX))
        first = max(0, min(view.chosen - room // 2, count - room))
        found = []
        for row, item in enumerate(range(first, min(count, first + room))):
            top_px = (TOP_PX + row * ROW_PX) * self._unit
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
        note = fonts.wrapped(sheet.note, Size.BODY, self._width_px)
        shown = [*note[:1], fonts.elided(" ".join(note[1:]), Size.BODY, self._width_px)] if len(note) > 1 else note
        return [
            self._text(50, fonts.elided(sheet.title, Size.TITLE, room_px), Size.TITLE),
            *([Text(self._right_px, 50 * unit, which, Size.BODY, Ink.MUTED, Anchor.RIGHT)] if which else []),
            self._text(104, fonts.elided(sheet.about, Size.BODY, self._width_px), ink=Ink.MUTED),
            *(self._text(148 + 38 * place, line) for place, line in enumerate(shown)),
        ]

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
            y_px = (TOP_PX - 12) * unit
            words = f"{counted(hidden, 'exercise')} more, with ↑ and ↓"
            glyphs.append(Text(self._right_px, y_px, words, Size.SMALL, Ink.MUTED, Anchor.RIGHT))
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
        lines: list[tuple[str, Ink, int]] = []
        if view.naming is not None:
            lines = [
                (f"Your name, as your teacher will see it: {view.naming}▏", Ink.INK, 2),
                (
                    f"Takes of this homework and your name go into the file, nothing else. {view.written_to}",
                    Ink.MUTED,
                    3,
                ),
            ]
        elif view.sheet is not None:
            item = view.sheet.items[view.chosen]
            counting = view.done if isinstance(view.done, str) else view.done.words[view.chosen]
            left_out = "" if isinstance(view.done, str) else " ".join(view.done.remarks)
            lines = [
                (item.note or item.about, Ink.INK, 2),
                (counting, Ink.INK if not item.note else Ink.MUTED, 1),
                (view.notice or left_out, Ink.NOW if view.notice else Ink.MUTED, 3),
            ]
        else:
            lines = [(view.notice, Ink.NOW, 4)]
        wrapped = [
            (line, ink)
            for words, ink, most in lines
            for line in self._fonts.wrapped(words, Size.BODY, self._width_px)[:most]
        ]
        first_px = self._size[1] / self._unit - BOTTOM_PX + 46
        return [self._text(first_px + 38 * place, line, ink=ink) for place, (line, ink) in enumerate(wrapped)]

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
