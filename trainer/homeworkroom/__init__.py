"""The rooms of homework: a pupil's, and a teacher's for giving out and for what comes back.

Files can be dropped onto the window wherever one is. While something is played or measured they wait until that is
over, so that a drop interrupts nothing.
"""

from collections.abc import Callable, Iterable
from pathlib import Path

from trainer.homework.assignment import ENDING as GIVEN_OUT
from trainer.homework.returned import ENDING as GIVEN_BACK
from trainer.homeworkroom.pupil import Pupil
from trainer.homeworkroom.teacher import Teacher
from trainer.homeworkroom.words import is_folder
from trainer.run import RunPlan
from trainer.screens.builder import BuilderScreen
from trainer.screens.coach import CoachScreen
from trainer.screens.day_plan import DayPlanScreen
from trainer.screens.home import HomeScreen
from trainer.screens.homework import HomeworkDoors, HomeworkScreen
from trainer.screens.homework_making import MakingScreen
from trainer.screens.homework_table import TableScreen
from trainer.screens.pick import PickScreen
from trainer.screens.progress import ProgressScreen
from trainer.screens.result import ResultScreen
from trainer.screens.screen import Screen
from trainer.screens.tempo_ways import TempoWaysScreen
from trainer.screens.welcome import WelcomeScreen
from trainer.station import Station
from trainer.workroom import Library

AT_REST = (HomeScreen, HomeworkScreen, TableScreen, MakingScreen)
"""Where files are opened that came while something was played, heard or measured; a result is to be seen first."""
QUIET = (
    *(*AT_REST, WelcomeScreen, ResultScreen, PickScreen, BuilderScreen, TempoWaysScreen),
    *(DayPlanScreen, ProgressScreen, CoachScreen),
)
"""Where files are opened at once; everywhere else they wait."""
NO_HOMEWORK = "{name} is no file of homework: expected one that ends in " + f"{GIVEN_OUT} or {GIVEN_BACK}."


class Homeworkroom:
    """`play(plan, back_to)` and `leave()` lead out of its screens."""

    def __init__(
        self,
        station: Station,
        library: Library,
        *,
        play: Callable[[RunPlan, Screen], Screen],
        leave: Callable[[], Screen],
    ) -> None:
        self._station = station
        self._leave = leave
        self._pupil = Pupil(station, play)
        self._teacher = Teacher(library, station.sound, open_files=self.open)
        self._dropped: list[Path] = []
        self._waits = False

    def homework(self, notice: str = "") -> Screen:
        """What a pupil has to play, from the list of exercises."""
        return self._homework(notice, self._leave)

    def drop(self, path: str) -> None:
        """A file or a folder was dropped onto the window."""
        self._dropped.append(Path(path))

    def lead(self, screen: Screen) -> Screen:
        """The screen to go on with: another one when there are files to be opened and nothing is interrupted."""
        if not self._dropped:
            return screen
        if not isinstance(screen, AT_REST if self._waits else QUIET):
            self._waits = True
            return screen
        paths, self._dropped, self._waits = self._dropped, [], False
        self._station.sound.stop()
        return self.open(paths, screen)

    def open(self, paths: Iterable[Path], screen: Screen) -> Screen:
        """Open files of homework and returned ones, of which a folder may hold many; `screen` is where one was."""
        given_out, came_back, sentences = [], [], []
        for path in paths:
            ending = path.suffix.lower()
            if is_folder(path) or ending == GIVEN_BACK:
                came_back.append(path)
            elif ending == GIVEN_OUT:
                given_out.append(path)
            else:
                sentences.append(NO_HOMEWORK.format(name=path.name))
        sentences += self._pupil.open(given_out)
        if came_back:
            self._teacher.take(came_back, sentences)
            return screen if isinstance(screen, TableScreen) else self._teacher.table(screen)
        if isinstance(screen, TableScreen) and not given_out:
            self._teacher.take([], sentences)
            return screen
        return self._homework(" ".join(sentences), self._way_back_to(screen))

    def close(self) -> None:
        """Let nothing go on being judged."""
        self._pupil.stop()
        self._teacher.stop()

    def _way_back_to(self, screen: Screen) -> Callable[[], Screen]:
        """Where homework leads back to: where it was opened, or, from homework itself, where that leads."""
        match screen:
            case HomeScreen():
                return self._leave
            case HomeworkScreen():
                return screen.doors.leave
            case _:
                return lambda: screen

    def _homework(self, notice: str, outside: Callable[[], Screen]) -> Screen:
        pupil, teacher = self._pupil, self._teacher
        trouble = pupil.look()

        def leave() -> Screen:
            pupil.stop()
            return outside()

        return HomeworkScreen(
            HomeworkDoors(
                sheets=pupil.sheets,
                done=pupil.done,
                play=pupil.play,
                look=pupil.look,
                name=pupil.name,
                written_to=pupil.written_to,
                give_back=pupil.give_back,
                choose_file=lambda back: pupil.choose_file(back, self.open),
                make=teacher.making,
                table=teacher.table,
                leave=leave,
            ),
            notice=notice or trouble,
        )
