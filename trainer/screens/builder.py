"""The builder: an exercise is put together from rows of choices or written in words, seen and heard at once, and kept.

The same screen varies an exercise that there is: its rows are then changes of it. Whatever is changed is read, composed
and laid out once, when it changes; a frame copies the finished picture and adds the note that sounds.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import pygame

from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.screens.benches import Bench, LineBench
from trainer.screens.builder_painting import MOST_PREVIEWED, Painted, painted, summary_of
from trainer.screens.builder_picture import BuilderView
from trainer.screens.hints import Hint
from trainer.screens.keys import KeysScreen
from trainer.screens.listening import Listening
from trainer.screens.look import worn
from trainer.screens.screen import BUILDER, Action, Command, Pressed, Screen, Scrolled, Typed, target_at
from trainer.tablature.glyphs import Ink, Rect, Text
from trainer.tablature.neck import place_glyphs

MOST_LETTERS, LONGEST_TITLE = 600, 60
MOST_TAKEN_BACK = 200
NOT_KEPT = "This is not kept: Esc again leaves it, F7 keeps it."


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of an exercise that was to be kept."""

    words: str
    """One sentence about it."""
    name: str | None = None
    """What commands call it; None when it was not kept."""


@dataclass(frozen=True, slots=True)
class Doors:
    """Ways out of the builder.

    `play(exercise, builder)` is the screen to play it on, which leads back; `keep(title, file)` keeps the file's text;
    `hear(exercise)` lets it sound and tells when its first beat is heard; `hush()` is silent again.
    """

    play: Callable[[Exercise, Screen], Screen]
    keep: Callable[[str, str], Kept]
    hear: Callable[[Exercise], int]
    hush: Callable[[], None]
    sound_status: Callable[[], str]
    leave: Callable[[], Screen]


