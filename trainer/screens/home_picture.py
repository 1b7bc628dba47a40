"""The picture of the list of exercises: list and filter on the left, the chosen line on the right, settings below."""

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.score.exercise import Exercise
from trainer.screens.hints import Hint, hint_targets, key_hints
from trainer.screens.home_now import STRIP_PX, Ahead, strip_glyphs, strip_targets
from trainer.screens.paint import Fonts
from trainer.screens.screen import Command, Target
from trainer.screens.twin_table import BRIEF, Comparison, table_glyphs, table_height_px
from trainer.screens.twin_table import ROW_PX as TABLE_ROW_PX
from trainer.screens.words import brief_words, line_words, tempo_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.layout import unit_of

CAUTIONS = (
    "Warm up first, take a break every 25 minutes, and vary what you play. Pain, numbness or tingling means: stop.",
    "Keep the volume low enough to talk over. This is general care, no medical advice.",
)
NOTHING_FOUND = "No exercise has all these words. Backspace takes back a letter."
HINTS: tuple[Hint, ...] = (
    ("Enter", "play", Command.CHOOSE),
    ("F3", "hear", Command.LISTEN),
    ("F4", "build", Command.BUILD),
    ("F5", "vary", Command.VARY),
    ("F6", "twins", Command.TWINS),
    ("Tab", "choose", Command.NEXT_CHOICE),
    ("← →", "change", Command.RIGHT),
    ("F2", "pickup", Command.SET_UP),
    ("Esc", "leave", Command.BACK),
    ("F1", "keys, marks, terms", Command.KEYS),
)
ROOMS: tuple[Hint, ...] = (
    ("F7", "homework", Command.KEEP),
    ("F8", "tempo", Command.TEMPO),
    ("F9", "weeks", Command.PROGRESS),
    ("F10", "plan", Command.PLAN),
    ("Ctrl B", "board", Command.BOARD),
    ("Ctrl T", "contest", Command.CONTEST),
    ("Ctrl D", "two lines", Command.BESIDE),
    ("Ctrl U", "sound", Command.SOUND),
    ("Ctrl G", "tour", Command.TOUR),
)
"""Where else one can go; they stand in a row of their own."""
TITLE_PX, ABOUT_PX = STRIP_PX + 60.0, STRIP_PX + 112.0
"""Where the title stands, and where the words about the line begin, at unit 1."""
ROW_PX, FIRST_ROW_PX, BELOW_ROWS_PX = 38.0, STRIP_PX + 222.0, 316.0
"""The height of a row, where the first one begins and how much room the parts below need, at unit 1."""
FILTERS_PX, FILTER_ROW_PX, FILTERS_A_ROW = STRIP_PX + 116.0, 36.0, 3
"""Where the filters begin, how far apart their rows are, and how many stand in one, at unit 1."""
CAUTION_PX, ROOMS_PX, FOOT_ROW_PX = 118.0, 58.0, 30.0
"""How far above the lower edge cautions and rooms stand, and how far apart rows are there, at unit 1."""
SETTING_SHARES = (0.34, 0.21, 0.14, 0.14, 0.17)
"""The width of each setting as a share of the picture's; the names of ports are long."""


@dataclass(frozen=True, slots=True)
class HomeView:
    """What the list shows."""

    shown: tuple[Exercise, ...]
    headings: Mapping[int, str]
    """Place in `shown` -> what stands over it."""
    selected: int
    filter: str
    filters: tuple[str, ...]
    """What narrows or orders the list, in words."""
    chosen_filter: int | None
    """The filter that ← and → change."""
    settings: tuple[tuple[str, str], ...]
    """Name and value."""
    setting: int | None
    """The setting that ← and → change; None while they change a filter."""
    notice: str
    twins: tuple[str, ...] = ()
    """The titles of the selected line's twins."""
    comparison: Comparison | None = None
    """Where twins are compared."""

    ahead: tuple[Ahead, ...] = ()
    """What to do now."""
    plain_filters: frozenset[int] = frozenset()
    """Filters that narrow nothing."""

    def is_plain(self, number: int) -> bool:
        """Whether a filter narrows nothing."""
        return number in self.plain_filters


