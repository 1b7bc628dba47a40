"""What the board needs from outside: the inputs, the sound, other screens, and whoever writes things down."""

from collections.abc import Callable
from dataclasses import dataclass

import pygame

from trainer.capture.free_play import FreePlay
from trainer.capture.listening import PhraseNote
from trainer.capture.writing import Writing
from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.screens.room_size import Room
from trainer.screens.screen import Screen


@dataclass(frozen=True, slots=True)
class BoardDoors:
    """What leads out of the board, and what it needs from outside."""

    status: Callable[[], str]
    write_down: Callable[[tuple[PhraseNote, ...]], Writing]
    """Begin to make a line of what was played, or a sentence why there is none."""
    build: Callable[[Exercise], Screen]
    """The screen on which a line is varied, played and kept under a name."""
    hand_out: Callable[[Exercise], str]
    """Keep a line and write its sheet and its homework; a sentence that says where they are."""
    hear: Callable[[Exercise, int], int]
    """Let a line sound so many times; when its first beat is heard."""
    hush: Callable[[], None]
    leave: Callable[[], Screen]
    call: Callable[[Screen], Screen]
    """Call and answer; the screen to come back to."""
    next_second: Callable[[], str]
    """Choose the next second input; a sentence about that."""
    second_ear: Callable[[], FreePlay | None]
    """Hears the second input from now on; None without one."""
    aside: Callable[[], tuple[StampedMessage, ...]]
    """What the second input has said since this was asked last."""
    beside: Callable[[Exercise, Screen], Screen]
    """What was played, set over the line that was chosen; the screen to come back to."""
    keep_room: Callable[[Room], None] = lambda _room: None
    mouse: Callable[[], tuple[int, int]] = pygame.mouse.get_pos
