"""The room of the sound: how click and backing go, how loud each part is, where it is heard and how late.

On the row of the offset F3 lets a click sound and shows a square on each beat: the offset is right when both fall
together. Enter there finds it from notes played to that click. The square comes and goes 75 times a minute (WCAG 2.2
allows three flashes a second) and is small.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import pygame

from trainer.playing.calibration.output_offset import BEAT_NS, OffsetTaps
from trainer.playing.messages import StampedMessage
from trainer.screens.hints import Hint, foot_hints, hint_at
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import SOUND, Action, Command, Pressed, Screen, Scrolled
from trainer.screens.sound_ways import HEARD, Row, SoundWays
from trainer.sounds.mix import Mix
from trainer.tablature.glyphs import Anchor, Box, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of

HINTS = (
    ("F3", "hear; again: stop", Command.LISTEN),
    ("↑ ↓", "setting", Command.DOWN),
    ("← →", "change it", Command.RIGHT),
    ("Esc", "list", Command.BACK),
    ("F1", "keys, marks", Command.KEYS),
)
TOP_PX, ROW_PX, NAME_PX = 116.0, 46.0, 300.0
"""Where the rows begin, how high one is, and the room for its name, at unit 1."""
SQUARE_PX, SQUARE_NS = 26.0, 120_000_000
"""The square that shows the beat: half its side at unit 1, and how long it is there."""
OFFSET_STEP_MS, OFFSET_LEAP_MS = 1, 10
ROWS = tuple(Row)
BY_EAR = (
    "F3 lets a click sound: change the offset (← → by 1 ms, − + by 10) until click and square fall together. Enter: "
    "play a note on each click instead, and it is found from them. A screen is some 10 to 50 ms late itself."
)
BY_HAND = "Enter takes it. Most people play 10 to 50 ms ahead of a click: it may be that much later still."
ABOUT = "All of it counts for every sitting, and is remembered. C, while playing: the backing, or not."


@dataclass(frozen=True, slots=True)
class SoundDoors:
    """What the room needs of the outside.

    `hear(wanted)` lets the line and what goes with it sound again and again, by the names of the stems; `click()` lets
    the click of the offset sound and tells when its first beat is heard; `began_ns()` tells the same again, with the
    offset as it is now; `taps(first_beat_ns)` listens to what is played to it.
    """

    keep_mix: Callable[[Mix], None]
    choose_output: Callable[[str], float]
    """Its offset."""
    keep_offset: Callable[[float], None]
    hear: Callable[[tuple[str, ...]], None]
    click: Callable[[], int]
    began_ns: Callable[[], int | None]
    taps: Callable[[int], OffsetTaps]
    hush: Callable[[], None]
    leave: Callable[[], Screen]
    status: Callable[[], str]


class SoundScreen:
    """The settings of the sound."""

    takes_text = False

    def __init__(self, ways: SoundWays, doors: SoundDoors) -> None:
        self.ways = ways
        self._doors = doors
        self._place = 0
        self._is_on = False
        self._taps: OffsetTaps | None = None
        self._now_ns = 0
        self._painter = PagePainter()

    @property
    def row(self) -> Row:
        """The row that ← and → change."""
        return ROWS[self._place]

    @property
    def is_on(self) -> bool:
        """Whether something sounds."""
        return self._is_on

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:
        """Listen to what is played to the click."""
        self._now_ns = now_ns
        if self._taps is not None and not self._taps.is_finished:
            for message in messages:
                self._taps.feed(message)
            if self._taps.is_finished:
                self._hush()
        return self

    def handle(self, action: Action) -> Screen | None:
        """Choose a row, change it, try it out, or leave."""
        match action:
            case Command.BACK:
                self._hush()
                return self._doors.leave()
            case Command.QUIT:
                self._hush()
                return None
            case Command.KEYS:
                self._hush()
                return KeysScreen(self, place=SOUND)
            case Pressed():
                return self._press(action)
            case Scrolled(lines=lines):
                self._select(self._place + (1 if lines > 0 else -1))
            case Command():
                self._do(action)
            case _:
                pass
        return self

    def _do(self, command: Command) -> None:
        match command:
            case Command.UP | Command.PREVIOUS_CHOICE:
                self._select(self._place - 1)
            case Command.DOWN | Command.NEXT_CHOICE:
                self._select(self._place + 1)
            case Command.LEFT | Command.RIGHT:
                self._step(OFFSET_STEP_MS if command is Command.RIGHT else -OFFSET_STEP_MS)
            case Command.SLOWER | Command.FASTER:
                sign = 1 if command is Command.FASTER else -1
                self._step(sign * (OFFSET_LEAP_MS if self.row is Row.OFFSET else 1))
            case Command.LISTEN | Command.PAUSE:
                if self._is_on:
                    self._hush()
                else:
                    self._sound()
            case Command.CHOOSE if self.row is Row.OFFSET:
                self._tap()
            case Command.CHOOSE:
                self._step(1)
            case _:
                pass

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the settings."""
        self._now_ns = now_ns
        size = surface.get_size()
        painter = self._painter.ground(surface, self._area(self._place, size))
        painter.draw(surface, self._glyphs(size, painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return texts_of(self._glyphs(size, painter), painter.fonts)

    def _select(self, place: int) -> None:
        before, self._place = self._place, max(0, min(len(ROWS) - 1, place))
        if Row.OFFSET in {ROWS[before], self.row} and before != self._place:
            self._hush()  # what F3 lets sound is another thing here

    def _step(self, by: int) -> None:
        row, before = self.row, self.ways
        self.ways = self.ways.stepped(row, by)
        if row is Row.OUTPUT:
            self._hush()
            self.ways = replace(self.ways, offset_ms=self._doors.choose_output(self.ways.output))
        elif row is Row.OFFSET:
            self._doors.keep_offset(self.ways.offset_ms)
        elif self.ways.mix != before.mix:
            self._doors.keep_mix(self.ways.mix)
        if self._is_on and row is not Row.OFFSET:
            self._sound()

    def _sound(self) -> None:
        """Let sound what the row is about."""
        self._is_on = True
        if self.row is Row.OFFSET:
            self._doors.click()
        else:
            self._doors.hear(HEARD[self.ways.heard])

    def _tap(self) -> None:
        """Begin to listen to notes played to the click, or take what they say."""
        fit = None if self._taps is None else self._taps.fit
        if self._taps is not None and self._taps.is_finished and fit is not None:
            self.ways = self.ways.stepped(Row.OFFSET, round(fit.median_ms))
            self._doors.keep_offset(self.ways.offset_ms)
            self._taps = None
            return
        self._is_on = True
        self._taps = self._doors.taps(self._doors.click())

    def _hush(self) -> None:
        if self._taps is not None and not self._taps.is_finished:
            self._taps = None
        self._is_on = False
        self._doors.hush()

    def _press(self, pressed: Pressed) -> Screen | None:
        """A hint does what it says; a row is chosen, and one that was chosen is changed, back at its left end."""
        if self._painter.latest is None:
            return self
        size, painter = self._painter.latest
        hint = hint_at(self._rows(), size, painter, pressed)
        if hint is not None:
            return self.handle(hint)
        for place in range(len(ROWS)):
            if self._area(place, size).holds(pressed.x_px, pressed.y_px):
                if place == self._place:
                    self._step(-1 if pressed.x_px < self._says_px(painter) else 1)
                else:
                    self._select(place)
                break
        return self

    def _area(self, place: int, size: tuple[int, int]) -> Rect:
        unit = unit_of(*size)
        top_px = (TOP_PX + place * ROW_PX) * unit
        return Rect(36 * unit, top_px, size[0] - 36 * unit, top_px + ROW_PX * unit)

    def _says_px(self, painter: Painter) -> float:
        """Where the values begin: behind the longest name."""
        widest_px = max(painter.fonts.width_px(row.value, Size.BODY) for row in ROWS)
        return 48 * painter.unit + max(NAME_PX * painter.unit, widest_px + 40 * painter.unit)

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        left_px, right_px = 48 * unit, size[0] - 48 * unit
        title = fonts.elided(f"Sound, tried out with {self.ways.line.title}", Size.TITLE, (right_px - left_px) * 0.8)
        glyphs: list[Glyph] = [
            Text(left_px, 56 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
        ]
        if self._is_on:
            glyphs.append(Text(right_px, 56 * unit, "it sounds", Size.BODY, Ink.NOW, Anchor.RIGHT))
        x_px = self._says_px(painter)
        for place, row in enumerate(ROWS):
            area = self._area(place, size)
            y_px = (area.top_px + area.bottom_px) / 2
            is_chosen, says = place == self._place, self.ways.says(row)
            room_px = right_px - x_px - (2 * SQUARE_PX + 24) * unit
            words = fonts.elided(f"‹ {says} ›" if is_chosen else says, Size.BODY, room_px)
            glyphs += [
                Text(left_px, y_px, row.value, Size.BODY, Ink.INK if is_chosen else Ink.MUTED, Anchor.LEFT),
                Text(x_px, y_px, words, Size.BODY, Ink.INK, Anchor.LEFT),
            ]
        return [
            *glyphs,
            *self._square(size, unit),
            *self._sentences(size, painter),
            *foot_hints(self._rows(), size, painter, self._doors.status()),
        ]

    def _square(self, size: tuple[int, int], unit: float) -> list[Glyph]:
        """The beat, to be seen beside the click."""
        began_ns = self._doors.began_ns() if self._is_on and self.row is Row.OFFSET else None
        if began_ns is None:
            return []
        row = self._area(self._place, size)
        y_px, half_px = (row.top_px + row.bottom_px) / 2, SQUARE_PX * unit * 0.7
        x_px = size[0] - (48 + SQUARE_PX) * unit
        edges = x_px - half_px, y_px - half_px, x_px + half_px, y_px + half_px
        is_there = self._now_ns >= began_ns and (self._now_ns - began_ns) % BEAT_NS < SQUARE_NS
        return [Box(*edges, 0.0, Ink.NOW, 0.0 if is_there else 3 * unit)]

    def _sentences(self, size: tuple[int, int], painter: Painter) -> list[Text]:
        """Below the rows: how an offset is found, or what counts for all rows."""
        unit = painter.unit
        paragraphs = [(ABOUT, Ink.MUTED)]
        if self.row is Row.OFFSET:
            paragraphs = [(BY_EAR, Ink.INK)]
            if self._taps is not None:
                words = f"{self._taps.words} {BY_HAND}" if self._taps.is_finished else self._taps.words
                paragraphs = [(words, Ink.NOW)]
        y_px = (TOP_PX + len(ROWS) * ROW_PX + 42) * unit
        texts: list[Text] = []
        for words, ink in paragraphs:
            for line in painter.fonts.wrapped(words, Size.BODY, size[0] - 96 * unit):
                texts.append(Text(48 * unit, y_px, line, Size.BODY, ink, Anchor.LEFT))
                y_px += 36 * unit
        return texts

    def _rows(self) -> tuple[Hint, ...]:
        if self.row is not Row.OFFSET:
            return HINTS
        is_known = self._taps is not None and self._taps.is_finished
        return (("Enter", "take it" if is_known else "find it by playing", Command.CHOOSE), *HINTS)