class HomePicture:
    """Lays out the list at one size."""

    def __init__(self, size: tuple[int, int], fonts: Fonts) -> None:
        self._width_px, self._height_px = size
        self._unit = unit_of(*size)
        self._fonts = fonts
        self._left_px = 48 * self._unit
        self._middle_px = size[0] * 0.5
        self._right_px = size[0] - 48 * self._unit

    def glyphs(self, view: HomeView) -> list[Glyph]:
        """Everything but the preview."""
        unit = self._unit
        words, ink = self._search_words(view)
        glyphs: list[Glyph] = [
            Text(self._left_px, TITLE_PX * unit, "Exercises", Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(self._middle_px - 32 * unit, (TITLE_PX + 4) * unit, words, Size.BODY, ink, Anchor.RIGHT),
            *strip_glyphs(view.ahead, self._width_px, self._fonts, unit),
            *self._filters(view),
            *self._list(view),
            *self._about(view),
            *self._twins(view),
            *self._settings(view),
        ]
        for place, caution in enumerate(CAUTIONS):
            glyphs.append(Text(self._left_px, self._caution_y_px(place), caution, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return [*glyphs, *self._hints(view), *self._rooms()]

    def _search_words(self, view: HomeView) -> tuple[str, Ink]:
        if view.comparison is not None:
            return "twins only", Ink.INK
        return (f"search: {view.filter}", Ink.INK) if view.filter else ("type to search", Ink.MUTED)

    def _hints(self, view: HomeView) -> list[Text]:
        again = "all again" if view.comparison is not None else ""
        rows = [(name, again if again and name == "F6" else words) for name, words, _ in HINTS]
        return key_hints(
            rows, self._left_px, self._height_px - 28 * self._unit, self._fonts, self._unit, self._right_px
        )

    def _rooms(self) -> list[Text]:
        rows = [(name, words) for name, words, _ in ROOMS]
        y_px = self._height_px - ROOMS_PX * self._unit
        return key_hints(rows, self._left_px, y_px, self._fonts, self._unit, self._right_px)

    def _caution_y_px(self, place: int) -> float:
        return self._height_px - (CAUTION_PX - FOOT_ROW_PX * place) * self._unit

    def row(self, view: HomeView) -> Rect | None:
        """Where the selected row lies; None when there is none."""
        if not view.shown:
            return None
        places = self._places(view)
        top_px = (FIRST_ROW_PX + places.index(view.selected) * ROW_PX) * self._unit
        return Rect(32 * self._unit, top_px, self._middle_px - 16 * self._unit, top_px + ROW_PX * self._unit)

    def preview_area(self, view: HomeView) -> Rect:
        """Where the line is shown, under the words about it."""
        top_px = (ABOUT_PX + 31 * len(self._about_lines(view)) + 12) * self._unit
        if view.comparison is not None:
            top_px += table_height_px(view.comparison, self._unit) + 10 * self._unit
        below_px = 256 if len(self._notice_lines(view)[0]) < 2 else 284
        return Rect(self._middle_px + 32 * self._unit, top_px, self._right_px, self._height_px - below_px * self._unit)

    @property
    def _rows(self) -> int:
        """How many exercises fit, with a line for how many do not."""
        return int((self._height_px / self._unit - FIRST_ROW_PX - BELOW_ROWS_PX) // ROW_PX)

    def _places(self, view: HomeView) -> list[int | str]:
        """What stands in the rows that fit: places in the list of what is shown, and headings."""
        rows: list[int | str] = []
        for place in range(len(view.shown)):
            if place in view.headings:
                rows.append(view.headings[place])
            rows.append(place)
        at = rows.index(view.selected)
        first = max(0, min(at - self._rows // 2, len(rows) - self._rows))
        return rows[first : first + self._rows]

    def _list(self, view: HomeView) -> list[Glyph]:
        unit, fonts = self._unit, self._fonts
        if not view.shown:
            y_px = (FIRST_ROW_PX + 22) * unit
            return [Text(self._left_px, y_px, NOTHING_FOUND, Size.BODY, Ink.INK, Anchor.LEFT)]
        key_px, right_px = 380 * unit, self._middle_px - 32 * unit
        glyphs: list[Glyph] = []
        places = self._places(view)
        for row, place in enumerate(places):
            y_px = (FIRST_ROW_PX + (row + 0.5) * ROW_PX) * unit
            if isinstance(place, str):
                glyphs.append(Text(self._left_px, y_px, place, Size.SMALL, Ink.MUTED, Anchor.LEFT))
                continue
            exercise = view.shown[place]
            title = fonts.elided(exercise.title, Size.BODY, key_px - self._left_px - 20 * unit)
            key = fonts.elided(brief_words(exercise), Size.SMALL, right_px - key_px - 110 * unit)
            glyphs += [
                Text(self._left_px, y_px, title, Size.BODY, Ink.INK, Anchor.LEFT),
                Text(key_px, y_px, key, Size.SMALL, Ink.MUTED, Anchor.LEFT),
                Text(right_px, y_px, tempo_words(exercise.tempo), Size.SMALL, Ink.MUTED, Anchor.RIGHT),
            ]
        hidden = len(view.shown) - 1 - max(place for place in places if isinstance(place, int))
        if hidden > 0:
            y_px = (FIRST_ROW_PX + (self._rows + 0.5) * ROW_PX) * unit
            glyphs.append(Text(self._left_px, y_px, f"{hidden} more below", Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return glyphs

    def _about(self, view: HomeView) -> list[Glyph]:
        """Title, what the line is and what it trains."""
        if not view.shown:
            return []
        exercise, unit = view.shown[view.selected], self._unit
        x_px = self._middle_px + 32 * unit
        title = self._fonts.elided(exercise.title, Size.HEAD, self._right_px - x_px)
        return [
            Text(x_px, (TITLE_PX + 4) * unit, title, Size.HEAD, Ink.INK, Anchor.LEFT),
            *(
                Text(x_px, (ABOUT_PX + 31 * place) * unit, line, Size.SMALL, ink, Anchor.LEFT)
                for place, (line, ink) in enumerate(self._about_lines(view))
            ),
        ]

    def _about_lines(self, view: HomeView) -> list[tuple[str, Ink]]:
        exercise = view.shown[view.selected]
        fonts, room_px = self._fonts, self._right_px - self._middle_px - 32 * self._unit
        tags = fonts.elided(" · ".join(exercise.tags), Size.SMALL, room_px)
        lines = [
            *((line, Ink.MUTED) for line in fonts.wrapped(line_words(exercise), Size.SMALL, room_px)[:2]),
            *((line, Ink.INK) for line in fonts.wrapped(exercise.about, Size.SMALL, room_px)[:5]),
            (tags, Ink.MUTED),
        ]
        if view.twins and view.comparison is None:
            count = "1 twin" if len(view.twins) == 1 else f"{len(view.twins)} twins"
            lines.append((fonts.elided(f"{count}: {' · '.join(view.twins)}", Size.SMALL, room_px), Ink.MUTED))
        return lines

    def _twins(self, view: HomeView) -> list[Glyph]:
        """The selected line and its twins side by side, where that was asked for."""
        if view.comparison is None or not view.shown:
            return []
        top_px = (ABOUT_PX + 31 * len(self._about_lines(view)) + 8) * self._unit
        area = Rect(self._middle_px + 32 * self._unit, top_px, self._right_px, self._height_px)
        selected = view.shown[view.selected].name
        return table_glyphs(view.comparison, selected, area, BRIEF, self._fonts, self._unit)

    def _filter_area(self, number: int) -> Rect:
        unit = self._unit
        width_px = (self._middle_px - 32 * unit - self._left_px) / FILTERS_A_ROW
        row, column = divmod(number, FILTERS_A_ROW)
        left_px, y_px = self._left_px + column * width_px, (FILTERS_PX + row * FILTER_ROW_PX) * unit
        return Rect(left_px, y_px - 16 * unit, left_px + width_px - 16 * unit, y_px + 16 * unit)

    def _filters(self, view: HomeView) -> list[Glyph]:
        """What the list is narrowed by."""
        glyphs: list[Glyph] = []
        for number, words in enumerate(view.filters):
            area = self._filter_area(number)
            y_px, is_chosen = (area.top_px + area.bottom_px) / 2, number == view.chosen_filter
            room_px = area.right_px - area.left_px
            shown = self._fonts.elided(f"‹ {words} ›" if is_chosen else words, Size.SMALL, room_px)
            ink = Ink.MUTED if view.is_plain(number) and not is_chosen else Ink.INK
            glyphs.append(Text(area.left_px, y_px, shown, Size.SMALL, ink, Anchor.LEFT))
            if is_chosen:
                width_px, below_px = self._fonts.width_px(shown, Size.SMALL), y_px + 15 * self._unit
                glyphs.append(Line(area.left_px, below_px, area.left_px + width_px, below_px, 3 * self._unit, Ink.NOW))
        return glyphs

    def _settings(self, view: HomeView) -> list[Glyph]:
        unit, y_px, x_px = self._unit, self._height_px - 200 * self._unit, self._left_px
        glyphs: list[Glyph] = []
        for place, ((name, value), share) in enumerate(zip(view.settings, SETTING_SHARES, strict=True)):
            room_px = share * (self._right_px - self._left_px) - 24 * unit
            is_chosen = place == view.setting
            words = self._fonts.elided(f"‹ {value} ›" if is_chosen else value, Size.BODY, room_px)
            glyphs += [
                Text(x_px, y_px, name, Size.SMALL, Ink.MUTED, Anchor.LEFT),
                Text(x_px, y_px + 36 * unit, words, Size.BODY, Ink.INK, Anchor.LEFT),
            ]
            if is_chosen:
                glyphs.append(Line(x_px, y_px + 58 * unit, x_px + room_px, y_px + 58 * unit, 3 * unit, Ink.NOW))
            x_px += room_px + 24 * unit
        lines, size = self._notice_lines(view)
        for place, line in enumerate(reversed(lines)):
            below_px = y_px - (48 if size is Size.BODY else 38 + 30 * place) * unit
            glyphs.append(Text(self._left_px, below_px, line, size, Ink.NOW, Anchor.LEFT))
        return glyphs

    def _notice_lines(self, view: HomeView) -> tuple[tuple[str, ...], Size]:
        """The notice in one line, or smaller in two."""
        room_px = self._right_px - self._left_px
        if self._fonts.width_px(view.notice, Size.BODY) <= room_px:
            return ((view.notice,) if view.notice else ()), Size.BODY
        return self._fonts.wrapped(view.notice, Size.SMALL, room_px)[:2], Size.SMALL

    def row_targets(self, view: HomeView) -> list[tuple[int, Rect]]:
        """Where each exercise of the list can be pressed, by its place in what is shown."""
        unit = self._unit
        areas = []
        for row, place in enumerate(self._places(view) if view.shown else []):
            if isinstance(place, int):
                top_px = (FIRST_ROW_PX + row * ROW_PX) * unit
                areas.append((place, Rect(32 * unit, top_px, self._middle_px - 16 * unit, top_px + ROW_PX * unit)))
        return areas

    def twin_targets(self, view: HomeView) -> list[tuple[str, Rect]]:
        """Where each compared line can be pressed, by its name."""
        if view.comparison is None or not view.shown:
            return []
        unit = self._unit
        top_px = (ABOUT_PX + 31 * len(self._about_lines(view)) + 8) * unit
        return [
            (
                line.name,
                Rect(
                    self._middle_px + 32 * unit,
                    top_px + (number - 0.5) * TABLE_ROW_PX * unit,
                    self._right_px,
                    top_px + (number + 0.5) * TABLE_ROW_PX * unit,
                ),
            )
            for number, line in enumerate(view.comparison.lines, start=1)
        ]

    def filter_targets(self, view: HomeView) -> list[tuple[int, Rect]]:
        """Where each filter can be pressed."""
        return [(number, self._filter_area(number)) for number in range(len(view.filters))]

    def setting_targets(self) -> list[tuple[int, Rect]]:
        """Where each setting can be pressed."""
        unit, y_px, x_px = self._unit, self._height_px - 200 * self._unit, self._left_px
        areas = []
        for place, share in enumerate(SETTING_SHARES):
            width_px = share * (self._right_px - self._left_px)
            areas.append((place, Rect(x_px, y_px - 16 * unit, x_px + width_px - 24 * unit, y_px + 60 * unit)))
            x_px += width_px
        return areas

    def strip_targets(self, view: HomeView) -> list[Target]:
        """Where what is to be done now can be pressed."""
        return strip_targets(view.ahead, self._width_px, self._unit)

    def hint_targets(self, view: HomeView) -> list[Target]:
        """Where each hint can be pressed."""
        return [
            *hint_targets(self._hints(view), [command for *_, command in HINTS], self._fonts),
            *hint_targets(self._rooms(), [command for *_, command in ROOMS], self._fonts),
        ]
