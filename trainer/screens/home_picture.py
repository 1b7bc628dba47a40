"""The picture of the list of exercises: list and filter on the left, the chosen line on the right, settings below."""

from dataclasses import dataclass

from trainer.score.exercise import Exercise
from trainer.screens.hints import key_hints
from trainer.screens.paint import Fonts
from trainer.screens.words import brief_words, line_words, tempo_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.layout import unit_of

CAUTIONS = (
    "Warm up first, take a break every 25 minutes, and vary what you play. Pain, numbness or tingling means: stop.",
    "Keep the volume low enough to talk over. All this is general care and no medical advice.",
)
NOTHING_FOUND = "No exercise has all these words. Backspace takes back a letter."
HINTS = (
    ("Enter", "play"),
    ("↑ ↓", "exercise"),
    ("Tab", "setting"),
    ("← →", "change it"),
    ("letters", "filter"),
    ("F2", "set up the pickup"),
    ("Esc", "leave"),
    ("F1", "all keys and marks"),
)
ROW_PX, FIRST_ROW_PX, BELOW_ROWS_PX = 42.0, 124.0, 316.0
"""The height of a row, where the first one begins and how much room the parts below need, at unit 1."""
SETTING_SHARES = (0.34, 0.21, 0.14, 0.14, 0.17)
"""The width of each setting as a share of the picture's; the names of ports are long."""


@dataclass(frozen=True, slots=True)
class HomeView:
    """What the list shows."""

    shown: tuple[Exercise, ...]
    selected: int
    filter: str
    settings: tuple[tuple[str, str], ...]
    """Name and value."""
    setting: int
    """The setting that ← and → change."""
    notice: str


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
        words, ink = (f"filter: {view.filter}", Ink.INK) if view.filter else ("type to filter", Ink.MUTED)
        glyphs: list[Glyph] = [
            Text(self._left_px, 60 * unit, "Exercises", Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(self._middle_px - 32 * unit, 64 * unit, words, Size.BODY, ink, Anchor.RIGHT),
            *self._list(view),
            *self._about(view),
            *self._settings(view),
        ]
        for place, caution in enumerate(CAUTIONS):
            y_px = self._height_px - (112 - 30 * place) * unit
            glyphs.append(Text(self._left_px, y_px, caution, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return [*glyphs, *key_hints(HINTS, self._left_px, self._height_px - 28 * unit, self._fonts, unit)]

    def row(self, view: HomeView) -> Rect | None:
        """Where the selected row lies; None when there is none."""
        if not view.shown:
            return None
        top_px = (FIRST_ROW_PX + (view.selected - self._first(view)) * ROW_PX) * self._unit
        return Rect(32 * self._unit, top_px, self._middle_px - 16 * self._unit, top_px + ROW_PX * self._unit)

    def preview_area(self, exercise: Exercise) -> Rect:
        """Where the line is shown, under the words about it."""
        top_px = (112 + 31 * len(self._about_lines(exercise)) + 12) * self._unit
        return Rect(self._middle_px + 32 * self._unit, top_px, self._right_px, self._height_px - 256 * self._unit)

    @property
    def _rows(self) -> int:
        """How many exercises fit, with a line for how many do not."""
        return int((self._height_px / self._unit - FIRST_ROW_PX - BELOW_ROWS_PX) // ROW_PX)

    def _first(self, view: HomeView) -> int:
        return max(0, min(view.selected - self._rows // 2, len(view.shown) - self._rows))

    def _list(self, view: HomeView) -> list[Glyph]:
        unit, fonts = self._unit, self._fonts
        if not view.shown:
            return [Text(self._left_px, 146 * unit, NOTHING_FOUND, Size.BODY, Ink.INK, Anchor.LEFT)]
        key_px, right_px = 380 * unit, self._middle_px - 32 * unit
        first = self._first(view)
        glyphs: list[Glyph] = []
        for place, exercise in enumerate(view.shown[first : first + self._rows]):
            y_px = (FIRST_ROW_PX + (place + 0.5) * ROW_PX) * unit
            title = fonts.elided(exercise.title, Size.BODY, key_px - self._left_px - 20 * unit)
            key = fonts.elided(brief_words(exercise), Size.SMALL, right_px - key_px - 110 * unit)
            glyphs += [
                Text(self._left_px, y_px, title, Size.BODY, Ink.INK, Anchor.LEFT),
                Text(key_px, y_px, key, Size.SMALL, Ink.MUTED, Anchor.LEFT),
                Text(right_px, y_px, tempo_words(exercise.tempo), Size.SMALL, Ink.MUTED, Anchor.RIGHT),
            ]
        hidden = len(view.shown) - first - self._rows
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
            Text(x_px, 64 * unit, title, Size.HEAD, Ink.INK, Anchor.LEFT),
            *(
                Text(x_px, (112 + 31 * place) * unit, line, Size.SMALL, ink, Anchor.LEFT)
                for place, (line, ink) in enumerate(self._about_lines(exercise))
            ),
        ]

    def _about_lines(self, exercise: Exercise) -> list[tuple[str, Ink]]:
        fonts, room_px = self._fonts, self._right_px - self._middle_px - 32 * self._unit
        tags = fonts.elided(" · ".join(exercise.tags), Size.SMALL, room_px)
        return [
            *((line, Ink.MUTED) for line in fonts.wrapped(line_words(exercise), Size.SMALL, room_px)[:2]),
            *((line, Ink.INK) for line in fonts.wrapped(exercise.about, Size.SMALL, room_px)[:5]),
            (tags, Ink.MUTED),
        ]

    def _settings(self, view: HomeView) -> list[Glyph]:
        unit, y_px, x_px = self._unit, self._height_px - 200 * self._unit, self._left_px
        glyphs: list[Glyph] = []
        for place, ((name, value), share) in enumerate(zip(view.settings, SETTING_SHARES, strict=True)):
            room_px = share * (self._right_px - self._left_px) - 24 * unit
            words = self._fonts.elided(value, Size.BODY, room_px)
            glyphs += [
                Text(x_px, y_px, name, Size.SMALL, Ink.MUTED, Anchor.LEFT),
                Text(x_px, y_px + 36 * unit, words, Size.BODY, Ink.INK, Anchor.LEFT),
            ]
            if place == view.setting:
                glyphs.append(Line(x_px, y_px + 58 * unit, x_px + room_px, y_px + 58 * unit, 3 * unit, Ink.NOW))
            x_px += room_px + 24 * unit
        notice = self._fonts.elided(view.notice, Size.BODY, self._right_px - self._left_px)
        if notice:
            glyphs.append(Text(self._left_px, y_px - 48 * unit, notice, Size.BODY, Ink.NOW, Anchor.LEFT))
        return glyphs
