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
from trainer.screens.home_picture import HomePicture, HomeView
from trainer.screens.keys import KeysScreen
from trainer.screens.look import COLOURS, SHADE
from trainer.screens.paint import Painter
from trainer.screens.screen import Action, Command, Screen, Typed
from trainer.screens.standing_line import StandingLine
from trainer.screens.words import PACE_WORDS, line_words, tempo_words
from trainer.tablature.glyphs import Ink, Rect, Text
from trainer.tablature.layout import unit_of

NO_PICKUP = "No pickup found: Enter plays with the simulated player."
LOOK_FOR_INPUTS_NS = 2_000_000_000
"""The ports are looked through again after this time, so that a pickup plugged in later is found."""
TEMPO_STEP = Fraction(4)
SLOWEST, FASTEST = Fraction(20), Fraction(400)
MOST_PASSES = 32
PREVIEW_SHARE = 0.62
"""The preview is drawn at this share of the scale of the practice picture."""


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
    `keep(choices)` is told of every change; `set_up(input)` is the screen that learns what a pickup sends.
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
        set_up: Callable[[InputChoice], Screen] | None = None,
        notice: str = "",
    ) -> None:
        self._exercises = exercises
        self._list_inputs = list_inputs
        self._play = play
        self._keep = keep
        self._set_up = set_up
        self._notice = notice
        self._inputs = list_inputs()
        self._looked_ns: int | None = None
        self._choices = choices or Choices()
        self._setting = 0
        self._filter = ""
        names = [exercise.name for exercise in exercises]
        self._selected = names.index(selected) if selected in names else 0
        self._painted: dict[tuple[int, int], tuple[Painter, HomePicture]] = {}
        self._previews: dict[str, StandingLine] = {}

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
            case Command.SET_UP if self._set_up is not None:
                return self._set_up(self.input)
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
        painter, picture = self._parts(size)
        view = self.view()
        surface.fill(COLOURS[Ink.GROUND])
        row = picture.row(view)
        if row is not None:
            surface.fill(SHADE, (row.left_px, row.top_px, row.right_px - row.left_px, row.bottom_px - row.top_px))
        painter.draw(surface, picture.glyphs(view))
        preview = self._preview(size)
        if preview is not None:
            preview.draw(surface)

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter, picture = self._parts(size)
        glyphs = picture.glyphs(self.view())
        found = [(glyph.text, glyph.bounds(painter.fonts)) for glyph in glyphs if isinstance(glyph, Text)]
        preview = self._preview(size)
        return found + (preview.texts() if preview is not None else [])

    def view(self) -> HomeView:
        """What the list shows."""
        is_alone = not any(one.is_pickup for one in self._inputs)
        return HomeView(
            shown=self.shown,
            selected=self._selected,
            filter=self._filter,
            settings=tuple(zip(SETTINGS, self._setting_words(), strict=True)),
            setting=self._setting,
            notice=self._notice or (NO_PICKUP if is_alone else ""),
        )

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

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, HomePicture]:
        if size not in self._painted:
            painter = Painter(unit_of(*size))
            self._painted = {size: (painter, HomePicture(size, painter.fonts))}
            self._previews.clear()
        return self._painted[size]

    def _preview(self, size: tuple[int, int]) -> StandingLine | None:
        exercise = self.selected
        if exercise is None:
            return None
        _, picture = self._parts(size)
        if exercise.name not in self._previews:
            painter = Painter(unit_of(*size) * PREVIEW_SHARE)
            area = picture.preview_area(exercise)
            self._previews[exercise.name] = StandingLine(exercise, exercise.tempo, area, painter)
        return self._previews[exercise.name]

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
