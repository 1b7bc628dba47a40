"""The room where exercises are made: the builder, variations, hearing a line, and comparing twins.

Joins the screens with what they need of the outside: the sound, the folder of own exercises and the folder of takes.
"""

from collections.abc import Callable, Sequence
from pathlib import Path

from trainer.devices.own_exercises import exercises_folder
from trainer.keeping import KeepingError, checked_name, keep_text
from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise
from trainer.score.finding import twins_of
from trainer.score.library import exercise_files, load_all, load_recipe
from trainer.score.one_line import name_of_line
from trainer.score.recipe import Recipe
from trainer.screens.benches import Bench, bench_of, line_bench, variation_bench
from trainer.screens.builder import BuilderScreen, Doors, Kept
from trainer.screens.home import Workshop
from trainer.screens.screen import Screen
from trainer.screens.twin_table import Comparison
from trainer.station import Station
from trainer.tablature.figures import TakeFigures
from trainer.twins import last_figures, names_played


class Library:
    """The exercises, shipped and own; read again when a file has changed, come or gone."""

    def __init__(self) -> None:
        self.complaints: tuple[str, ...] = ()
        """What is wrong with those that cannot be read."""
        self._exercises: tuple[Exercise, ...] = ()
        self._signature: dict[Path, int] | None = None

    @property
    def complaint(self) -> str:
        """The first line of the first complaint; empty without one."""
        return "".join(self.complaints[:1]).partition("\n")[0]

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        """All that can be read."""
        own = [exercises_folder()]
        signature = {path: _changed_at_ns(path) for path in exercise_files(own).values()}
        if signature != self._signature:
            self._exercises, self.complaints = load_all(own)
            self._signature = signature
        return self._exercises

    def after(self, exercise: Exercise) -> Exercise | None:
        """The next one of the list; None after the last one, and for one that is not in it."""
        following = iter(self.exercises)
        return next(following, None) if any(line.name == exercise.name for line in following) else None


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
