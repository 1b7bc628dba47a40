"""`boxwalk doctor`: what this installation has, what is wrong with it, and what to do; to be read and to be copied.

Each check is a function that gives findings and never raises for the machine's sake. Where it looks is a value
(`Surroundings`), so that a machine without sound, ports, screen or space can be put together in a test. The report is
plain text that can be given to a stranger: the home folder is `~`, the data folder that BOXWALK_DATA names is called
that, and no other path stands in it.
"""

import os
import platform
import re
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from trainer.devices.display import Display
    from trainer.devices.remembered import Memory
    from trainer.devices.sound import Sound

LIBRARIES = (
    *("click", "defusedxml", "matplotlib", "mido", "numpy", "platformdirs", "pydantic"),
    *("pygame", "python-rtmidi", "reportlab", "rich", "sounddevice"),
)
"""By the names that a package index knows them by; those of pyproject.toml (a test compares)."""
PYTHONS = ((3, 11), (3, 12))
LEAST_FREE_BYTES = 200_000_000
"""About a hundred hours of takes at the density of a converter that bends all the time."""
SMALLEST_SCREEN = (1280, 720)
AUDIBLE_LATENCY_NS = 40_000_000
"""From memory: players begin to feel a delay between 10 and 40 ms; it is compensated, but a click far behind annoys."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One line of the report."""

    what: str
    words: str
    to_do: str = ""
    """Empty: all is well."""

    def __str__(self) -> str:
        state = "mend" if self.to_do else "good"
        return f"{state}  {self.what:12}  {self.words}" + (f" To do: {self.to_do}" if self.to_do else "")


def _memory() -> "Memory":
    from trainer.devices.remembered import Memory

    return Memory()


def _midi_apis() -> list[int]:
    from trainer.devices.midi_drivers import DRIVERS

    return DRIVERS.apis()


def _midi_inputs() -> tuple[str, ...]:
    from trainer.devices.midi_drivers import input_names

    return input_names()


def _sound_outputs() -> tuple[str, ...]:
    import sounddevice

    devices = list(sounddevice.query_devices())
    return tuple(dict.fromkeys(str(each["name"]) for each in devices if each["max_output_channels"] > 0))


def _sound() -> "Sound":
    from trainer.devices.outputs import remembered_sound

    return remembered_sound()


def _display() -> "Display":
    from trainer.devices.display import look_at_display

    return look_at_display()


def _version(library: str) -> str:
    from importlib.metadata import version

    return version(library)


