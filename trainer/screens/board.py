"""The board: whatever is played stands on neck and staff at once, for a class or for oneself, without a line to follow.

`write_down(phrase)` is the screen of what was played as a line, or a sentence why not; `leave()` is the screen to go
back to; `keep(room)` is told when the room changes.
"""

from collections.abc import Callable

import pygame

from trainer.capture.free_play import FreePlay
from trainer.capture.listening import PhraseNote
from trainer.playing.messages import StampedMessage
from trainer.run import ON_ITS_WAY_NS
from trainer.screens.board_picture import BoardPicture, BoardView, Label, largest_cap_px
from trainer.screens.keys import KeysScreen
from trainer.screens.look import colour, worn
from trainer.screens.paint import Painter
from trainer.screens.room_size import Room
from trainer.screens.screen import BOARD, Action, Command, Pressed, Screen, target_at
from trainer.tablature.glyphs import Ink, Rect, Size, Text
from trainer.tablature.layout import unit_of

HINTS = (
    ("Tab", "degrees, names, frets", Command.NEXT_CHOICE),
    ("L", "hold the key", Command.LOOP),
    ("R", "clear", Command.RESTART),
    ("Enter", "write it down", Command.CHOOSE),
    ("\N{MINUS SIGN} +", "last row", Command.FASTER),
    ("↑ ↓", "picture", Command.UP),
    ("Esc", "list", Command.BACK),
    ("F1", "keys", Command.KEYS),
)


class BoardScreen:
    """See the head of the file."""

    takes_text = False

    def __init__(
        self,
        ear: FreePlay,
        *,
        room: Room,
        status: Callable[[], str],
        write_down: Callable[[tuple[PhraseNote, ...]], "Screen | str"],
        leave: Callable[[], Screen],
        keep: Callable[[Room], None] = lambda _room: None,
    ) -> None:
        self._ear = ear
        self._room = room
        self._status = status
        self._write_down = write_down
        self._leave = leave
        self._keep = keep
        self._label = Label.DEGREE
        self._notice = ""
        self._made: tuple[object, Painter, Painter, BoardPicture] | None = None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:
        """Hear what arrived."""
        for message in messages:
            self._ear.feed(message)
            self._notice = ""
        self._ear.advance(now_ns - ON_ITS_WAY_NS)
        return self

    def handle(self, action: Action) -> Screen | None:
        """Change what is shown, write it down, or leave."""
        match action:
            case Command.NEXT_CHOICE | Command.PREVIOUS_CHOICE:
                self._label = self._label.following
            case Command.LOOP:
                self._ear.hold_key()
            case Command.RESTART:
                self._ear.clear()
            case Command.FASTER | Command.SLOWER:
                self._resize(self._room.moved(rows=1 if action is Command.FASTER else -1))
            case Command.UP | Command.DOWN:
                self._resize(self._room.moved(larger=1 if action is Command.UP else -1))
            case Command.CHOOSE:
                written = self._write_down(self._ear.phrase())
                if not isinstance(written, str):
                    return written
                self._notice = written
            case Command.KEYS:
                return KeysScreen(self, place=BOARD)
            case Command.BACK:
                return self._leave()
            case Command.QUIT:
                return None
            case Pressed() if self._made is not None:
                pressed = target_at(self._made[3].targets(self.view()), action)
                return self if pressed is None else self.handle(pressed)
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - it moves with what arrives
        """Paint the board."""
        small, large, picture = self._parts(surface.get_size())
        surface.fill(colour(Ink.GROUND))
        large.draw(surface, picture.for_room(self.view()))
        small.draw(surface, picture.for_teacher(self.view()))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        small, large, picture = self._parts(size)
        glyphs = [
            *((glyph, large) for glyph in picture.for_room(self.view())),
            *((glyph, small) for glyph in picture.for_teacher(self.view())),
        ]
        return [(glyph.text, glyph.bounds(painter.fonts)) for glyph, painter in glyphs if isinstance(glyph, Text)]

    def view(self) -> BoardView:
        """What is shown now."""
        return BoardView(self._ear.board(), self._label, self._room, self._status(), self._notice, HINTS)

    def _resize(self, room: Room) -> None:
        self._room = room
        self._keep(room)

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
