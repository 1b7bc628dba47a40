"""The list of exercises: choose a line, how to play it and what on, and begin."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction

import pygame

from trainer.following.verdict import Pace
from trainer.playing.messages import StampedMessage
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.screens.keys import KeysScreen
from trainer.screens.look import COLOURS, SHADE
from trainer.screens.paint import Painter
from trainer.screens.practice_picture import key_hints
from trainer.screens.screen import Action, Command, Screen, Typed
from trainer.screens.standing_line import StandingLine
from trainer.screens.words import PACE_WORDS, brief_words, line_words, tempo_words
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.layout import unit_of

CAUTIONS = (
    "Warm up first, take a break every 25 minutes, and vary what you play. Pain, numbness or tingling means: stop.",
    "Keep the volume low enough to talk over. All this is general care and no medical advice.",
)
NO_PICKUP = "No pickup found: Enter plays with the simulated player."
LOOK_FOR_INPUTS_NS = 2_000_000_000
"""The ports are looked through again after this time, so that a pickup plugged in later is found."""
TEMPO_STEP = Fraction(4)
SLOWEST, FASTEST = Fraction(20), Fraction(400)
MOST_PASSES = 32
PREVIEW_SHARE = 0.62
"""The preview is drawn at this share of the scale of the practice picture."""

HINTS = (
    ("Enter", "play"),
    ("↑ ↓", "exercise"),
    ("Tab", "setting"),
    ("← →", "change it"),
    ("letters", "filter"),
    ("Esc", "leave"),
    ("F1", "all keys and marks"),
)


@dataclass(frozen=True, slots=True)
class InputChoice:
    """Something to play on."""

    name: str
    """How the program calls it, e.g. the name of a port."""
    words: str
    """How the screen calls it."""
    is_pickup: bool = True
    """Whether it needs a player."""


@dataclass(frozen=True, slots=True)
class Choices:
    """The settings of the next sitting; `quarters_per_minute` None is each line's own tempo."""

    input_name: str = ""
    pace: Pace = Pace.CLICK
    passes: int = 4
    quarters_per_minute: Fraction | None = None
    hear_line: bool = False


SETTINGS = ("input", "pace", "passes", "tempo", "sound")


