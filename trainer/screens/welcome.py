"""The first page that a newcomer sees, once: care for hands and ears, what to play on, and then the first line.

`list_inputs()` names what can be played on, `is_set_up(input)` whether it is known already; `first_line(input)` is the
line to begin with, `play(input)` the screen with it, `set_up(input)` the one that learns what a pickup sends, `leave()`
the list, `tour(back_to)` the guided tour.
"""

from collections.abc import Callable

import pygame

from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.screens.choices import InputChoice
from trainer.screens.hints import foot_hints, hint_at
from trainer.screens.keys import KeysScreen
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import Action, Command, Pressed, Screen, Scrolled
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of

CAUTIONS = (
    "Warm up before you play fast, and rest five minutes in every twenty-five.",
    "Pain, numbness, tingling or weakness mean stop; when they come back, see a doctor or a hand therapist.",
    "Keep the sound as low as you can play to: hearing that is lost does not come back.",
    "Nothing on the screen flashes; F12 and Ctrl + \N{MINUS SIGN} change its colours and the size of its text.",
)
"""Common advice; for more than that there are licensed people."""
LOOK_FOR_INPUTS_NS = 1_000_000_000
TOP_PX, ROW_PX = 400.0, 48.0
HINTS = (
    ("Enter", "play the first line", Command.CHOOSE),
    ("F2", "set it up first", Command.SET_UP),
    ("↑ ↓", "choose", Command.DOWN),
    ("Ctrl G", "guided tour", Command.TOUR),
    ("Esc", "list", Command.BACK),
    ("F1", "keys, marks, terms", Command.KEYS),
)


class WelcomeScreen:
    """See the head of the file."""

    takes_text = False

    def __init__(
        self,
        first_line: Callable[[InputChoice], Exercise | None],
        *,
        list_inputs: Callable[[], tuple[InputChoice, ...]],
        is_set_up: Callable[[InputChoice], bool],
        play: Callable[[InputChoice], Screen],
        set_up: Callable[[InputChoice], Screen],
        leave: Callable[[], Screen],
        tour: Callable[[Screen], Screen],
    ) -> None:
        self._first_line = first_line
        self._list_inputs = list_inputs
        self._is_set_up = is_set_up
        self._play = play
        self._set_up = set_up
        self._leave = leave
        self._tour = tour
        self._inputs = list_inputs()
        self._chosen = self._inputs[0].name
        self._looked_ns: int | None = None
        self._painter = PagePainter()

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Look for pickups that are plugged in meanwhile; a first one is chosen at once."""
        if self._looked_ns is None or now_ns - self._looked_ns >= LOOK_FOR_INPUTS_NS:
            self._looked_ns = now_ns
            known, self._inputs = {one.name for one in self._inputs}, self._list_inputs()
            new = next((one for one in self._inputs if one.is_pickup and one.name not in known), None)
            if new is not None and not self._input.is_pickup:
                self._chosen = new.name
        return self

    def handle(self, action: Action) -> Screen | None:
        """Choose, set up, play, or leave."""
        match action:
            case Command.CHOOSE | Command.PAUSE:
                return self._play(self._input)
            case Command.SET_UP:
                return self._set_up(self._input)
            case Command.UP | Command.DOWN | Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                self._move(1 if action in {Command.DOWN, Command.NEXT_CHOICE} else -1)
            case Scrolled(lines=lines):
                self._move(1 if lines > 0 else -1)
            case Pressed() if self._painter.latest is not None:
                return self._press(action, *self._painter.latest)
            case Command.KEYS:
                return KeysScreen(self, tour=lambda: self._tour(self))
            case Command.TOUR:
                return self._tour(self)
            case Command.BACK:
                return self._leave()
            case Command.QUIT:
                return None
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the page."""
        size = surface.get_size()
        painter = self._painter.ground(surface, self._row(self._inputs.index(self._input), size))
        painter.draw(surface, self._glyphs(size, painter))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter = self._painter.of(size)
        return texts_of(self._glyphs(size, painter), painter.fonts)

    @property
    def _input(self) -> InputChoice:
        """What is chosen if it is there, else the first."""
        return next((one for one in self._inputs if one.name == self._chosen), self._inputs[0])

    def _move(self, by: int) -> None:
        place = self._inputs.index(self._input) + by
        self._chosen = self._inputs[max(0, min(len(self._inputs) - 1, place))].name

    def _press(self, pressed: Pressed, size: tuple[int, int], painter: Painter) -> Screen | None:
        hint = hint_at(HINTS, size, painter, pressed)
        if hint is not None:
            return self.handle(hint)
        for place, one in enumerate(self._inputs):
            if self._row(place, size).holds(pressed.x_px, pressed.y_px):
                if one == self._input:
                    return self._play(one)
                self._chosen = one.name
        return self

    def _row(self, place: int, size: tuple[int, int]) -> Rect:
        unit = unit_of(*size)
        top_px = (TOP_PX + 44 + place * ROW_PX) * unit
        return Rect(36 * unit, top_px, size[0] - 36 * unit, top_px + ROW_PX * unit)

    def _glyphs(self, size: tuple[int, int], painter: Painter) -> list[Glyph]:
        unit, fonts, left_px = painter.unit, painter.fonts, 48 * painter.unit
        glyphs: list[Glyph] = [Text(left_px, 60 * unit, "Before you play", Size.TITLE, Ink.INK, Anchor.LEFT)]
        y_px = 130 * unit
        for caution in CAUTIONS:
            for line in fonts.wrapped(caution, Size.BODY, size[0] - 96 * unit):
                glyphs.append(Text(left_px, y_px, line, Size.BODY, Ink.INK, Anchor.LEFT))
                y_px += 38 * unit
            y_px += 10 * unit
        first = self._first_line(self._input)
        begins = "No line is written for its tuning." if first is None else f"The first line is {first.title}, slowly."
        question = f"What do you play on? {begins}"
        glyphs.append(Text(left_px, (TOP_PX + 10) * unit, question, Size.BODY, Ink.MUTED, Anchor.LEFT))
        for place, one in enumerate(self._inputs):
            row_px = self._row(place, size).top_px + ROW_PX * unit / 2
            words = fonts.elided(f"{one.words}{self._about(one)}", Size.BODY, size[0] - 96 * unit)
            glyphs.append(Text(left_px, row_px, words, Size.BODY, Ink.INK, Anchor.LEFT))
        return [*glyphs, *foot_hints(HINTS, size, painter)]

    def _about(self, one: InputChoice) -> str:
        if not one.is_pickup:
            return ": no pickup is needed"
        return "" if self._is_set_up(one) else ": not set up yet; it is read as one channel a string"