class BuilderScreen:
    """Builds one exercise."""

    takes_text = True

    def __init__(self, bench: Bench, doors: Doors) -> None:
        self._benches = [bench]
        self._doors = doors
        self._row = 0
        self._cursor: int | None = None
        self._naming: str | None = None
        self._told = ""
        self._kept: tuple[Bench, str, str] | None = None
        self._page = 0
        self._listening = Listening(doors.hear, doors.hush)
        self._painted: Painted | None = None

    @property
    def bench(self) -> Bench:
        """What is being made, as it is now."""
        return self._benches[-1]

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Follow what sounds; at its end be silent."""
        was_on = self._listening.is_on
        self._listening.advance(now_ns)
        if was_on and not self._listening.is_on:
            self._told, self._painted = "", None
        return self

    def handle(self, action: Action) -> Screen | None:
        """Do what a key or the mouse asks for."""
        if action is Command.QUIT:
            self._hush()
            return None
        if self._naming is not None:
            self._name(action)
            return self
        if isinstance(action, Pressed):
            return self._press(action)
        if isinstance(action, Scrolled):
            self._move(1 if action.lines > 0 else -1)
        elif isinstance(action, Typed):
            self._write(action.text)
        else:
            return self._do(action)
        return self

    def _do(self, command: Command) -> Screen | None:
        match command:
            case Command.CHOOSE:
                return self._play()
            case Command.BACK:
                return self._leave()
            case Command.KEYS:
                return KeysScreen(self, place=BUILDER)
            case Command.LISTEN:
                self._listen()
            case Command.KEEP:
                self._ask_name()
            case Command.UNDO:
                self._take_back()
            case Command.NEXT_BAR | Command.PREVIOUS_BAR:
                self._page = max(0, self._page + (1 if command is Command.NEXT_BAR else -1))
                self._painted = None
            case Command.BUILD:
                self._as_line()
            case _ if self._cursor is not None:
                self._edit(command)
            case _:
                self._pick(command)
        return self

    def _pick(self, command: Command) -> None:
        """The keys of the rows."""
        match command:
            case Command.UP | Command.PREVIOUS_CHOICE:
                self._move(-1)
            case Command.DOWN | Command.NEXT_CHOICE:
                self._move(1)
            case Command.LEFT | Command.RIGHT:
                pick = self.bench.rows[self._row].stepped(1 if command is Command.RIGHT else -1)
                if pick is not None:
                    self._change(self.bench.with_pick(self._row, pick))
            case Command.ERASE:
                self._write("")
                self._edit(Command.ERASE)
            case _:
                pass

    def _move(self, step: int) -> None:
        """Another row; before the first one lies the text, where there is one to write."""
        row = self._row + step if self._cursor is None else (0 if step > 0 else -1)
        if row < 0 and self._cursor is None and isinstance(self.bench, LineBench):
            self._cursor = len(self.bench.text)
        else:
            self._cursor = None
            self._row = max(0, min(len(self.bench.rows) - 1, row))
        self._painted = None

    def _edit(self, command: Command) -> None:
        """The keys of the text."""
        text, cursor = self.bench.text, self._cursor
        if cursor is None:
            return
        match command:
            case Command.LEFT | Command.RIGHT:
                cursor += 1 if command is Command.RIGHT else -1
            case Command.FIRST | Command.LAST:
                cursor = 0 if command is Command.FIRST else len(text)
            case Command.ERASE if cursor > 0:
                text, cursor = text[: cursor - 1] + text[cursor:], cursor - 1
            case Command.ERASE_NEXT:
                text = text[:cursor] + text[cursor + 1 :]
            case Command.DOWN | Command.NEXT_CHOICE | Command.UP | Command.PREVIOUS_CHOICE:
                self._move(-1 if command is Command.PREVIOUS_CHOICE else 1)
                return
            case _:
                pass
        self._cursor = max(0, min(len(text), cursor))
        self._rewrite(text)

    def _write(self, letters: str) -> None:
        """Letters go into the text, wherever the keys were; a variation becomes a line of its own words by it."""
        if self._cursor is None:
            self._as_line()
            if not isinstance(self.bench, LineBench):
                return
            self._cursor = len(self.bench.text)
        text, cursor = self.bench.text, self._cursor
        if len(text) + len(letters) <= MOST_LETTERS:
            self._cursor = cursor + len(letters)
            self._rewrite(text[:cursor] + letters + text[cursor:])

    def _rewrite(self, text: str) -> None:
        bench = self.bench
        self._painted = None
        if isinstance(bench, LineBench) and text != bench.text:
            self._change(bench.with_text(text))

    def _as_line(self) -> None:
        """Go on in words with what is being varied."""
        bench = self.bench
        if not isinstance(bench, LineBench):
            line = bench.as_line()
            if line is None:
                self._told = "This exercise lists its notes one by one and has no line of words."
            else:
                self._row = 0
                self._change(line)
        self._painted = None

    def _change(self, bench: Bench) -> None:
        self._hush()
        self._benches = [*self._benches[-MOST_TAKEN_BACK:], bench]
        self._told, self._page, self._painted = "", 0, None

    def _take_back(self) -> None:
        if len(self._benches) > 1:
            self._hush()
            self._benches.pop()
            self._row = min(self._row, len(self.bench.rows) - 1)
            can_write = isinstance(self.bench, LineBench)
            self._cursor = min(self._cursor, len(self.bench.text)) if self._cursor is not None and can_write else None
        self._told, self._painted = "", None

    def _playable(self) -> Exercise | None:
        """What would be played: under the name that it was kept by, if it was."""
        exercise = self.bench.exercise
        if exercise is None:
            self._told = "This cannot be played yet."
            return None
        if self._kept is not None and self._kept[0] == self.bench:
            return replace(exercise, name=self._kept[1], title=self._kept[2])
        return exercise

    def _play(self) -> Screen:
        self._hush()
        exercise = self._playable()
        self._painted = None
        return self if exercise is None else self._doors.play(exercise, self)

    def _leave(self) -> Screen:
        self._hush()
        is_kept = self._kept is not None and self._kept[0] == self.bench
        if len(self._benches) > 1 and not is_kept and self._told != NOT_KEPT:
            self._told, self._painted = NOT_KEPT, None
            return self
        return self._doors.leave()

    def _listen(self) -> None:
        if self._listening.is_on:
            self._hush()
            return
        exercise = self._playable()
        if exercise is not None:
            self._listening.start(exercise)
            self._told = self._doors.sound_status()
        self._painted = None

    def _hush(self) -> None:
        if self._listening.is_on:
            self._listening.stop()
            self._told, self._painted = "", None

    def _ask_name(self) -> None:
        self._hush()
        if self._playable() is not None:
            self._naming, self._told = self.bench.suggested_title[:LONGEST_TITLE], ""
        self._painted = None

    def _name(self, action: Action) -> None:
        """The keys while a title is asked for."""
        name = self._naming or ""
        pressed = self._pressed_hint(action) if isinstance(action, Pressed) else None
        self._painted = None
        match action:
            case Typed(text=text):
                self._naming = (name + text)[:LONGEST_TITLE]
            case Command.ERASE:
                self._naming = name[:-1]
            case Command.BACK:
                self._naming, self._told = None, ""
            case Command.CHOOSE | Command.KEEP:
                title = " ".join(name.split())
                kept = self._doors.keep(title, self.bench.file_text(title))
                self._told = kept.words
                if kept.name is not None:
                    self._kept, self._naming = (self.bench, kept.name, title), None
            case Pressed() if pressed is not None:
                self._name(pressed)
            case _:
                pass

    def _press(self, pressed: Pressed) -> Screen | None:
        """What the mouse points at: a hint, the text, a choice, an arrow, or a row."""
        hint = self._pressed_hint(pressed)
        if hint is not None:
            return self.handle(hint)
        if self._painted is None:
            return self
        picture, view, spot = self._painted.picture, self.view(), (pressed.x_px, pressed.y_px)
        if picture.text_box.holds(*spot):
            if isinstance(self.bench, LineBench):
                self._cursor, self._painted = picture.column_at(view, *spot), None
            return self
        for number, area in picture.choice_targets(view):
            if area.holds(*spot):
                self._change(self.bench.with_pick(self._row, view.rows[self._row].picks[number]))
                return self
        for row, step, area in picture.row_targets(view):
            if area.holds(*spot):
                self._row, self._cursor, self._painted = row, None, None
                if step:
                    self._pick(Command.RIGHT if step > 0 else Command.LEFT)
                return self
        return self

    def _pressed_hint(self, pressed: Pressed) -> Action | None:
        return None if self._painted is None else target_at(self._painted.picture.hint_targets(self.view()), pressed)

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - what sounds was followed by `update`
        """Copy the picture and point out the note that sounds."""
        made = self._paint(surface.get_size())
        index = self._listening.index
        is_seen = index is not None and index < MOST_PREVIEWED
        if index is not None and is_seen and made.line.page_of(index) != self._page:
            self._page, self._painted = made.line.page_of(index), None
            made = self._paint(surface.get_size())
        surface.blit(made.surface, (0, 0))
        if index is not None and is_seen:
            made.line.draw(surface, self._page, index)
            note = self.bench.shown.notes[index]
            place = made.picture.neck_place(self.bench.shown)
            made.painter.draw(surface, place_glyphs(note.location, place, Ink.NOW))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        made = self._paint(size)
        glyphs = [*made.picture.glyphs(self.view()), *made.picture.neck(self.bench.shown)]
        found = [(glyph.text, glyph.bounds(made.painter.fonts)) for glyph in glyphs if isinstance(glyph, Text)]
        return found + made.line.texts(self._page)

    def view(self) -> BuilderView:
        """What is shown."""
        bench = self.bench
        return BuilderView(
            caption=bench.caption,
            text=bench.text,
            cursor=self._cursor,
            problems=bench.problems,
            marked=bench.clause_of(self._row),
            rows=bench.rows,
            groups=bench.groups,
            row=None if self._cursor is not None else self._row,
            open_row=self._row,
            summary=("" if bench.exercise else "as it last was: ") + summary_of(bench.shown),
            told=self._told,
            naming=self._naming,
            hints=self._hints(),
        )

    def _hints(self) -> tuple[Hint, ...]:
        if self._naming is not None:
            return ("Enter", "keep it", Command.CHOOSE), ("Esc", "go on building", Command.BACK)
        hear = "stop" if self._listening.is_on else "hear"
        keys = (
            (("↑ ↓", "row", None), ("← →", "choice", None)) if self._cursor is None else (("↓", "to the rows", None),)
        )
        words = () if isinstance(self.bench, LineBench) else (("F4", "go on in words", Command.BUILD),)
        return (
            ("Enter", "play", Command.CHOOSE),
            ("F3", hear, Command.LISTEN),
            ("F7", "keep", Command.KEEP),
            ("Ctrl Z", "take back", Command.UNDO),
            *keys,
            *words,
            ("Page ↓ ↑", "tablature", Command.NEXT_BAR),
            ("Esc", "list", Command.BACK),
            ("F1", "all keys", Command.KEYS),
        )

    def _paint(self, size: tuple[int, int]) -> Painted:
        if self._painted is None or self._painted.surface.get_size() != size or self._painted.look is not worn():
            self._painted = painted(size, self.view(), self.bench.shown, self._page)
            self._page = min(self._page, self._painted.line.pages - 1)
        return self._painted
