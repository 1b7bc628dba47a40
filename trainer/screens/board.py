"""The board: whatever is played stands on neck and staff at once, for a class or for oneself, without a line to follow.

It is live, or it stands: then what was played is a line that is stepped through, heard slowly and again and again, and
handed out. Hearing goes on while it stands, and what was played meanwhile is there when it is live again. Places can be
pointed at and ringed at any time.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

import pygame

from trainer.capture.free_play import Board, FreePlay, fingers_of
from trainer.capture.stepping import SteppedPhrase
from trainer.capture.writing import Writing
from trainer.playing.messages import StampedMessage
from trainer.run import ON_ITS_WAY_NS
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.screens.board_doors import BoardDoors
from trainer.screens.board_keys import live_hints, standing_hints, standing_words
from trainer.screens.board_neck import Label, NeckView
from trainer.screens.board_picture import BoardPicture, BoardView, largest_cap_px
from trainer.screens.board_pointing import Pointing
from trainer.screens.keys import KeysScreen
from trainer.screens.listening import Listening
from trainer.screens.look import colour, worn
from trainer.screens.paint import Fonts, Painter, copy
from trainer.screens.room_size import Room
from trainer.screens.screen import BOARD, BOARD_STANDING, Action, Command, Pressed, Screen, Scrolled, target_at
from trainer.screens.shapes import Placed
from trainer.tablature.glyphs import Ink, Rect, Size, Text
from trainer.tablature.layout import NeckPlace, unit_of
from trainer.theory.fretboard import Location

SLOWEST_PERCENT, FASTEST_PERCENT, PERCENT_STEP = 30, 120, 10
"""How fast a phrase is heard, beside how fast it was played."""
AWAY_NS = 500_000_000
"""After so long without a frame another screen was shown, and what ended meanwhile was not heard."""
POINTING = {Command.UP, Command.DOWN, Command.LEFT, Command.RIGHT, Command.CHOOSE}
SHOWN = "The second input stands on the neck in frames."
NO_SECOND = "There is no second input: I chooses it."
LONGEST_HEARD_NS = 300_000_000_000
"""A phrase that is heard again and again stops by itself after this time."""


class BoardScreen:
    """See the head of the file."""

    takes_text = False

    def __init__(self, ear: FreePlay, doors: BoardDoors, *, room: Room) -> None:
        self._ear, self._doors, self._room = ear, doors, room
        self._label, self._hides_frets = Label.DEGREE, False
        self._notice = ""
        self._second: FreePlay | None = None
        """Hears the second input while it is shown as well."""
        self._updated_ns: int | None = None
        self._standing: SteppedPhrase | None = None
        self._writing: tuple[Writing, Board, Callable[[Exercise], Screen]] | None = None
        """What is being written down, what is shown meanwhile, and what follows."""
        self._percent, self._is_looped = 100, False
        self._pointing = Pointing()
        self._listening = Listening(lambda line: doors.hear(line, self._rounds(line)), doors.hush)
        self._fingered: tuple[Board, Mapping[int, int]] | None = None
        self._made: tuple[object, Painter, Painter, BoardPicture] | None = None
        self._placed: tuple[BoardView, BoardPicture, list[Placed]] | None = None
        """What was painted last; painted again as it is while nothing changes."""

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:
        """Hear what arrived, and follow what sounds."""
        if self._updated_ns is not None and now_ns - self._updated_ns > AWAY_NS:
            for ear in filter(None, (self._ear, self._second)):
                ear.silence()
        self._updated_ns = now_ns
        for message in messages:
            self._ear.feed(message)
            if self._standing is None:
                self._notice = ""
        self._ear.advance(now_ns - ON_ITS_WAY_NS)
        if self._second is not None:
            for message in self._doors.aside():
                self._second.feed(message)
            self._second.advance(now_ns - ON_ITS_WAY_NS)
        self._listening.advance(now_ns)
        if self._standing is not None and self._listening.index is not None:
            self._standing = self._standing.at_note(self._listening.index)
        return self._written()

    def handle(self, action: Action) -> Screen | None:
        """Change what is shown, point, let it stand or go on, or leave."""
        match action:
            case Pressed():
                return self._press(action)
            case Command.KEYS:
                return KeysScreen(self, place=BOARD if self._standing is None else BOARD_STANDING)
            case Command.BACKING:
                self._listening.stop()
                self._second = None  # it may be another one afterwards
                return self._doors.call(self)
            case Command.CHOOSE if not self._pointing.is_on:
                return self._with_line(self._doors.build)
            case Command.BESIDE:
                return self._with_line(lambda line: self._doors.beside(line, self))
            case Command.BACK if self._pointing.is_on or self._standing is not None or self._writing is not None:
                self._pointing.is_on = False
                self._go_on()
            case Command.BACK | Command.QUIT:
                self._listening.stop()
                return self._doors.leave() if action is Command.BACK else None
            case Scrolled(lines=lines) if self._standing is not None:
                self._step(lines)
            case Command():
                self._notice = ""
                self._do(action)
            case _:
                pass
        return self

    def _do(self, command: Command) -> None:
        """What a key changes here, whether the board is live or stands."""
        match command:
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                self._label = self._label.following
            case Command.MARKS:
                self._hides_frets = not self._hides_frets
            case Command.PACE:
                self._pointing.is_on = not self._pointing.is_on
            case _ if self._pointing.is_on and command in POINTING:
                self._point(command)
            case Command.PAUSE:
                self._go_on() if self._standing is not None or self._writing is not None else self._stand()
            case Command.RESTART:
                self._go_on()
                self._ear.clear()
                self._pointing.clear()
                if self._second is not None:
                    self._second.clear()
            case Command.KEEP:
                self._with_line(self._hand_out)
            case Command.SECOND_INPUT:
                self._notice, self._second = self._doors.next_second(), None
            case Command.NEXT:
                self._show_second()
            case _ if self._standing is None:
                self._do_live(command)
            case _:
                self._do_standing(command)

    def _point(self, command: Command) -> None:
        """Point elsewhere, or ring what is pointed at."""
        if command is Command.CHOOSE:
            self._ring(self._pointing.place)
        else:
            strings = len(self._ear.tuning.open_pitches)
            self._pointing.move(command, strings, self._neck_frets, is_mirrored=worn().is_left_handed)

    def _show_second(self) -> None:
        """Show what the second input plays as well, or hide it again."""
        was_shown = self._second is not None
        self._second = None if was_shown else self._doors.second_ear()
        if not was_shown:
            self._notice = NO_SECOND if self._second is None else SHOWN

    def _do_live(self, command: Command) -> None:
        match command:
            case Command.LOOP:
                self._ear.hold_key()
            case Command.FASTER | Command.SLOWER:
                self._resize(self._room.moved(rows=1 if command is Command.FASTER else -1))
            case Command.UP | Command.DOWN:
                self._resize(self._room.moved(larger=1 if command is Command.UP else -1))
            case _:
                pass

    def _do_standing(self, command: Command) -> None:
        match command:
            case Command.LEFT | Command.RIGHT:
                self._step(1 if command is Command.RIGHT else -1)
            case Command.FIRST | Command.LAST:
                self._step(-len(self._stood.onsets) if command is Command.FIRST else len(self._stood.onsets))
            case Command.LISTEN:
                self._listening.stop() if self._listening.is_on else self._sound()
            case Command.LOOP:
                self._is_looped = not self._is_looped
                self._sound_anew()
            case Command.FASTER | Command.SLOWER:
                step = PERCENT_STEP if command is Command.FASTER else -PERCENT_STEP
                self._percent = max(SLOWEST_PERCENT, min(FASTEST_PERCENT, self._percent + step))
                self._sound_anew()
            case _:
                pass

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - it moves with what arrives
        """Paint the board."""
        small, large, picture = self._parts(surface.get_size())
        mouse = self._doors.mouse()
        view = self.view()
        if self._pointing.mouse_at(mouse, picture.neck.location_at(mouse[0], mouse[1], view.neck)):
            view = self.view()
        surface.fill(colour(Ink.GROUND))
        if self._placed is None or self._placed[:2] != (view, picture):
            glyphs = picture.for_room(view), picture.for_teacher(view)
            self._placed = view, picture, [*large.placed(glyphs[0]), *small.placed(glyphs[1])]
        copy(surface, self._placed[2])

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        small, large, picture = self._parts(size)
        glyphs = [
            *((glyph, large) for glyph in picture.for_room(self.view())),
            *((glyph, small) for glyph in picture.for_teacher(self.view())),
        ]
        return [(glyph.text, glyph.bounds(painter.fonts)) for glyph, painter in glyphs if isinstance(glyph, Text)]

    def fonts(self, size: tuple[int, int]) -> Fonts:
        """What the foot is set in."""
        return self._parts(size)[0].fonts

    def neck(self, size: tuple[int, int]) -> NeckPlace:
        """Where strings and frets lie."""
        return self._parts(size)[2].neck.place(self.view().neck)

    def view(self) -> BoardView:
        """What is shown now."""
        standing = self._standing
        board = self._ear.board() if standing is None else standing.board()
        if self._writing is not None:
            board = self._writing[1]
        is_on, place = self._pointing.is_on, self._pointing.place
        neck = NeckView(
            board,
            self._label,
            self._fingers(board) if self._label is Label.FINGER else {},
            self._hides_frets,
            frozenset(self._pointing.rung),
            place if is_on else None,
            () if self._second is None or standing is not None else self._second.board().notes,
        )
        hints = (
            live_hints(self._label, hides_frets=self._hides_frets)
            if standing is None
            else standing_hints(self._label, hides_frets=self._hides_frets, is_heard=self._listening.is_on)
        )
        said = () if standing is None else standing_words(standing, self._percent, is_looped=self._is_looped)
        if self._writing is not None:
            said = (("Writing it down …", None),)
        return BoardView(
            neck,
            self._room,
            self._doors.status() if standing is None else "",
            ((self._notice, None),) if self._notice else said,
            hints,
            {} if standing is None else standing.counts(),
            self._pointing.pointer if is_on else None,
        )

    @property
    def _stood(self) -> SteppedPhrase:
        if self._standing is None:
            raise ValueError("the board is live: nothing stands")
        return self._standing

    def _stand(self) -> None:
        """Let what was played stand still."""
        board = self._ear.board()

        def stand(line: Exercise) -> Screen:
            self._standing = SteppedPhrase.at_end(line, board)
            return self

        self._with_line(stand)

    def _go_on(self) -> None:
        self._listening.stop()
        self._standing = self._writing = None

    def _with_line(self, follow: Callable[[Exercise], Screen]) -> Screen:
        """Go on with what stands, or with what was played by now, as soon as it is written down as a line."""
        if self._standing is not None:
            self._listening.stop()
            return follow(self._standing.line)
        self._writing = self._doors.write_down(self._ear.phrase()), self._ear.board(), follow
        return self._written()

    def _written(self) -> Screen:
        """Where what was being written down leads to; here while it is not, and where there was nothing."""
        line = None if self._writing is None else self._writing[0]()
        if self._writing is None or line is None:
            return self
        follow, self._writing = self._writing[2], None
        if isinstance(line, str):
            self._notice = line
            return self
        return follow(line)

    def _hand_out(self, line: Exercise) -> Screen:
        self._notice = self._doors.hand_out(line)
        return self

    def _step(self, by: int) -> None:
        """Go to another moment and let it be heard."""
        self._listening.stop()
        self._standing = self._stood.at(self._stood.moment + by)
        self._doors.hear(self._standing.alone(), 1)

    def _sound(self) -> None:
        line = self._stood.line
        tempo = Tempo(max(Fraction(10), line.tempo.quarters_per_minute * self._percent / 100))
        line = replace(line, tempo=tempo)
        self._listening.start(line, self._rounds(line))

    def _sound_anew(self) -> None:
        """Let what sounds go on in the new way."""
        if self._listening.is_on:
            self._listening.stop()
            self._sound()

    def _rounds(self, line: Exercise) -> int:
        return max(1, LONGEST_HEARD_NS // line.tempo.ns(line.length_quarters)) if self._is_looped else 1

    def _press(self, pressed: Pressed) -> Screen | None:
        """What the mouse points at: a word of the foot, a place on the neck, or a note of the tablature."""
        if self._made is None:
            return self
        picture, view = self._made[3], self.view()
        command = target_at(picture.targets(view), pressed)
        if command is not None:
            return self.handle(command)
        location = picture.neck.location_at(pressed.x_px, pressed.y_px, view.neck)
        note = picture.note_at(pressed.x_px, pressed.y_px, view.board)
        if location is not None:
            self._ring(location)
        elif note is not None and self._standing is not None:
            self._step(self._standing.at_note(note).moment - self._standing.moment)
        return self

    def _ring(self, place: Location | None) -> None:
        """Put a ring around a place and let it be heard, or take it away again."""
        if place is not None and self._pointing.turn(place):
            self._listening.stop()
            self._doors.hear(self._pointing.tone(self._ear.tuning), 1)

    def _fingers(self, board: Board) -> Mapping[int, int]:
        if self._fingered is None or self._fingered[0] != board:
            self._fingered = board, fingers_of(board.notes)
        return self._fingered[1]

    @property
    def _neck_frets(self) -> tuple[int, int]:
        """The frets that can be pointed at."""
        if self._made is None:
            return 0, 12
        first, last = self._made[3].neck.part(self.view().neck)
        return first + (first > 0), last

    def _resize(self, room: Room) -> None:
        self._room = room
        self._doors.keep_room(room)

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, Painter, BoardPicture]:
        key = (size, worn(), self._room)
        if self._made is None or self._made[0] != key:
            unit = unit_of(*size)
            small = Painter(unit)
            largest_px = largest_cap_px(size, len(self._ear.tuning.open_pitches), unit)
            cap_px = min(largest_px, self._room.least_cap_px(size[1]))
            large = Painter(unit * max(1.0, cap_px / small.fonts.cap_px(Size.FRET)))
            self._made = key, small, large, BoardPicture(size, self._ear.tuning, unit, small.fonts, large.fonts)
        return self._made[1:]
