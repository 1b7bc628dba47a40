"""The screen that windows open on.

Where there is none, SDL falls back to drawing where nobody looks (its drivers `offscreen` and `dummy`), and the program
would run on unseen. Whoever wants that names the driver in SDL_VIDEODRIVER.

Reference: SDL 2 wiki, SDL_HINT_VIDEODRIVER (the environment variable SDL_VIDEODRIVER).
"""

import os
from dataclasses import dataclass

_UNSEEN = ("offscreen", "dummy")
_DRIVER_VARIABLE = "SDL_VIDEODRIVER"


class DisplayError(Exception):
    """Why no window can be opened, in words for the player."""


@dataclass(frozen=True, slots=True)
class Display:
    """What windows open on."""

    driver: str
    """SDL's name of the windowing system: `x11`, `wayland`, `windows`, `cocoa`, ..."""
    sizes: tuple[tuple[int, int], ...]
    """Of each screen, in pixels."""


def open_display() -> Display:
    """Take up the display, for windows to open on; `DisplayError` when there is none. `pygame.display.quit` leaves."""
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    import pygame

    from trainer.devices.quiet import quiet_drivers

    try:
        with quiet_drivers():
            pygame.display.init()
        driver = pygame.display.get_driver()
    except pygame.error as error:
        raise DisplayError(f"No window can be opened: there is no display ({error}).") from error
    if driver in _UNSEEN and driver not in os.environ.get(_DRIVER_VARIABLE, ""):
        pygame.display.quit()
        raise DisplayError("No window can be opened: there is no display.")
    return Display(driver, tuple(pygame.display.get_desktop_sizes()))


def look_at_display() -> Display:
    """The display, which is left again; `DisplayError` when there is none."""
    import pygame

    try:
        return open_display()
    finally:
        pygame.display.quit()