def _data_folder() -> Path:
    from trainer.devices.recording import takes_folder

    return takes_folder().parent


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Where the checks look; a test puts others in their place."""

    python: tuple[int, ...] = tuple(sys.version_info[:3])
    version: Callable[[str], str] = _version
    midi_apis: Callable[[], list[int]] = _midi_apis
    midi_inputs: Callable[[], tuple[str, ...]] = _midi_inputs
    memory: Callable[[], "Memory"] = _memory
    sound_outputs: Callable[[], tuple[str, ...]] = _sound_outputs
    sound: Callable[[], "Sound"] = _sound
    display: Callable[[], "Display"] = _display
    data_folder: Callable[[], Path] = _data_folder
    free_bytes: Callable[[Path], int] = field(default=lambda folder: shutil.disk_usage(folder).free)
    encoding: str | None = None
    """Of standard output; None: as it is."""


@click.command()
def doctor() -> None:
    """Say what is here (inputs, latency, sound, screen, folders, history, versions), what is wrong and what to do.

    The report can be copied as it stands: it names no folder of yours.
    """
    for finding in findings(Surroundings()):
        click.echo(without_places(str(finding), os.environ))


def findings(around: Surroundings) -> Iterator[Finding]:
    """All checks, one after the other."""
    for check in (program, libraries, midi, latency, sound, display, folders, own_exercises, history, text):
        try:
            yield from check(around)
        except Exception as error:  # a check that fails must not hide the others
            yield Finding(check.__name__, f"cannot be looked at ({_plain(error)}).", "give this report to a developer.")


def without_places(words: str, environment: Mapping[str, str]) -> str:
    """`words` without what is private in paths: the home folder is `~`, the named data folder goes by its variable."""
    named = environment.get("BOXWALK_DATA", "")
    try:
        home = str(Path.home())
    except RuntimeError:
        home = ""
    for place, name in ((named, "$BOXWALK_DATA"), (home, "~")):
        if len(plain := place.rstrip("/\\")) > 1:
            words = re.sub(rf"{re.escape(plain)}(?!\w)", name, words)
    return words


def program(around: Surroundings) -> Iterator[Finding]:
    """Boxwalk itself, Python and the system."""
    from trainer import __version__

    yield Finding("program", f"Boxwalk {__version__}.")
    bits = 64 if sys.maxsize > 1 << 32 else 32
    words = f"{'.'.join(map(str, around.python))}, {bits} bit, {platform.system()} {platform.release()}"
    words = f"{words}, {platform.machine()}."
    known = " or ".join(".".join(map(str, each)) for each in PYTHONS)
    yield Finding("Python", words, "" if around.python[:2] in PYTHONS else f"install it under Python {known}.")


def libraries(around: Surroundings) -> Iterator[Finding]:
    """What the program is built on."""
    from importlib.metadata import PackageNotFoundError

    found, missing = [], []
    for name in LIBRARIES:
        try:
            found.append(f"{name} {around.version(name)}")
        except PackageNotFoundError:
            missing.append(name)
    yield Finding("libraries", f"{', '.join(found)}.")
    if missing:
        yield Finding("libraries", f"{', '.join(missing)} is not installed.", f"pip install {' '.join(missing)}")


def midi(around: Surroundings) -> Iterator[Finding]:
    """The MIDI inputs."""
    from trainer.devices.midi_drivers import MidiInputError

    without = "`--input simulated` plays without a pickup."
    try:
        apis = around.midi_apis()
    except MidiInputError as error:
        yield Finding("MIDI", str(error), f"install what is missing; {without}")
        return
    if not apis:
        yield Finding("MIDI", "The MIDI library knows no MIDI system.", f"install python-rtmidi anew; {without}")
        return
    names = around.midi_inputs()
    if not names:
        yield Finding("MIDI", "No input was found.", f"plug the pickup in and look again; {without}")
    for name in names:
        yield Finding("MIDI", f"{name}.")


def latency(around: Surroundings) -> Iterator[Finding]:
    """What is remembered of devices, and how late each input is known to be."""
    memory = around.memory()
    if memory.trouble is not None:
        yield Finding("remembered", memory.trouble, "set the devices up again: boxwalk set-up")
    else:
        yield Finding("remembered", f"devices that were set up: {len(memory.devices)}.")
    for name in around.midi_inputs():
        profile = memory.profile_of(name)
        if profile is None:
            yield Finding("latency", f"{name} was never set up.", f'boxwalk set-up --input "{name}"')
        elif profile.latency_ns == 0 and profile.latency_cycles == 0:
            yield Finding("latency", f"That of {name} was not measured.", f'boxwalk set-up --input "{name}"')
        else:
            cycles = f" and {profile.latency_cycles:.1f} cycles of the string" if profile.latency_cycles else ""
            yield Finding("latency", f"{name}: {profile.latency_ns / 1e6:.1f} ms{cycles}.")


def sound(around: Surroundings) -> Iterator[Finding]:
    """The outputs, and the one that the program takes."""
    from trainer.devices.sound import SYSTEM_MIXER

    try:
        names = around.sound_outputs()
    except Exception as error:  # a library of the system may be missing or broken in any way
        yield Finding("sound", f"Outputs cannot be listed ({_plain(error)}).", "on Linux: install libportaudio2.")
    else:
        for name in names:
            yield Finding("sound", f"There is {name}.")
        chosen = around.memory().sound.output
        if chosen and chosen not in (*names, SYSTEM_MIXER):
            yield Finding("sound", f"{chosen} was chosen and is not there.", "plug it in; until then another is used.")
    with closing(around.sound()) as output:
        if not output.is_audible:
            yield Finding("sound", f"{output.status}.", "connect a card or headphones; all goes on without sound.")
        elif output.latency_ns > AUDIBLE_LATENCY_NS:
            yield Finding("sound", f"{output.status}: late.", "choose a faster output (not Bluetooth) in the system.")
        else:
            yield Finding("sound", f"{output.status}.")


def display(around: Surroundings) -> Iterator[Finding]:
    """The screens that a window can open on."""
    from trainer.devices.display import DisplayError

    try:
        found = around.display()
    except DisplayError as error:
        yield Finding("display", str(error), "log in at a screen; without one: `boxwalk practise LINE --headless`.")
        return
    for width, height in found.sizes:
        is_small = width < SMALLEST_SCREEN[0] or height < SMALLEST_SCREEN[1]
        wanted = f"use a screen of at least {SMALLEST_SCREEN[0]}x{SMALLEST_SCREEN[1]}, or --window 1024x576."
        yield Finding("display", f"{width}x{height} ({found.driver}).", wanted if is_small else "")


def folders(around: Surroundings) -> Iterator[Finding]:
    """Where takes and exercises are kept: whether that can be written, and how much space is left."""
    folder = around.data_folder()
    there = folder
    while not there.exists() and there != there.parent:
        there = there.parent
    for place in (folder, folder / "takes", folder / "exercises", folder / "homework"):
        if place == folder or place.exists():
            yield _writable(place if place.exists() else there, place)
    free = around.free_bytes(there)
    words = f"{free / 1e9:.1f} GB are free there."
    yield Finding("space", words, "" if free >= LEAST_FREE_BYTES else "delete something: takes need room.")


def _writable(there: Path, place: Path) -> Finding:
    """Whether a file can be made in `there`, which stands for `place` while that is not made yet."""
    later = "" if there == place else ", which will be made"
    try:
        with tempfile.TemporaryFile(dir=there, prefix="boxwalk-"):
            return Finding("folder", f"{place}{later}, can be written.")
    except OSError as error:
        return Finding(
            "folder",
            f"{place}{later}, cannot be written ({error.strerror or error}).",
            "get the right to write there, or name another folder in the variable BOXWALK_DATA.",
        )


def own_exercises(around: Surroundings) -> Iterator[Finding]:
    """The shipped exercises and the player's own."""
    from trainer.score.errors import ExerciseError
    from trainer.score.library import exercise_files, load_exercise

    shipped, every = exercise_files(), exercise_files((around.data_folder() / "exercises",))
    own = sorted(path for path in every.values() if path not in shipped.values())
    yield Finding("exercises", f"{len(shipped)} shipped, {len(own)} of your own.")
    for path in own:
        try:
            load_exercise(str(path))
        except ExerciseError as error:
            yield Finding("exercises", str(error).splitlines()[0], "mend that line, or move the file away.")


