"""What a screen is, and the one table of keys.

A screen is driven by actions and by messages and is drawn; going to another screen is returning it. What a screen needs
comes through its constructor.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum, auto
from typing import Protocol

import pygame

from trainer.playing.messages import StampedMessage
from trainer.tablature.glyphs import Rect


class Command(Enum):
    """What a key asks for."""

    PAUSE = auto()
    RESTART = auto()
    SLOWER = auto()
    FASTER = auto()
    PACE = auto()
    HEAR = auto()
    BACKING = auto()
    SOUND = auto()
    GO_ON = auto()
    TOUR = auto()
    MARK_START = auto()
    MARK_END = auto()
    LOOP = auto()
    MARKS = auto()
    CHOOSE = auto()
    BACK = auto()
    UP = auto()
    DOWN = auto()
    LEFT = auto()
    RIGHT = auto()
    NEXT_BAR = auto()
    PREVIOUS_BAR = auto()
    FIRST = auto()
    LAST = auto()
    NEXT_CHOICE = auto()
    PREVIOUS_CHOICE = auto()
    ERASE = auto()
    ERASE_NEXT = auto()
    OPEN = auto()
    SET_UP = auto()
    LISTEN = auto()
    BUILD = auto()
    VARY = auto()
    TWINS = auto()
    TEMPO = auto()
    PROGRESS = auto()
    PLAN = auto()
    DRILL = auto()
    SHORTER = auto()
    GOAL = auto()
    KEEP = auto()
    UNDO = auto()
    KEYS = auto()
    BOARD = auto()
    CONTEST = auto()
    SECOND_INPUT = auto()
    BESIDE = auto()
    NEXT = auto()
    NOTE = auto()
    PICTURE = auto()
    THEME = auto()
    LARGER = auto()
    SMALLER = auto()
    OTHER_HAND = auto()
    FULL_SCREEN = auto()
    QUIT = auto()


@dataclass(frozen=True, slots=True)
class Typed:
    """A letter for a screen that takes text."""

    text: str


@dataclass(frozen=True, slots=True)
class Pressed:
    """The mouse's first button, where it was pressed."""

    x_px: float
    y_px: float


@dataclass(frozen=True, slots=True)
class Scrolled:
    """The mouse's wheel: lines downwards, negative = upwards, and where the mouse stood."""

    lines: int
    x_px: float
    y_px: float


Action = Command | Typed | Pressed | Scrolled


@dataclass(frozen=True, slots=True)
class Target:
    """A place to press, and what pressing it asks for."""

    area: Rect
    action: Action


def target_at(targets: Iterable[Target], pressed: Pressed) -> Action | None:
    """What a press asks for; of targets that overlap the first one counts."""
    for target in targets:
        if target.area.holds(pressed.x_px, pressed.y_px):
            return target.action
    return None