class HomeScreen:
    """The list.

    `list_inputs()` names what can be played on, pickups first; `play(plan, input)` is the screen to practise on;
    `keep(choices)` is told of every change.
    """

    takes_text = True

    def __init__(
        self,
        exercises: tuple[Exercise, ...],
        *,
        list_inputs: Callable[[], tuple[InputChoice, ...]],
        play: Callable[[RunPlan, InputChoice], Screen],
        choices: Choices | None = None,
        selected: str | None = None,
        keep: Callable[[Choices, str], None] = lambda _choices, _name: None,
        notice: str = "",
    ) -> None:
        self._exercises = exercises
        self._list_inputs = list_inputs
        self._play = play
        self._keep = keep
        self._notice = notice
        self._inputs = list_inputs()
        self._looked_ns: int | None = None
        self._choices = choices or Choices()
        self._setting = 0
        self._filter = ""
        names = [exercise.name for exercise in exercises]
        self._selected = names.index(selected) if selected in names else 0
        self._pictures: dict[tuple[tuple[int, int], str], StandingLine] = {}
        self._painters: dict[float, Painter] = {}

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Look for inputs now and then."""
        if self._looked_ns is None or now_ns - self._looked_ns >= LOOK_FOR_INPUTS_NS:
            self._looked_ns = now_ns
            self._inputs = self._list_inputs()
        return self

    def handle(self, action: Action) -> Screen | None:
        """Do what a key asks for."""
        match action:
            case Typed(text=text):
                self._filter += text
                self._selected = 0
            case Command.ERASE:
                self._filter = self._filter[:-1]
                self._selected = 0
            case Command.UP | Command.DOWN | Command.PREVIOUS_BAR | Command.NEXT_BAR | Command.FIRST | Command.LAST:
                self._move(action)
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                step = 1 if action is Command.NEXT_CHOICE else -1
                self._setting = (self._setting + step) % len(SETTINGS)
            case Command.LEFT | Command.RIGHT:
                self._set(1 if action is Command.RIGHT else -1)
            case Command.CHOOSE:
                return self._begin()
            case Command.KEYS:
                return KeysScreen(self)
            case Command.BACK if self._filter:
                self._filter = ""
                self._selected = 0
            case Command.BACK | Command.QUIT:
                return None
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the list."""
        size = surface.get_size()
        painter = self._painter(unit_of(*size))
        surface.fill(COLOURS[Ink.GROUND])
        row = self._row_rect(size)
        if row is not None:
            surface.fill(
                SHADE, pygame.Rect(row.left_px, row.top_px, row.right_px - row.left_px, row.bottom_px - row.top_px)
            )
        painter.draw(surface, self._glyphs(size))
        preview = self._preview(size)
        if preview is not None:
            preview.draw(surface)

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        fonts = self._painter(unit_of(*size)).fonts
        preview = self._preview(size)
        found = [(glyph.text, glyph.bounds(fonts)) for glyph in self._glyphs(size) if isinstance(glyph, Text)]
        return found + (preview.texts() if preview is not None else [])

    @property
    def shown(self) -> tuple[Exercise, ...]:
        """The exercises that pass the filter: every word of it stands somewhere in title, key, tags or strings."""
        words = self._filter.lower().split()
        return tuple(
            exercise
            for exercise in self._exercises
            if all(
                word in f"{exercise.title} {line_words(exercise)} {' '.join(exercise.tags)}".lower() for word in words
            )
        )

    @property
    def selected(self) -> Exercise | None:
        """The exercise that Enter plays; None when the filter leaves none."""
        return self.shown[self._selected] if self.shown else None

    @property
    def input(self) -> InputChoice:
        """What Enter plays on: the chosen input if it is there, else the first."""
        return next((one for one in self._inputs if one.name == self._choices.input_name), self._inputs[0])

    def _painter(self, unit: float) -> Painter:
        if unit not in self._painters:
            self._painters[unit] = Painter(unit)
        return self._painters[unit]

    def _tempo(self, exercise: Exercise) -> Tempo:
        wanted = self._choices.quarters_per_minute
        return exercise.tempo if wanted is None else Tempo(wanted)

    def _begin(self) -> Screen:
        exercise = self.selected
        if exercise is None:
            return self
        self._keep(replace(self._choices, input_name=self.input.name), exercise.name)
        plan = RunPlan(
            exercise=exercise,
            tempo=self._tempo(exercise),
            pace=self._choices.pace,
            passes=self._choices.passes,
            hear_line=self._choices.hear_line,
        )
        return self._play(plan, self.input)

    def _move(self, command: Command) -> None:
        last = max(0, len(self.shown) - 1)
        steps = {Command.UP: -1, Command.DOWN: 1, Command.PREVIOUS_BAR: -8, Command.NEXT_BAR: 8}
        steps |= {Command.FIRST: -last, Command.LAST: last}
        self._selected = max(0, min(last, self._selected + steps[command]))
        self._choices = replace(self._choices, quarters_per_minute=None)

    def _set(self, step: int) -> None:
        choices = self._choices
        match SETTINGS[self._setting]:
            case "input":
                place = self._inputs.index(self.input)
                self._choices = replace(choices, input_name=self._inputs[(place + step) % len(self._inputs)].name)
            case "pace":
                self._choices = replace(choices, pace=Pace.FREE if choices.pace is Pace.CLICK else Pace.CLICK)
            case "passes":
                self._choices = replace(choices, passes=max(1, min(MOST_PASSES, choices.passes + step)))
            case "tempo" if self.selected is not None:
                wanted = self._tempo(self.selected).quarters_per_minute + step * TEMPO_STEP
                self._choices = replace(choices, quarters_per_minute=max(SLOWEST, min(FASTEST, wanted)))
            case "sound":
                self._choices = replace(choices, hear_line=not choices.hear_line)
            case _:
                pass

    def _setting_words(self) -> tuple[str, ...]:
        choices, exercise = self._choices, self.selected
        passes = "1 pass" if choices.passes == 1 else f"{choices.passes} passes"
        tempo = tempo_words(self._tempo(exercise)) if exercise is not None else ""
        sound = "click and line" if choices.hear_line else "click"
        return self.input.words, PACE_WORDS[choices.pace], passes, tempo, sound

    def _rows(self, size: tuple[int, int]) -> tuple[int, int, float]:
        """First row shown, how many fit, and how high one is."""
        unit = unit_of(*size)
        height_px = 42 * unit
        count = int((size[1] - 440 * unit) // height_px)
        first = max(0, min(self._selected - count // 2, len(self.shown) - count))
        return first, count, height_px

    def _row_rect(self, size: tuple[int, int]) -> Rect | None:
        if not self.shown:
            return None
        unit = unit_of(*size)
        first, _, height_px = self._rows(size)
        top_px = 124 * unit + (self._selected - first) * height_px
        return Rect(32 * unit, top_px, size[0] * 0.5 - 16 * unit, top_px + height_px)

    def _glyphs(self, size: tuple[int, int]) -> list[Glyph]:
        unit = unit_of(*size)
        left_px = 48 * unit
        filter_words = f"filter: {self._filter}" if self._filter else "type to filter"
        ink = Ink.INK if self._filter else Ink.MUTED
        middle_px = size[0] * 0.5
        glyphs: list[Glyph] = [
            Text(left_px, 60 * unit, "Exercises", Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(middle_px - 32 * unit, 64 * unit, filter_words, Size.BODY, ink, Anchor.RIGHT),
            *self._list(size),
            *self._about(size),
            *self._settings(size),
        ]
        for place, words in enumerate(CAUTIONS):
            y_px = size[1] - (112 - 30 * place) * unit
            glyphs.append(Text(left_px, y_px, words, Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return glyphs + key_hints(HINTS, left_px, size[1] - 28 * unit, self._painter(unit))

    def _list(self, size: tuple[int, int]) -> list[Glyph]:
        unit = unit_of(*size)
        fonts = self._painter(unit).fonts
        first, count, height_px = self._rows(size)
        left_px, key_px, right_px = 48 * unit, 380 * unit, size[0] * 0.5 - 32 * unit
        glyphs: list[Glyph] = []
        for place, exercise in enumerate(self.shown[first : first + count]):
            y_px = 124 * unit + (place + 0.5) * height_px
            title = fonts.elided(exercise.title, Size.BODY, key_px - left_px - 20 * unit)
            key = fonts.elided(brief_words(exercise), Size.SMALL, right_px - key_px - 110 * unit)
            glyphs += [
                Text(left_px, y_px, title, Size.BODY, Ink.INK, Anchor.LEFT),
                Text(key_px, y_px, key, Size.SMALL, Ink.MUTED, Anchor.LEFT),
                Text(right_px, y_px, tempo_words(exercise.tempo), Size.SMALL, Ink.MUTED, Anchor.RIGHT),
            ]
        if not self.shown:
            words = "No exercise has all these words. Backspace takes one back."
            glyphs.append(Text(left_px, 146 * unit, words, Size.BODY, Ink.INK, Anchor.LEFT))
        hidden = len(self.shown) - first - count
        if hidden > 0:
            y_px = 124 * unit + (count + 0.5) * height_px
            glyphs.append(Text(left_px, y_px, f"{hidden} more below", Size.SMALL, Ink.MUTED, Anchor.LEFT))
        return glyphs

    def _about(self, size: tuple[int, int]) -> list[Glyph]:
        """Title, what it trains and its words, right of the list."""
        exercise = self.selected
        if exercise is None:
            return []
        unit = unit_of(*size)
        fonts = self._painter(unit).fonts
        x_px, room_px = size[0] * 0.5 + 32 * unit, size[0] * 0.5 - 80 * unit
        title = fonts.elided(exercise.title, Size.HEAD, room_px)
        glyphs: list[Glyph] = [Text(x_px, 64 * unit, title, Size.HEAD, Ink.INK, Anchor.LEFT)]
        lines = [(line, Ink.MUTED) for line in fonts.wrapped(line_words(exercise), Size.SMALL, room_px)[:2]]
        lines += [(line, Ink.INK) for line in fonts.wrapped(exercise.about, Size.SMALL, room_px)[:5]]
        lines += [(fonts.elided(" · ".join(exercise.tags), Size.SMALL, room_px), Ink.MUTED)]
        for place, (line, ink) in enumerate(lines):
            glyphs.append(Text(x_px, (112 + 31 * place) * unit, line, Size.SMALL, ink, Anchor.LEFT))
        return glyphs

    def _settings(self, size: tuple[int, int]) -> list[Glyph]:
        unit = unit_of(*size)
        fonts = self._painter(unit).fonts
        left_px, y_px = 48 * unit, size[1] - 200 * unit
        step_px = (size[0] - 2 * left_px) / (len(SETTINGS) + 1)
        xs_px = [left_px, *(left_px + (place + 2) * step_px for place in range(len(SETTINGS) - 1))]
        glyphs: list[Glyph] = []
        for place, (name, words, x_px) in enumerate(zip(SETTINGS, self._setting_words(), xs_px, strict=True)):
            room_px = step_px * (2 if place == 0 else 1) - 24 * unit
            is_chosen = place == self._setting
            value = fonts.elided(words, Size.BODY, room_px)
            glyphs += [
                Text(x_px, y_px, name, Size.SMALL, Ink.MUTED, Anchor.LEFT),
                Text(x_px, y_px + 36 * unit, value, Size.BODY, Ink.INK, Anchor.LEFT),
            ]
            if is_chosen:
                glyphs.append(Line(x_px, y_px + 58 * unit, x_px + room_px, y_px + 58 * unit, 3 * unit, Ink.NOW))
        notice = self._notice or ("" if any(one.is_pickup for one in self._inputs) else NO_PICKUP)
        if notice:
            words = fonts.elided(notice, Size.BODY, size[0] - 2 * left_px)
            glyphs.append(Text(left_px, y_px - 48 * unit, words, Size.BODY, Ink.NOW, Anchor.LEFT))
        return glyphs

    def _preview(self, size: tuple[int, int]) -> StandingLine | None:
        exercise = self.selected
        if exercise is None:
            return None
        key = (size, exercise.name)
        if key not in self._pictures:
            unit = unit_of(*size)
            area = Rect(size[0] * 0.5 + 32 * unit, 360 * unit, size[0] - 48 * unit, size[1] - 256 * unit)
            painter = self._painter(unit * PREVIEW_SHARE)
            self._pictures[key] = StandingLine(exercise, exercise.tempo, area, painter)
        return self._pictures[key]
