"""What the player sees: screens that are driven by commands and drawn with pygame, which is told first how."""

import os

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
os.environ.setdefault("SDL_VIDEO_X11_WMCLASS", "boxwalk")
os.environ.setdefault("SDL_WINDOWS_DPI_AWARENESS", "permonitorv2")
os.environ.setdefault("SDL_FRAMEBUFFER_ACCELERATION", "0")  # drawing in software: 1 ms a frame instead of 9 to 40