class Screen(Protocol):
    """One page of the window."""

    @property
    def takes_text(self) -> bool:
        """Whether letters are text here, and not commands."""
        ...

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> "Screen":
        """Take in what arrived; the screen to go on with."""
        ...

    def handle(self, action: Action) -> "Screen | None":
        """Do what a key asks for; the screen to go on with, None to leave the program."""
        ...

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the whole surface."""
        ...


@dataclass(frozen=True, slots=True)
class Key:
    """One line of the table of keys."""

    command: Command
    codes: tuple[int, ...]
    name: str
    """What the key is called."""
    words: str
    """What it does."""
    place: str
    """Where it works: a heading of the page of keys."""
    characters: str = ""
    """What typing it writes, where that matters more than which key it is."""


EVERYWHERE, PLAYING, STANDING, LIST = "Everywhere", "While playing", "While paused", "List of exercises"
BUILDER = "Building and varying"
REVIEW = "Going through a take"
RESULT, TEMPI, DAY, BOARD, CONTEST = "Result", "Tempo", "Today's plan", "Board", "Contest"
BOARD_STANDING, CALL, BESIDE = "Board, while paused", "Call and answer", "One line over another"
COACH, SOUND, HOMEWORK = "Progress and coach", "Sound", "Homework"

KEYS: tuple[Key, ...] = (
    Key(Command.PAUSE, (pygame.K_SPACE,), "Space", "pause; again: count in and go on from this bar", PLAYING),
    Key(Command.RESTART, (pygame.K_r,), "R", "from the top", PLAYING),
    Key(
        Command.SLOWER,
        (pygame.K_KP_MINUS,),
        "\N{MINUS SIGN}",
        "slower, with a new count-in",
        PLAYING,
        "-\N{MINUS SIGN}_",
    ),
    Key(Command.FASTER, (pygame.K_KP_PLUS,), "+", "faster, with a new count-in", PLAYING, "+="),
    Key(Command.PACE, (pygame.K_p,), "P", "with the click, or at your own pace", PLAYING),
    Key(Command.HEAR, (pygame.K_h,), "H", "hear the line, or only the click", PLAYING),
    Key(Command.BACKING, (pygame.K_c,), "C", "drums, bass and chords with the click, or not", PLAYING),
    Key(Command.GOAL, (pygame.K_g,), "G", "ghost: your last pass, your best (most as written), or none", PLAYING),
    Key(Command.MARKS, (pygame.K_m,), "M", "show or hide strokes, fingers and accents", PLAYING),
    Key(Command.LEFT, (pygame.K_LEFT,), "←", "one note back", STANDING),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "→", "one note on", STANDING),
    Key(Command.PREVIOUS_BAR, (pygame.K_PAGEUP,), "Page ↑", "one bar back", STANDING),
    Key(Command.NEXT_BAR, (pygame.K_PAGEDOWN,), "Page ↓", "one bar on", STANDING),
    Key(Command.FIRST, (pygame.K_HOME,), "Home", "to the first note", STANDING),
    Key(Command.LAST, (pygame.K_END,), "End", "to the last note", STANDING),
    Key(Command.NEXT, (pygame.K_n,), "N", "to the next note that was missed, wrong or begun otherwise", STANDING),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "why the note was judged so, or the neck", STANDING),
    Key(Command.MARK_START, (pygame.K_a,), "A", "the selection starts here", STANDING),
    Key(Command.MARK_END, (pygame.K_b,), "B", "the selection ends here", STANDING),
    Key(Command.LOOP, (pygame.K_l,), "L", "loop the selection, or this bar; again: the whole line", STANDING),
    Key(Command.PAUSE, (pygame.K_SPACE,), "Space", "stop; again: go on from the note at the cursor", REVIEW),
    Key(Command.FASTER, (pygame.K_KP_PLUS,), "\N{MINUS SIGN} +", "half or quarter speed, and back", REVIEW),
    Key(Command.HEAR, (pygame.K_h,), "H", "let what was heard sound along, or not", REVIEW),
    Key(Command.TWINS, (pygame.K_F6,), "F6", "another take of the line under this one, or the neck", REVIEW),
    Key(Command.DOWN, (pygame.K_DOWN,), "↓ ↑", "an older take of the line under this one, a newer one", REVIEW),
    Key(Command.NOTE, (pygame.K_t,), "T", "write a note about the take; Enter keeps it", REVIEW),
    Key(Command.PICTURE, (pygame.K_x,), "X", "write a picture of what is shown to a file", REVIEW),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "← →", "stopped: a note; Page ↑ ↓: a bar; N: the next slip", REVIEW),
    Key(Command.UP, (pygame.K_UP,), "↑", "the exercise before", LIST),
    Key(Command.DOWN, (pygame.K_DOWN,), "↓", "the next exercise", LIST),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "the next filter or setting", LIST),
    Key(Command.PREVIOUS_CHOICE, (), "Shift Tab", "the filter or setting before", LIST),
    Key(Command.LEFT, (pygame.K_LEFT,), "← →", "change it", LIST),
    Key(Command.ERASE, (pygame.K_BACKSPACE,), "Backspace", "take back a letter of what is searched for", LIST),
    Key(Command.SET_UP, (pygame.K_F2,), "F2", "set up the pickup: strings, bend range, latency", LIST),
    Key(Command.LISTEN, (pygame.K_F3,), "F3", "hear the line; again: stop", LIST),
    Key(Command.BUILD, (pygame.K_F4,), "F4", "build an exercise, beginning with this one", LIST),
    Key(Command.VARY, (pygame.K_F5,), "F5", "vary this one: key, strings, slurs, by chance", LIST),
    Key(Command.TWINS, (pygame.K_F6,), "F6", "compare it with its twins; also on the result", LIST),
    Key(Command.TEMPO, (pygame.K_F8,), "F8", "find today's working tempo: pass by pass, Space plays each", LIST),
    Key(Command.PROGRESS, (pygame.K_F9,), "F9", "progress over the weeks, in pictures", LIST),
    Key(Command.PLAN, (pygame.K_F10,), "F10", "today's plan: Enter starts an item", LIST),
    Key(Command.KEEP, (pygame.K_F7,), "F7", "homework: what is asked for, how far it is done", LIST),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "the next row: key, scale, tuning, strings …", BUILDER),
    Key(Command.LEFT, (pygame.K_LEFT,), "← →", "the next choice of the row; in the text: a letter", BUILDER),
    Key(Command.UP, (pygame.K_UP,), "↑", "the row before; above the first lies the text", BUILDER),
    Key(Command.ERASE_NEXT, (pygame.K_DELETE,), "Delete", "take out the letter behind the cursor", BUILDER),
    Key(Command.NEXT_BAR, (pygame.K_PAGEDOWN,), "Page ↓ ↑", "more of the tablature", BUILDER),
    Key(Command.LISTEN, (pygame.K_F3,), "F3", "hear it; again: stop", BUILDER),
    Key(Command.KEEP, (pygame.K_F7,), "F7, Ctrl S", "keep it among your own exercises", BUILDER),
    Key(Command.UNDO, (), "Ctrl Z", "take back the last change", BUILDER),
    Key(Command.CHOOSE, (pygame.K_RETURN,), "Enter", "play it again", RESULT),
    Key(Command.DRILL, (pygame.K_d,), "D", "drill the worst transition, or the cursor's; in a drill: longer", RESULT),
    Key(Command.SHORTER, (pygame.K_s,), "S", "in a drill: a shorter one", RESULT),
    Key(Command.LOOP, (pygame.K_l,), "L", "after a drill: back to the line", RESULT),
    Key(Command.FASTER, (pygame.K_KP_PLUS,), "\N{MINUS SIGN} +", "play it again slower or faster", RESULT),
    Key(Command.NEXT, (pygame.K_n,), "N", "the next line of the list", RESULT),
    Key(Command.LISTEN, (pygame.K_F3,), "F3", "go through the last take like a recording, with its sound", RESULT),
    Key(Command.DOWN, (pygame.K_DOWN,), "↓ ↑", "why a note was judged so", RESULT),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "the passes, or the weak transitions on the neck", RESULT),
    Key(Command.LEFT, (pygame.K_LEFT,), "← →", "more of the tablature", RESULT),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "← →", "the next picture of progress, the one before", COACH),
    Key(Command.DRILL, (pygame.K_d,), "D", "from progress: the coach's list; there: drill the worst transition", COACH),
    Key(Command.LOOP, (pygame.K_l,), "L", "on the coach's list: play the line", COACH),
    Key(Command.DOWN, (pygame.K_DOWN,), "↓ ↑", "the next setting, the one before", TEMPI),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "← →", "change it: way of asking, first tempo, steps …", TEMPI),
    Key(Command.PAUSE, (pygame.K_SPACE,), "Space", "play the next pass", TEMPI),
    Key(Command.LOOP, (pygame.K_l,), "L", "let the passes follow by themselves, or wait for Space", TEMPI),
    Key(Command.RESTART, (pygame.K_r,), "R", "begin the run anew", TEMPI),
    Key(Command.CHOOSE, (pygame.K_RETURN,), "Enter", "start the item", DAY),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "→", "something else in its place", DAY),
    Key(Command.ERASE_NEXT, (pygame.K_DELETE,), "Delete", "leave it out", DAY),
    Key(Command.FASTER, (pygame.K_KP_PLUS,), "− +", "fewer or more minutes", DAY),
    Key(Command.GOAL, (pygame.K_g,), "G", "choose a goal", DAY),
    Key(Command.RESTART, (pygame.K_r,), "R", "plan anew", DAY),
    Key(Command.GO_ON, (), "Ctrl Enter", "go on with the line played last, or play the first one", LIST),
    Key(Command.TOUR, (), "Ctrl G", "the guided tour: what is to be seen while somebody plays", LIST),
    Key(Command.BOARD, (), "Ctrl B", "the board: whatever is played, on neck and staff", LIST),
    Key(Command.BESIDE, (), "Ctrl D", "one line over another: the same beat under the same beat", LIST),
    Key(Command.CONTEST, (), "Ctrl T", "the contest: the tempo climbs, and the best pass gets points", LIST),
    Key(Command.SOUND, (), "Ctrl U", "the sound: click, backing, levels, output, offset", LIST),
    Key(Command.DOWN, (pygame.K_DOWN,), "↓ ↑", "the next setting, the one before", SOUND),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "← →", "change it; the offset by 1 ms", SOUND),
    Key(Command.FASTER, (pygame.K_KP_PLUS,), "\N{MINUS SIGN} +", "change the offset by 10 ms", SOUND),
    Key(Command.LISTEN, (pygame.K_F3,), "F3", "hear line, backing or click; again: stop", SOUND),
    Key(Command.CHOOSE, (pygame.K_RETURN,), "Enter", "find the offset by playing; again: take it", SOUND),
    Key(Command.OPEN, (pygame.K_o,), "O", "look for a file: homework, or what came back; or drop it here", HOMEWORK),
    Key(Command.KEEP, (pygame.K_F7,), "F7", "write the file: to give back, or to give out", HOMEWORK),
    Key(Command.BUILD, (pygame.K_F4,), "F4", "give out homework; there: add an exercise", HOMEWORK),
    Key(Command.PROGRESS, (pygame.K_F9,), "F9", "what came back: pupil by exercise; Enter: the takes", HOMEWORK),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "← →", "other homework; table: exercise; giving out: change it", HOMEWORK),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "giving out: the next field; table: other homework", HOMEWORK),
    Key(Command.NEXT_BAR, (pygame.K_PAGEDOWN,), "Page ↓ ↑", "more of a note or a table; N: of what is below", HOMEWORK),
    Key(Command.ERASE_NEXT, (pygame.K_DELETE,), "Delete", "giving out: take the exercise out", HOMEWORK),
    Key(Command.PAUSE, (pygame.K_SPACE,), "Space", "play the next pass", CONTEST),
    Key(Command.LOOP, (pygame.K_l,), "L", "let the passes follow by themselves, or wait for Space", CONTEST),
    Key(Command.RESTART, (pygame.K_r,), "R", "begin the run anew", CONTEST),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "this line, or the line of the day", CONTEST),
    Key(Command.PACE, (pygame.K_p,), "P", "alone, or a relay: two players take passes by turns", CONTEST),
    Key(Command.SECOND_INPUT, (pygame.K_i,), "I", "the next second input, or none", CONTEST),
    Key(Command.GOAL, (pygame.K_g,), "G", "ghost: your last pass, your best, or none", CONTEST),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "degrees, names, frets or fingers in the marks", BOARD),
    Key(Command.MARKS, (pygame.K_m,), "M", "hide what was played, for reading: strings, counts, position stay", BOARD),
    Key(Command.PACE, (pygame.K_p,), "P", "point: by mouse, or arrows and Enter; a press rings a place", BOARD),
    Key(Command.PAUSE, (pygame.K_SPACE,), "Space", "let what was played stand, as a line; again: go on", BOARD),
    Key(Command.LOOP, (pygame.K_l,), "L", "hold the key that was guessed; again: guess on", BOARD),
    Key(Command.RESTART, (pygame.K_r,), "R", "clear the board", BOARD),
    Key(Command.CHOOSE, (pygame.K_RETURN,), "Enter", "write down what was played", BOARD),
    Key(Command.BACKING, (pygame.K_c,), "C", "call and answer: one plays, the other answers", BOARD),
    Key(Command.SECOND_INPUT, (pygame.K_i,), "I", "the next second input, or none", BOARD),
    Key(Command.NEXT, (pygame.K_n,), "N", "what the second input plays as well, in outline; again: hide it", BOARD),
    Key(Command.KEEP, (pygame.K_F7,), "F7", "hand it out: exercise, sheet to print, homework", BOARD),
    Key(Command.FASTER, (pygame.K_KP_PLUS,), "\N{MINUS SIGN} +", "the last row is nearer or further away", BOARD),
    Key(Command.UP, (pygame.K_UP,), "↑ ↓", "the picture on the wall is larger or smaller", BOARD),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "← →", "a note back or on, with its sound; also the wheel", BOARD_STANDING),
    Key(Command.LAST, (pygame.K_END,), "Home End", "the first note, the whole phrase", BOARD_STANDING),
    Key(Command.LISTEN, (pygame.K_F3,), "F3", "hear it; again: stop", BOARD_STANDING),
    Key(Command.LOOP, (pygame.K_l,), "L", "hear it again and again, or once", BOARD_STANDING),
    Key(Command.FASTER, (pygame.K_KP_PLUS,), "\N{MINUS SIGN} +", "hear it slower or faster", BOARD_STANDING),
    Key(Command.BESIDE, (), "Ctrl D", "what was played over the line that was chosen", BOARD),
    Key(Command.DOWN, (pygame.K_DOWN,), "↓ ↑", "the next line below, the one before; also the wheel", BESIDE),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "swap the two", BESIDE),
    Key(Command.RIGHT, (pygame.K_RIGHT,), "← →", "more of the tablature", BESIDE),
    Key(Command.LISTEN, (pygame.K_F3,), "F3", "hear the upper line; again: stop", BESIDE),
    Key(Command.HEAR, (pygame.K_h,), "H", "hear the lower line; again: stop", BESIDE),
    Key(Command.PAUSE, (pygame.K_SPACE,), "Space", "end this turn without waiting; let the next bar sound", CALL),
    Key(Command.CHOOSE, (pygame.K_RETURN,), "Enter", "show what differs from the call; again: hide it", CALL),
    Key(Command.MARKS, (pygame.K_m,), "M", "show it at once, or only when asked", CALL),
    Key(Command.HEAR, (pygame.K_h,), "H", "hear the call again", CALL),
    Key(Command.NEXT, (pygame.K_n,), "N", "let the next bar of the line sound", CALL),
    Key(Command.NEXT_CHOICE, (pygame.K_TAB,), "Tab", "the first input calls, or the line, bar by bar", CALL),
    Key(Command.FASTER, (pygame.K_KP_PLUS,), "\N{MINUS SIGN} +", "the tempo of the line and of a bar of silence", CALL),
    Key(Command.UP, (pygame.K_UP,), "↑ ↓", "a silence of two bars or one ends a phrase", CALL),
    Key(Command.SECOND_INPUT, (pygame.K_i,), "I", "the next second input, or none: both play on the first", CALL),
    Key(Command.RESTART, (pygame.K_r,), "R", "begin anew", CALL),
    Key(Command.CHOOSE, (pygame.K_RETURN, pygame.K_KP_ENTER), "Enter", "play", EVERYWHERE),
    Key(Command.BACK, (pygame.K_ESCAPE,), "Esc", "end and see the result; go back; leave", EVERYWHERE),
    Key(Command.KEYS, (pygame.K_F1,), "F1", "this page", EVERYWHERE),
    Key(Command.FULL_SCREEN, (pygame.K_F11,), "F11", "whole screen or window", EVERYWHERE),
    Key(Command.THEME, (pygame.K_F12,), "F12", "dark, light, or high contrast", EVERYWHERE),
    Key(Command.LARGER, (), "Ctrl +", "larger text", EVERYWHERE),
    Key(Command.SMALLER, (), "Ctrl −", "smaller text", EVERYWHERE),
    Key(Command.OTHER_HAND, (), "Ctrl H", "necks for the other hand", EVERYWHERE),
    Key(Command.QUIT, (), "Ctrl Q", "leave the program", EVERYWHERE),
)
"""Every key: what it asks for and what the page of keys says about it."""

_WITH_CONTROL = {
    pygame.K_b: Command.BOARD,
    pygame.K_d: Command.BESIDE,
    pygame.K_g: Command.TOUR,
    pygame.K_h: Command.OTHER_HAND,
    pygame.K_t: Command.CONTEST,
    pygame.K_u: Command.SOUND,
    pygame.K_q: Command.QUIT,
    pygame.K_RETURN: Command.GO_ON,
    pygame.K_KP_ENTER: Command.GO_ON,
    pygame.K_s: Command.KEEP,
    pygame.K_z: Command.UNDO,
    pygame.K_PLUS: Command.LARGER,
    pygame.K_EQUALS: Command.LARGER,
    pygame.K_KP_PLUS: Command.LARGER,
    pygame.K_MINUS: Command.SMALLER,
    pygame.K_KP_MINUS: Command.SMALLER,
}
_BY_CODE = {code: key.command for key in KEYS for code in key.codes}
_BY_CHARACTER = {character: key.command for key in KEYS for character in key.characters}


def action_of(event: pygame.event.Event, *, takes_text: bool) -> Action | None:
    """What a key, a mouse button or the wheel asks for; None for other events and keys without a meaning."""
    if event.type == pygame.QUIT:
        return Command.QUIT
    if event.type == pygame.MOUSEBUTTONDOWN:
        return Pressed(*map(float, event.pos)) if event.button == 1 else None
    if event.type == pygame.MOUSEWHEEL:
        return Scrolled(-event.y, *map(float, pygame.mouse.get_pos())) if event.y else None
    if event.type != pygame.KEYDOWN:
        return None
    if event.mod & (pygame.KMOD_CTRL | pygame.KMOD_META):
        return _WITH_CONTROL.get(event.key)
    if event.key == pygame.K_TAB and event.mod & pygame.KMOD_SHIFT:
        return Command.PREVIOUS_CHOICE
    if takes_text and event.unicode.isprintable() and event.unicode:
        return Typed(event.unicode)
    return _BY_CHARACTER.get(event.unicode) or _BY_CODE.get(event.key)
