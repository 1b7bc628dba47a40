"""The frame loop, and what belongs to the window and not to a screen: its size, its look, keys that are held down.

Each frame takes keys, polls the input, updates the screen and draws it, then sleeps to its deadline: a busy loop would
starve the driver's thread that stamps the messages. Half a frame before the deadline it looks at the input once more:
polled once a frame only, a note could wait for a whole frame and then for its verdict (p99 17.1 ms were measured).
Going to another screen is whatever `update` or `handle` returns.
"""

import gc
import sys
import time
from collections.abc import Callable, Mapping
from typing import Protocol

import pygame

from trainer.cue_ear import CueEar
from trainer.devices.display import open_display
from trainer.devices.remembered import KeptLook, Memory
from trainer.following.cues import Cue
from trainer.pedals import Pedals
from trainer.playing.messages import StampedMessage
from trainer.screens.cued import command_of
from trainer.screens.keys import KeysScreen
from trainer.screens.look import Look, look_of, wear, worn
from trainer.screens.screen import Action, Command, Pressed, Screen, action_of

FRAME_NS = 1_000_000_000 // 60
Size = tuple[int, int]
WINDOW_SIZE: Size = (1280, 720)
# Threads that wait for the interpreter get it after this; Python's own 5 ms would delay the driver's stamps.
SWITCH_INTERVAL_S = 0.0005
REPEATING_KEYS = frozenset(
    {
        pygame.K_UP,
        pygame.K_DOWN,
        pygame.K_LEFT,
        pygame.K_RIGHT,
        pygame.K_PAGEUP,
        pygame.K_PAGEDOWN,
        pygame.K_BACKSPACE,
        pygame.K_DELETE,
    }
)


class Drops(Protocol):
    """Whoever opens files that are dropped onto the window."""

    def drop(self, path: str) -> None:
        """A file or a folder was dropped."""
        ...

    def lead(self, screen: Screen) -> Screen:
        """The screen to go on with; asked in every frame."""
        ...


def show(
    screen: Screen,
    poll: Callable[[int], tuple[StampedMessage, ...]],
    size: Size,
    memory: Memory | None = None,
    cue_ear: CueEar | None = None,
    drops: Drops | None = None,
) -> None:
    """Run the frame loop, in a window of `size` pixels at first, until a screen leaves; `memory` keeps its look."""
    if memory is not None:
        kept = memory.look
        wear(look_of(kept.theme, kept.text_percent, is_left_handed=kept.is_left_handed))
    sys.setswitchinterval(SWITCH_INTERVAL_S)
    open_display()
    pygame.font.init()
    try:
        surface = pygame.display.set_mode(size, pygame.RESIZABLE)
        pygame.display.set_caption("Boxwalk")
        pygame.key.set_repeat(350, 60)
        _loop(screen, poll, surface, memory, cue_ear, drops)
    finally:
        gc.enable()
        pygame.display.quit()


LOOKS: Mapping[Command, Callable[[Look], Look]] = {
    Command.THEME: Look.with_next_theme,
    Command.LARGER: lambda look: look.with_text(1),
    Command.SMALLER: lambda look: look.with_text(-1),
    Command.OTHER_HAND: Look.for_other_hand,
}
"""What changes the look of the window, on every screen."""


def is_repeat(event: pygame.event.Event, held: set[int]) -> bool:
    """Whether a key that is held down says again what was said once; `held` is kept up to date.

    Moving and erasing repeat; a held space bar must not begin one take after another.
    """
    if event.type == pygame.KEYUP:
        held.discard(event.key)
    if event.type != pygame.KEYDOWN or event.key in REPEATING_KEYS:
        return False
    if event.key in held:
        return True
    held.add(event.key)
    return False


def _loop(
    screen: Screen,
    poll: Callable[[int], tuple[StampedMessage, ...]],
    surface: pygame.Surface,
    memory: Memory | None,
    cue_ear: CueEar | None,
    drops: Drops | None = None,
) -> None:
    due_ns = time.perf_counter_ns()
    held: set[int] = set()
    pedals = Pedals(memory)
    while True:
        for event in pygame.event.get():
            if event.type == pygame.DROPFILE and drops is not None:
                drops.drop(event.file)
            action = None if is_repeat(event, held) else action_of(event, takes_text=screen.takes_text)
            following = _given(screen, action, memory)
            if following is None:
                return
            screen = following
        now_ns = time.perf_counter_ns()
        following = _taken_in(screen, poll(now_ns), now_ns, pedals, memory, cue_ear)
        if following is None:
            return
        screen = following
        if drops is not None:
            screen = drops.lead(screen)
        surface = pygame.display.get_surface() or surface
        screen.draw(surface, now_ns)
        pygame.display.flip()
        due_ns = max(due_ns + FRAME_NS, time.perf_counter_ns() - FRAME_NS)
        _sleep_until(due_ns - FRAME_NS // 2)
        now_ns = time.perf_counter_ns()
        messages = poll(now_ns)
        if messages:
            following = _taken_in(screen, messages, now_ns, pedals, memory, cue_ear)
            if following is None:
                return
            screen = following
        _sleep_until(due_ns)


def _sleep_until(due_ns: int) -> None:
    time.sleep(max(0, due_ns - time.perf_counter_ns()) / 1e9)


def _taken_in(
    screen: Screen,
    messages: tuple[StampedMessage, ...],
    now_ns: int,
    pedals: Pedals,
    memory: Memory | None,
    cue_ear: CueEar | None,
) -> Screen | None:
    """The screen to go on with after what has arrived, by notes, pedals and cues; None to leave."""
    screen = screen.update(messages, now_ns)
    asked: list[Command | Cue] = [*pedals.feed(messages)]
    if cue_ear is not None:
        asked += cue_ear.feed(messages, now_ns)
    for one in asked:
        following = _given(screen, command_of(one, screen) if isinstance(one, Cue) else one, memory)
        if following is None:
            return None
        screen = following
    return screen


def _given(screen: Screen, action: Action | None, memory: Memory | None) -> Screen | None:
    """The screen to go on with after an action; what changes the window's look is none of a screen's."""
    if isinstance(action, Pressed) and isinstance(screen, KeysScreen):
        pressed = screen.command_at(action)
        action = pressed if pressed is Command.FULL_SCREEN or pressed in LOOKS else action
    if action is Command.FULL_SCREEN:
        pygame.display.toggle_fullscreen()
    elif isinstance(action, Command) and action in LOOKS:
        wear(LOOKS[action](worn()))
        if memory is not None:
            memory.keep_look(KeptLook(worn().theme.name, worn().text_percent, worn().is_left_handed))
    elif action is not None:
        return screen.handle(action)
    return screen
