import os
import subprocess
import sys

import pytest

from trainer.devices.display import DisplayError, open_display

pygame = pytest.importorskip("pygame")


def opened_without_a_screen(**environment: str) -> str:
    """What a process says that has no screen; SDL takes up its driver once in a process."""
    script = (
        "from trainer.devices.display import DisplayError, look_at_display\n"
        "try: print(look_at_display())\n"
        "except DisplayError as error: print(error)"
    )
    bare = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    bare.pop("SDL_VIDEODRIVER", None)
    done = subprocess.run(
        [sys.executable, "-c", script], env=bare | environment, capture_output=True, text=True, check=True
    )
    return done.stdout.strip()


@pytest.mark.skipif(sys.platform != "linux", reason="other systems have no DISPLAY to take away")
def test_without_a_screen_nothing_is_drawn_where_nobody_looks() -> None:
    assert opened_without_a_screen().startswith("No window can be opened: there is no display")


def test_whoever_asks_for_a_driver_that_shows_nothing_gets_it() -> None:
    assert opened_without_a_screen(SDL_VIDEODRIVER="dummy").startswith("Display(driver='dummy', sizes=((")


def test_what_sdl_says_is_passed_on(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse() -> None:
        raise pygame.error("no available video device")

    monkeypatch.setattr(pygame.display, "init", refuse)

    with pytest.raises(DisplayError, match="no available video device"):
        open_display()
