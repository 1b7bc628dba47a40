"""The room where exercises are made: the builder, variations, hearing a line, and comparing twins.

Joins the screens with what they need of the outside: the sound, the folder of own exercises and the folder of takes.
"""

import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from trainer.devices.own_exercises import exercises_folder
from trainer.keeping import KeepingError, checked_name, keep_text
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.file_reading import read_file
from trainer.score.finding import twins_of
from trainer.score.library import exercise_files, load_recipe
from trainer.score.one_line import name_of_line
from trainer.score.practice_path import PATH
from trainer.score.recipe import Recipe
from trainer.screens.benches import Bench, bench_of, line_bench, variation_bench
from trainer.screens.builder import BuilderScreen, Doors, Kept
from trainer.screens.home import Workshop
from trainer.screens.home_list import Known
from trainer.screens.screen import Screen
from trainer.screens.twin_table import Comparison
from trainer.station import Station
from trainer.tablature.figures import TakeFigures
from trainer.twins import last_figures, names_played

IN_A_FRAME_NS = 5_000_000
"""So much of a frame exercises are read while the list is open; what is left suffices to draw it."""
TOLD_EVERY_NS = 500_000_000
"""A list of thousands is not put in order in every frame."""


class Library:
    """The exercises, shipped and own, read one after the other, so that nobody waits for a folder of thousands.

    What was read is kept until its file changes.
    """

    def __init__(self) -> None:
        self._read: dict[Path, tuple[int, Exercise | str]] = {}
        """When a file had last changed, and its exercise or what is wrong with it."""
        self._files: dict[str, Path] = {}
        self._waiting: deque[Path] = deque()
        self._known: tuple[Exercise, ...] | None = None
        self._told_ns = 0
        self._is_told = True

    @property
    def complaints(self) -> tuple[str, ...]:
        """What is wrong with those that cannot be read."""
        return tuple(found for found in self._found() if isinstance(found, str))

    @property
    def complaint(self) -> str:
        """The first line of the first complaint; empty without one."""
        return "".join(self.complaints[:1]).partition("\n")[0]

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        """All that can be read, by name."""
        self.look()
        while self._waiting:
            self._read_next()
        return self.known

    @property
    def known(self) -> tuple[Exercise, ...]:
        """Those that have been read, by name."""
        if self._known is None:
            self._known = tuple(found for found in self._found() if isinstance(found, Exercise))
        return self._known

    def look(self, first: str | None = None) -> None:
        """See which files there are; what is new or changed waits to be read, `first` first, then along the path."""
        self._files = exercise_files([exercises_folder()])
        changed = {path: _changed_at_ns(path) for path in self._files.values()}
        kept = {path: read for path, read in self._read.items() if changed.get(path) == read[0]}
        if len(kept) < len(self._read):
            self._known = None
        self._read = kept
        along = [name for step in PATH for name in step.exercises]
        names = dict.fromkeys(([] if first is None else [first]) + along + sorted(self._files))
        paths = (self._files[name] for name in names if name in self._files)
        self._waiting = deque(path for path in paths if path not in kept)

    @property
    def is_reading(self) -> bool:
        """Whether some wait to be read."""
        return bool(self._waiting)

    def read_on(self, within_ns: int) -> bool:
        """Read for about so long, one exercise at least; whether there was one to read."""
        if not self._waiting:
            return False
        until_ns = time.perf_counter_ns() + within_ns
        self._read_next()
        while self._waiting and time.perf_counter_ns() < until_ns:
            self._read_next()
        return True

    def more(self) -> Known | None:
        """Read on for a part of a frame; what is known, when it has grown and was not told a moment ago."""
        has_read = self.read_on(IN_A_FRAME_NS)
        now_ns = time.perf_counter_ns()
        self._is_told = self._is_told and not has_read
        if self._is_told or (has_read and now_ns - self._told_ns < TOLD_EVERY_NS):
            return None
        self._told_ns, self._is_told = now_ns, True
        return Known(self.known, self.complaint)

    def after(self, exercise: Exercise) -> Exercise | None:
        """The next one of the list; None after the last one, and for one that is not in it."""
        following = iter(self.exercises)
        return next(following, None) if any(line.name == exercise.name for line in following) else None

    def _read_next(self) -> None:
        path = self._waiting.popleft()
        changed_at_ns = _changed_at_ns(path)
        try:
            self._read[path] = changed_at_ns, read_file(path).exercise
        except ExerciseError as error:
            self._read[path] = changed_at_ns, str(error)
        self._known = None

    def _found(self) -> Iterator[Exercise | str]:
        return (self._read[path][1] for _, path in sorted(self._files.items()) if path in self._read)


def _changed_at_ns(path: Path) -> int:
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0


class Workroom:
    """Makes the screens on which exercises are made; `play(exercise, back_to)` and `leave()` lead out of them."""

    def __init__(
        self,
        station: Station,
        library: Library,
        *,
        play: Callable[[Exercise, Screen], Screen],
        leave: Callable[[], Screen],
    ) -> None:
        self._station = station
        self._library = library
        self._play = play
        self._leave = leave

    @property
    def workshop(self) -> Workshop:
        """What the list can do with an exercise."""
        return Workshop(
            build=lambda exercise: self._builder(_line_of(exercise)),
            vary=lambda exercise: self.vary(exercise, _recipe_of(exercise)),
            hear=self._station.hear,
            hush=self._station.sound.stop,
            figures=self.figures,
            played=self._played,
        )

    def comparison(self, exercise: Exercise) -> Comparison | None:
        """An exercise beside its twins; None when it has none."""
        twins = twins_of(exercise, self._library.exercises)
        return Comparison((exercise, *twins), self.figures) if twins else None

    def figures(self, name: str) -> TakeFigures | None:
        """What the last take of an exercise came to."""
        folder = self._station.takes_folder
        return None if folder is None else last_figures(name, folder)

    def vary(self, exercise: Exercise, recipe: Recipe | None = None) -> Screen:
        """Variations of a line, each of which can be played and kept."""
        return self._builder(variation_bench(exercise, recipe))

    def _played(self) -> frozenset[str]:
        folder = self._station.takes_folder
        names: Sequence[str] = [exercise.name for exercise in self._library.exercises]
        return frozenset() if folder is None else names_played(names, folder)

    def _builder(self, bench: Bench) -> Screen:
        return BuilderScreen(
            bench,
            Doors(
                play=self._play,
                keep=keep,
                hear=self._station.hear,
                hush=self._station.sound.stop,
                sound_status=lambda: self._station.sound.status,
                leave=self._leave,
            ),
        )


def keep(title: str, text: str) -> Kept:
    """Keep an exercise's file under a name made of its title."""
    name = name_of_line(title)
    if not name:
        return Kept("A title needs at least one letter from a to z or a figure.")
    try:
        path = keep_text(text, checked_name(name))
    except KeepingError as error:
        return Kept(f"Not kept: {error}.")
    return Kept(f"Kept as {name} among your own exercises ({path}).", name)


def _recipe_of(exercise: Exercise) -> Recipe | None:
    try:
        return load_recipe(exercise.name, [exercises_folder()])[1]
    except ExerciseError:  # it lists its notes, or its file has changed since the list was read
        return None


def _line_of(exercise: Exercise) -> Bench:
    """A line to begin with: that of an exercise, or a plain one where it has none."""
    recipe = _recipe_of(exercise)
    return line_bench() if recipe is None else bench_of(recipe)
