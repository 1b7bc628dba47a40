"""The room before a run of tempi: which way to ask for them, with which settings, and what counts as clean."""

from collections.abc import Callable

import pygame

from trainer.coaching.clean import notes_a_second
from trainer.coaching.rests import SinceBreak
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.coaching.ways import Asking
from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.screens.hints import foot_hints, hint_at
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import TEMPI, Action, Command, Pressed, Screen, Scrolled
from trainer.screens.words import line_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of

HINTS = (
    ("Enter", "begin", Command.CHOOSE),
    ("↑ ↓", "setting", Command.DOWN),
    ("← →", "change it", Command.RIGHT),
    ("Esc", "list", Command.BACK),
    ("F1", "keys, marks", Command.KEYS),
)
TOP_PX, ROW_PX, NAME_PX = 176.0, 46.0, 300.0
"""Where the rows begin, how high one is, and the room for its name, at unit 1."""
WARM_UP = "Warm up first. Rest between passes, and stop when anything hurts."


class TempoWaysScreen:
    """The settings of a run over one line.

    `begin(asking)` is the screen of the run; `leave_to()` leaves; `known` says what the line's working tempo was;
    `rest(now_ns)` says how long was played since the last break, and whether one is due.
    """

    takes_text = False

    def __init__(
        self,
        exercise: Exercise,
        asking: Asking,
        *,
        begin: Callable[[Asking], Screen],
        leave_to: Callable[[], Screen | None],
        known: str = "",
        rest: Callable[[int], SinceBreak] = lambda _now_ns: SinceBreak(0, 0),
        status: Callable[[], str] = lambda: "",
    ) -> None:
        self.asking = asking
        self._exercise = exercise
        self._begin = begin
        self._leave_to = leave_to
        self._known = known
        self._rest = rest
        self._status = status
        self._selected = 0
        self._now_ns = 0
        self._painter = PagePainter()

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Stay."""
        self._now_ns = now_ns
        return self

    def handle(self, action: Action) -> Screen | None:
        """Choose, change, begin, or leave."""
        match action:
            case Command.CHOOSE | Command.PAUSE:
                return self._begin(self.asking)
            case Command.BACK:
                return self._leave_to()
            case Command.QUIT:
                return None
            case Command.KEYS:
                return KeysScreen(self, place=TEMPI)
            case Pressed():
                return self._press(action)
            case Command.UP | Command.PREVIOUS_CHOICE:
                self._select(self._selected - 1)
            case Command.DOWN | Command.NEXT_CHOICE:
                self._select(self._selected + 1)
            case Scrolled(lines=lines):
                self._select(self._selected + (1 if lines > 0 else -1))
            case Command.LEFT | Command.RIGHT | Command.SLOWER | Command.FASTER:
                self._step(1 if action in {Command.RIGHT, Command.FASTER} else -1)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the settings."""
        self._now_ns = now_ns
        size = surface.get_size()
        painter = self._painter.ground(surface, self._row(self._selected, size))
        painter.draw(surface, self._glyphs(size, painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return texts_of(self._glyphs(size, painter), painter.fonts)

    def _select(self, place: int) -> None:
        self._selected = max(0, min(len(self.asking.settings()) - 1, place))

    def _step(self, by: int) -> None:
        self.asking = self.asking.stepped(self.asking.settings()[self._selected].name, by)
        self._select(self._selected)

    def _press(self, pressed: Pressed) -> Screen | None:
        """A hint does what it says; a row is chosen, and one that was chosen is changed, back at its left end."""
        if self._painter.latest is None:
            return self
        size, painter = self._painter.latest
        hint = hint_at(HINTS, size, painter, pressed)
        if hint is not None:
            return self.handle(hint)
        for place in range(len(self.asking.settings())):
            row = self._row(place, size)
            if row.holds(pressed.x_px, pressed.y_px):
                if place == self._selected:
                    self._step(-1 if pressed.x_px < self._says_px(painter) else 1)
                else:
                    self._select(place)
                break
        return self

    def _row(self, place: int, size: tuple[int, int]) -> Rect:
        unit = unit_of(*size)
        top_px = (TOP_PX + place * ROW_PX) * unit
        return Rect(36 * unit, top_px, size[0] - 36 * unit, top_px + ROW_PX * unit)

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts = painter.unit, painter.fonts
        left_px, right_px = 48 * unit, size[0] - 48 * unit
        title = fonts.elided(f"Tempo: {self._exercise.title}", Size.TITLE, (right_px - left_px) * 0.62)
        line = fonts.elided(line_words(self._exercise), Size.BODY, right_px - left_px)
        qpm = self.asking.start_qpm
        speed = f"{notes_a_second(self._exercise, qpm):.1f} notes a second at ♩ = {qpm:g}"
        glyphs: list[Glyph] = [
            Text(left_px, 50 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(right_px, 50 * unit, speed, Size.BODY, Ink.MUTED, Anchor.RIGHT),
            Text(left_px, 98 * unit, line, Size.BODY, Ink.MUTED, Anchor.LEFT),
        ]
        for place, setting in enumerate(self.asking.settings()):
            row = self._row(place, size)
            y_px = row.top_px + ROW_PX * unit / 2
            is_chosen = place == self._selected
            says = f"‹ {setting.says} ›" if is_chosen else setting.says
            x_px = self._says_px(painter)
            glyphs += [
                Text(left_px, y_px, setting.name, Size.BODY, Ink.INK if is_chosen else Ink.MUTED, Anchor.LEFT),
                Text(x_px, y_px, fonts.elided(says, Size.BODY, right_px - x_px), Size.BODY, Ink.INK, Anchor.LEFT),
            ]
        return [*glyphs, *self._sentences(size, painter), *foot_hints(HINTS, size, painter, self._status())]

    def _says_px(self, painter: Painter) -> float:
        """Where the values begin: behind the longest name."""
        names = (setting.name for setting in self.asking.settings())
        widest_px = max(painter.fonts.width_px(name, Size.BODY) for name in names)
        return 48 * painter.unit + max(NAME_PX * painter.unit, widest_px + 40 * painter.unit)

    def _sentences(self, size: tuple[int, int], painter: Painter) -> list[Text]:
        """Below the rows: what this way does, what is clean, what is known of the line, and care for the hands."""
        unit = painter.unit
        sitting, rest = TempoSitting(self._exercise, self.asking.procedure()), self._rest(self._now_ns)
        paragraphs = [
            (self.asking.sentence(), Ink.INK),
            (sitting.definition(), Ink.MUTED),
            (self._known, Ink.INK),
            (WARM_UP, Ink.MUTED),
            (rest.words(), Ink.NOW if rest.is_due else Ink.MUTED),
        ]
        y_px = (TOP_PX + 8.2 * ROW_PX) * unit
        texts: list[Text] = []
        for words, ink in paragraphs:
            for line in painter.fonts.wrapped(words, Size.BODY, size[0] - 96 * unit):
                texts.append(Text(48 * unit, y_px, line, Size.BODY, ink, Anchor.LEFT))
                y_px += 36 * unit
            y_px += 16 * unit if words else 0
        return texts