def history(around: Surroundings) -> Iterator[Finding]:
    """The history: its version, whether it is whole, and what is in it; it is only read."""
    from trainer.history.errors import DamagedHistoryError, HistoryError, NewerHistoryError
    from trainer.history.migrations import MIGRATIONS
    from trainer.history.opening import assure_whole, history_path
    from trainer.history.store import History

    folder = around.data_folder() / "takes"
    path = history_path(folder)
    if not path.exists():
        yield Finding("history", "none yet; it is made with the first take.")
        return
    try:
        with History.read(path, folder) as kept:
            assure_whole(kept.connection, path)
            count = len(kept.take_ids())
            yield Finding("history", f"version {len(MIGRATIONS)}, whole, {count} takes.")
    except DamagedHistoryError as error:
        yield Finding("history", str(error), "boxwalk history, which makes a new one of the takes.")
    except NewerHistoryError as error:
        yield Finding("history", str(error), "bring Boxwalk up to date.")
    except HistoryError as error:
        yield Finding("history", str(error), "boxwalk history")


def text(around: Surroundings) -> Iterator[Finding]:
    """Whether names in any script can be printed."""
    encoding = around.encoding or getattr(sys.stdout, "encoding", None) or "unknown"
    is_unicode = encoding.lower().replace("-", "").startswith("utf")
    yield Finding("text", f"printed as {encoding}.", "" if is_unicode else "set PYTHONUTF8=1, for names in any script.")


def _plain(error: Exception) -> str:
    return (str(error).strip() or type(error).__name__).splitlines()[0].rstrip(".")
