"""A real window on a virtual screen, driven by keys from the list of exercises to the result; pictures are kept."""

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pygame
import pytest

from trainer.devices.recording import list_takes

from .jack import ROOT, need
from .virtual_screen import FRAMEBUFFER, pixels_of, virtual_screen

pytestmark = pytest.mark.rig

PICTURES = ROOT / "ci-output"
APPEARS_WITHIN_S = 30.0
SIZES = ["1920x1080", "1280x720"]


@pytest.fixture(params=SIZES)
def screen_size(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def display(screen_size: str, tmp_path: Path) -> Iterator[dict[str, str]]:
    """The environment of a virtual screen of that size, without sound cards and with its own folder of takes."""
    for program in ("Xvfb", "xdotool", "import"):
        need(program)
    with virtual_screen(screen_size) as environment:
        yield os.environ | environment | {"BOXWALK_DATA": str(tmp_path)}


class Window:
    """The program's window: keys go in, pictures come out."""

    def __init__(self, environment: dict[str, str], size: str, *arguments: str) -> None:
        self._environment = environment
        self._size = size
        self.process = subprocess.Popen(
            [sys.executable, "-m", "trainer", *arguments, "--window", size], cwd=ROOT, env=environment
        )
        deadline = time.monotonic() + APPEARS_WITHIN_S
        while not (found := self._tool("search", "--onlyvisible", "--class", "boxwalk").stdout.split()):
            assert self.process.poll() is None, "the program ended before its window appeared"
            assert time.monotonic() < deadline, "no window appeared"
            time.sleep(0.1)
        self._window = found[0]
        while drawn_share(self.picture("first-frame")) == 0:
            assert time.monotonic() < deadline, "the window stayed empty"
            time.sleep(0.1)

    def press(self, *keys: str, wait_s: float = 0.4) -> None:
        for key in keys:
            self._tool("key", "--window", self._window, key)
            time.sleep(0.05)
        time.sleep(wait_s)

    def click(self, x_px: float, y_px: float, wait_s: float = 0.3) -> None:
        self._tool("mousemove", str(round(x_px)), str(round(y_px)), "click", "1")
        time.sleep(wait_s)

    def pixels(self) -> np.ndarray:
        """What is seen now, as `pixels_of` gives it."""
        return pixels_of(Path(self._environment[FRAMEBUFFER]))

    def scroll(self, lines: int) -> None:
        """Turn the wheel downwards, with the mouse where it is."""
        self._tool("click", "--repeat", str(lines), "--delay", "4", "5")
        time.sleep(0.3)

    def resize(self, width_px: int, height_px: int) -> None:
        self._tool("windowsize", self._window, str(width_px), str(height_px))
        time.sleep(0.2)

    def picture(self, name: str) -> pygame.Surface:
        PICTURES.mkdir(exist_ok=True)
        path = PICTURES / f"{name}-{self._size}.png"
        subprocess.run(["import", "-window", "root", str(path)], env=self._environment, check=True)
        return pygame.image.load(path)

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()

    def _tool(self, *arguments: str) -> "subprocess.CompletedProcess[str]":
        return subprocess.run(
            ["xdotool", *arguments], env=self._environment, capture_output=True, text=True, check=False
        )


@pytest.fixture
def window(display: dict[str, str], screen_size: str) -> Iterator[Callable[..., Window]]:
    opened: list[Window] = []

    def open_window(*arguments: str) -> Window:
        opened.append(Window(display, screen_size, *arguments))
        return opened[-1]

    yield open_window
    for one in opened:
        one.close()


def drawn_share(picture: pygame.Surface) -> float:
    """The share of pixels that differ from the corner's."""
    ground = picture.get_at((0, 0))
    step = 4
    width, height = picture.get_size()
    points = [(x, y) for x in range(0, width, step) for y in range(0, height, step)]
    return sum(picture.get_at(point) != ground for point in points) / len(points)


def test_from_the_first_page_through_a_take_to_the_result_by_keys_alone(
    window: Callable[..., Window], screen_size: str, tmp_path: Path
) -> None:
    # Sound on the rig's synchronous JACK server holds its MIDI up (seen with PortAudio there).
    boxwalk = window("--silent")
    pictures = [boxwalk.picture("first-page")]

    boxwalk.press("Escape", wait_s=0.6)
    pictures.append(boxwalk.picture("list"))
    boxwalk.press(*"gates", wait_s=0.6)
    pictures.append(boxwalk.picture("filtered"))
    boxwalk.press("Return", wait_s=7)
    pictures.append(boxwalk.picture("playing"))
    boxwalk.press("space")
    pictures.append(boxwalk.picture("paused"))
    boxwalk.press("plus", wait_s=5)
    boxwalk.press("F1")
    pictures.append(boxwalk.picture("keys"))
    boxwalk.press("Escape", "Escape", wait_s=1)
    pictures.append(boxwalk.picture("result"))
    boxwalk.press("Escape", "Escape", "Escape", "Escape", wait_s=0)

    assert boxwalk.process.wait(10) == 0
    assert all(f"{p.get_width()}x{p.get_height()}" == screen_size for p in pictures)
    assert all(drawn_share(picture) > 0.01 for picture in pictures)
    takes = list_takes(tmp_path / "takes")
    assert [take.header.exercise_name for take in takes if take.header] == ["two-gates"] * 2
    assert {float(take.header.quarters_per_minute) for take in takes if take.header} == {84.0, 88.0}
    assert all(take.note_ons > 0 for take in takes)


@pytest.mark.parametrize("screen_size", SIZES[1:])  # the other size is seen by the other tests
def test_an_exercise_is_built_kept_and_played_by_keys_and_mouse(
    window: Callable[..., Window], screen_size: str, tmp_path: Path
) -> None:
    boxwalk = window("--silent")
    unit = int(screen_size.partition("x")[0]) / 1920

    boxwalk.press("Escape", "F4", wait_s=0.3)
    boxwalk.press("comma", *"legato", wait_s=0.2)
    boxwalk.click(300 * unit, 252 * unit)  # the row of the key
    boxwalk.press("Right", "F7", *["BackSpace"] * 40, *"stairs", "Return", wait_s=0.3)
    picture = boxwalk.picture("built")
    boxwalk.press("Return", wait_s=7)
    boxwalk.press("Escape", "ctrl+q", wait_s=0)

    assert boxwalk.process.wait(10) == 0
    assert drawn_share(picture) > 0.01
    (kept,) = (tmp_path / "exercises").iterdir()
    assert kept.name == "stairs.toml"
    assert 'key = "Bb minor pentatonic"' in kept.read_text()
    assert 'articulation = "legato"' in kept.read_text()
    assert [take.header.exercise_name for take in list_takes(tmp_path / "takes") if take.header] == ["stairs"]


def test_a_kept_take_is_replayed_in_the_window(
    window: Callable[..., Window], display: dict[str, str], tmp_path: Path
) -> None:
    command = [sys.executable, "-m", "trainer", "practise", "two-gates", "--input", "simulated", "--headless"]
    command += ["--silent", "--passes", "1", "--tempo", "240", "--faults", "miss 5, fret 9"]
    subprocess.run(command, cwd=ROOT, env=display, check=True, capture_output=True)
    (take,) = list_takes(tmp_path / "takes")

    boxwalk = window("replay", take.path.name)
    time.sleep(4)
    picture = boxwalk.picture("replay")
    boxwalk.press("ctrl+q", wait_s=0)

    assert boxwalk.process.wait(10) == 0
    assert drawn_share(picture) > 0.01
    assert list_takes(tmp_path / "takes") == (take,)
