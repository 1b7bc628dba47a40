"""What the player sees: screens that are driven by commands and drawn with pygame, which is told first how."""

import os
import sys

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
os.environ.setdefault("SDL_VIDEO_X11_WMCLASS", "boxwalk")
os.environ.setdefault("SDL_WINDOWS_DPI_AWARENESS", "permonitorv2")
os.environ.setdefault("SDL_FRAMEBUFFER_ACCELERATION", "0")  # drawing in software: 1 ms a frame instead of 9 to 40


def _take_up_pygame() -> None:
    """Import pygame without setuptools' `pkg_resources`, which it would look its font up with: a tenth of the start.

    It says itself how to do without (`pygame.pkgdata`, 2.6).
    """
    had = sys.modules.get("pkg_resources")
    sys.modules["pkg_resources"] = None  # type: ignore[assignment]  # so an import of it fails
    try:
        import pygame  # noqa: F401 - from here on it is there for everybody
    finally:
        del sys.modules["pkg_resources"]
        if had is not None:
            sys.modules["pkg_resources"] = had


_take_up_pygame()
