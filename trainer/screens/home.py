"""The list of exercises: find a line, hear it, choose how to play it and what on, and begin.

What the list shows is `home_list`, how it looks `home_picture`; here is what keys and mouse do.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Protocol

import pygame

from trainer.playing.messages import StampedMessage
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.screens.choices import SETTINGS, Choices, InputChoice
from trainer.screens.home_list import FILTERS, ExerciseList, Known
from trainer.screens.home_now import Ahead
from trainer.screens.home_picture import HomePicture, HomeView
from trainer.screens.home_settings import SittingSettings
from trainer.screens.keys import KeysScreen
from trainer.screens.listening import Listening
from trainer.screens.look import colour
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import LIST, Action, Command, Pressed, Screen, Scrolled, Typed, target_at
from trainer.screens.standing_line import StandingLine
from trainer.screens.twin_table import Comparison
from trainer.tablature.figures import TakeFigures
from trainer.tablature.glyphs import Ink, Rect
from trainer.tablature.layout import unit_of

NO_PICKUP = "No pickup found: Enter plays with the simulated player."
PREVIEW_SHARE = 0.62
"""The preview is drawn at this share of the scale of the practice picture."""


FIRST_SETTING = len(FILTERS)
LEADING = {Command.CHOOSE, Command.SET_UP, Command.BUILD, Command.VARY, Command.TEMPO, Command.KEYS, Command.GO_ON}
"""Filters and settings are one row of things to choose; the settings come behind the filters."""
NO_TWINS = "This exercise has no twins yet: F5 makes one."


@dataclass(frozen=True, slots=True)
class Workshop:
    """What can be done with an exercise besides playing it.

    `build(exercise)` and `vary(exercise)` are screens; `hear(exercise)` lets it sound and tells when its first beat is
    heard, `hush()` is silent again; `figures(name)` judges the last take, `played()` names the exercises played.
    """

    build: Callable[[Exercise], Screen]
    vary: Callable[[Exercise], Screen]
    hear: Callable[[Exercise], int]
    hush: Callable[[], None]
    figures: Callable[[str], TakeFigures | None]
    played: Callable[[], frozenset[str]]


class Doorstep(Protocol):
    """What to do now; see `trainer.doorstep`."""

    def ahead(self, chosen: InputChoice) -> tuple[Ahead, ...]:
        """To be shown, on this input."""
        ...

    def plan(self, chosen: InputChoice, settings: Choices) -> RunPlan | None:
        """How the line is played that one would go on with."""
        ...


class HomeScreen:
    """The list.

    `list_inputs()` names what can be played on, pickups first; `play(plan, input)` is the screen to practise on;
    `keep(choices)` is told of every change; `set_up(input)` is the screen that learns what a pickup sends;
    `find_tempo(plan, input)` is the screen that finds a working tempo, beginning at the plan's; `rooms` are others;
    `doorstep` says what to do now; `more()` is what is known of the library when that has grown.
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
        workshop: Workshop | None = None,
        find_tempo: Callable[[RunPlan, InputChoice], Screen] | None = None,
        rooms: Mapping[Command, Callable[[], Screen]] | None = None,
        doorstep: Doorstep | None = None,
        more: Callable[[], Known | None] = lambda: None,
        notice: str = "",
    ) -> None:
        self._list = ExerciseList(exercises, workshop.played if workshop else frozenset)
        self._workshop = workshop
        self._find_tempo = find_tempo
        self._rooms = rooms or {}
        self._comparison: Comparison | None = None
        self._listening = Listening(workshop.hear, workshop.hush) if workshop else None
        self._play = play
        self._doorstep = doorstep
        self._more = more
        self._ahead: tuple[Ahead, ...] = ()
        self._keep = keep
        self._set_up = set_up
        self._notice = notice
        self._settings = SittingSettings(choices or Choices(), list_inputs)
        self._setting = FIRST_SETTING
        self._selected = 0
        self._select(selected)
        self._painter = PagePainter()
        self._painted: tuple[Painter, HomePicture] | None = None
        self._previews: dict[tuple[str, Rect], StandingLine] = {}

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Look for inputs now and then, judge one take of those compared, and end what has sounded."""
        if self._comparison is not None:
            self._comparison.go_on()
        if self._listening is not None:
            self._listening.advance(now_ns)
        self._settings.advance(now_ns)
        known = self._more()
        if known is not None:
            self._take_in(known)
        if self._doorstep is not None:
            self._ahead = self._doorstep.ahead(self.input)
        return self

    def handle(self, action: Action) -> Screen | None:
        """Do what a key or the mouse asks for."""
        if action is not Command.LISTEN and self._listening is not None:
            self._listening.stop()
        match action:
            case Typed(text=text):
                self._search(self._list.typed + text)
            case Pressed():
                return self._press(action)
            case Scrolled(lines=lines):
                self._move(Command.DOWN if lines > 0 else Command.UP)
            case Command() if action in LEADING or action in self._rooms:
                return self._go(action)
            case Command.BACK if self._let_go():
                pass
            case Command.BACK | Command.QUIT:
                return None
            case _:
                self._do(action)
        return self

    def _go(self, command: Command) -> Screen:
        """Where a key leads to."""
        exercise, workshop = self.selected, self._workshop
        match command:
            case Command.CHOOSE:
                return self._begin(self._play)
            case Command.GO_ON:
                return self._go_on()
            case Command.TEMPO if self._find_tempo is not None:
                return self._begin(self._find_tempo)
            case Command.SET_UP if self._set_up is not None:
                return self._set_up(self.input)
            case Command.KEYS:
                return KeysScreen(self, place=LIST, tour=self._rooms.get(Command.TOUR))
            case Command.BUILD | Command.VARY if workshop is not None and exercise is not None:
                self._keep(self._settings.to_keep, exercise.name)
                return workshop.build(exercise) if command is Command.BUILD else workshop.vary(exercise)
            case _ if command in self._rooms:
                if exercise is not None:
                    self._keep(self._settings.to_keep, exercise.name)
                return self._rooms[command]()
            case _:
                return self

    def _do(self, command: Command) -> None:
        """What a key changes here."""
        match command:
            case Command.ERASE:
                self._search(self._list.typed[:-1])
            case Command.UP | Command.DOWN | Command.PREVIOUS_BAR | Command.NEXT_BAR | Command.FIRST | Command.LAST:
                self._move(command)
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                step = 1 if command is Command.NEXT_CHOICE else -1
                self._setting = (self._setting + step) % (FIRST_SETTING + len(SETTINGS))
            case Command.LEFT | Command.RIGHT:
                self._set(1 if command is Command.RIGHT else -1)
            case Command.LISTEN:
                self._listen()
            case Command.TWINS:
                self._compare()
            case _:
                pass

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - nothing moves here
        """Paint the list."""
        size = surface.get_size()
        painter, picture = self._parts(size)
        view = self.view()
        surface.fill(colour(Ink.GROUND))
        row = picture.row(view)
        fields = [target.area for target in picture.strip_targets(view)]
        for area in fields if row is None else [*fields, row]:
            place = (area.left_px, area.top_px, area.right_px - area.left_px, area.bottom_px - area.top_px)
            surface.fill(colour(Ink.CHOSEN), place)
        painter.draw(surface, picture.glyphs(view))
        preview = self._preview(size)
        if preview is not None:
            index = self._listening.index if self._listening else None
            preview.draw(surface, 0 if index is None else preview.page_of(index), index)

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter, picture = self._parts(size)
        glyphs = picture.glyphs(self.view())
        found = texts_of(glyphs, painter.fonts)
        preview = self._preview(size)
        return found + (preview.texts() if preview is not None else [])

    def view(self) -> HomeView:
        """What the list shows."""
        return HomeView(
            shown=self.shown,
            headings=self._list.headings,
            selected=self._selected,
            filter=self._list.typed,
            filters=tuple(self._list.words(name) for name in FILTERS),
            chosen_filter=self._setting if self._setting < FIRST_SETTING else None,
            plain_filters=frozenset(n for n, name in enumerate(FILTERS) if not self._list.choices.get(name, 0)),
            settings=tuple(zip(SETTINGS, self._settings.words(self.selected), strict=True)),
            setting=self._setting - FIRST_SETTING if self._setting >= FIRST_SETTING else None,
            notice=self._notice or (NO_PICKUP if self._settings.is_alone else ""),
            twins=tuple(twin.title for twin in self._twins),
            comparison=self._comparison,
            ahead=self._ahead,
        )

    @property
    def _twins(self) -> tuple[Exercise, ...]:
        exercise = self.selected
        return () if exercise is None else self._list.twins(exercise)

    @property
    def shown(self) -> tuple[Exercise, ...]:
        """The exercises that pass the filters, in order."""
        return self._list.shown

    @property
    def selected(self) -> Exercise | None:
        """The exercise that Enter plays; None when the filter leaves none."""
        return self.shown[self._selected] if self.shown else None

    @property
    def input(self) -> InputChoice:
        """What Enter plays on."""
        return self._settings.input

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, HomePicture]:
        painter = self._painter.of(size)
        if self._painted is None or self._painted[0] is not painter:
            self._painted = (painter, HomePicture(size, painter.fonts))
            self._previews.clear()
        return self._painted

    def _preview(self, size: tuple[int, int]) -> StandingLine | None:
        exercise = self.selected
        if exercise is None:
            return None
        _, picture = self._parts(size)
        area = picture.preview_area(self.view())
        if (exercise.name, area) not in self._previews:
            painter = Painter(unit_of(*size) * PREVIEW_SHARE)
            self._previews[exercise.name, area] = StandingLine(exercise, exercise.tempo, area, painter)
        preview = self._previews[exercise.name, area]
        return preview if preview.height_px <= area.bottom_px - area.top_px else None

    def _begin(self, play: Callable[[RunPlan, InputChoice], Screen]) -> Screen:
        exercise = self.selected
        if exercise is None:
            return self
        self._keep(self._settings.to_keep, exercise.name)
        return play(self._settings.plan(exercise), self.input)

    def _go_on(self) -> Screen:
        """Play what the strip at the top offers."""
        plan = None if self._doorstep is None else self._doorstep.plan(self.input, self._settings.choices)
        if plan is None:
            return self
        self._settings.own_tempo()
        self._keep(self._settings.to_keep, plan.exercise.name)
        return self._play(plan, self.input)

    def _take_in(self, known: Known) -> None:
        """More of the exercises have been read; what was pointed to stays so."""
        kept = self.selected
        self._notice = self._notice or known.complaint
        self._list.take_in(known.exercises)
        self._select(None if kept is None else kept.name)

    def _select(self, name: str | None) -> None:
        """Point to an exercise by its name, or to the first."""
        names = [exercise.name for exercise in self.shown]
        self._selected = names.index(name) if name in names else 0

    def _search(self, typed: str) -> None:
        self._list.search(typed)
        self._selected = 0

    def _let_go(self) -> bool:
        """Widen the list by one step; whether it was narrowed."""
        kept, was_narrowed = self.selected, self._list.clear()
        if was_narrowed:
            self._comparison = None if self._list.family_of is None else self._comparison
            self._select(None if kept is None else kept.name)
        return was_narrowed

    def _compare(self) -> None:
        """Only the selected line and its twins, side by side; again: the whole list."""
        exercise, twins = self.selected, self._twins
        if self._list.family_of is not None:
            self._list.only_family_of(None)
            self._comparison = None
        elif exercise is None or not twins or self._workshop is None:
            self._notice = NO_TWINS
            return
        else:
            self._list.search("")
            self._list.choices = {"order": self._list.choices.get("order", 0)}
            self._list.only_family_of(exercise)
            self._comparison = Comparison(self.shown, self._workshop.figures)
        self._select(None if exercise is None else exercise.name)

    def _listen(self) -> None:
        if self._listening is None or self.selected is None:
            return
        if self._listening.is_on:
            self._listening.stop()
        else:
            self._listening.start(replace(self.selected, tempo=self._settings.tempo(self.selected)))

    def _press(self, pressed: Pressed) -> Screen | None:
        """What the mouse points at: a hint, a line of the list or of the twins, a filter or a setting."""
        if not self._painted:
            return self
        picture, view = self._painted[1], self.view()
        hint = target_at((*picture.strip_targets(view), *picture.hint_targets(view)), pressed)
        if hint is not None:
            return self.handle(hint)
        for place, area in picture.row_targets(view):
            if area.holds(pressed.x_px, pressed.y_px):
                self._point_to(place)
        for name, area in picture.twin_targets(view):
            if area.holds(pressed.x_px, pressed.y_px):
                self._select(name)
        settings = [(FIRST_SETTING + number, area) for number, area in picture.setting_targets()]
        for number, area in (*picture.filter_targets(view), *settings):
            if area.holds(pressed.x_px, pressed.y_px):
                is_left = pressed.x_px < area.left_px + (area.right_px - area.left_px) * 0.12
                if number == self._setting:
                    self._set(-1 if is_left else 1)
                self._setting = number
        return self

    def _point_to(self, place: int) -> None:
        self._selected = place
        self._settings.own_tempo()

    def _move(self, command: Command) -> None:
        last = max(0, len(self.shown) - 1)
        steps = {Command.UP: -1, Command.DOWN: 1, Command.PREVIOUS_BAR: -8, Command.NEXT_BAR: 8}
        steps |= {Command.FIRST: -last, Command.LAST: last}
        self._point_to(max(0, min(last, self._selected + steps[command])))

    def _set(self, step: int) -> None:
        if self._setting < FIRST_SETTING:
            kept = self.selected
            self._list.step(FILTERS[self._setting], step)
            self._select(None if kept is None else kept.name)
        else:
            self._settings.step(self._setting - FIRST_SETTING, step, self.selected)
