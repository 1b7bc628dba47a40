"""What a pupil does with homework: opens it, plays it, sees how far it is, gives it back."""

import secrets
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path

from trainer.homework import folders
from trainer.homework.assignment import ENDING, LONGEST_NAME, LONGEST_NOTE, LONGEST_TITLE, Task
from trainer.homework.container import read_file
from trainer.homework.errors import HomeworkError
from trainer.homework.folders import Opened
from trainer.homework.gathering import Gathered, gathered
from trainer.homework.giving_back import give_back
from trainer.homework.job import Job, StoppedError
from trainer.homework.measuring import MeasuredTake, clean_at_least, fastest_clean
from trainer.homework.places import folder_to_write, found
from trainer.homework.wording import shown
from trainer.homeworkroom.words import day_of, file_picks, path_typed, sentence
from trainer.run import RunPlan
from trainer.score.tempo import Tempo
from trainer.screens.choices import MOST_PASSES
from trainer.screens.homework_picture import Done, Item, Sheet
from trainer.screens.pick import PickScreen
from trainer.screens.screen import Screen
from trainer.screens.words import brief_words
from trainer.station import Station
from trainer.theory.naming import counted

COUNTING = "Your takes are being counted ..."
STILL_COUNTING = "Your takes are still being counted; F7 again in a moment."
NOT_KEPT = "Takes are not kept now, so none can be counted."


class Pupil:
    """`play(plan, back_to)` is the screen that plays."""

    def __init__(self, station: Station, play: Callable[[RunPlan, Screen], Screen]) -> None:
        self._station = station
        self._play = play
        self._name = ""
        self._opened: tuple[Opened, ...] = ()
        self._jobs: dict[str, Job[Gathered]] = {}
        self._done: dict[str, Done | str] = {}

    def look(self) -> str:
        """Look anew at what is open and at what was played; a sentence on what cannot be read."""
        self.stop()
        troubles: list[str] = []
        self._opened = folders.all_opened(troubles)[::-1]
        return " ".join(troubles)

    def stop(self) -> None:
        """Let nothing go on being counted."""
        for job in self._jobs.values():
            job.stop()
        self._jobs, self._done = {}, {}

    def open(self, paths: Iterable[Path]) -> list[str]:
        """Take homework in; a sentence on each file."""
        said: list[str] = []
        for path in paths:
            try:
                opened, words = folders.open_homework(read_file(path), _now(), secrets.token_hex(4))
                said.append(f"{shown(opened.assignment.title, LONGEST_TITLE)}: {words}")
            except HomeworkError as error:
                said.append(f"{path.name} {error}.")
        return said

    def choose_file(self, back: Screen, open_files: Callable[[Sequence[Path], Screen], Screen]) -> Screen:
        """The files of homework that lie about, or any path."""
        return PickScreen(
            "Open homework",
            file_picks(found(ENDING)),
            now="",
            chosen=lambda path: open_files([path_typed(path)], back),
            back_to=back,
            wants_path=True,
        )

    def sheets(self) -> tuple[Sheet, ...]:
        """What is open, the newest first."""
        return tuple(_sheet(one) for one in self._opened)

    def done(self, number: int) -> Done | str:
        """How far one is, or how far the counting is."""
        opened = self._opened[number]
        identity = opened.assignment.identity
        if identity in self._done:
            return self._done[identity]
        if self._station.takes_folder is None:
            return NOT_KEPT
        job = self._jobs.get(identity) or self._begin(opened, self._station.takes_folder)
        if not job.is_over:
            return f"{COUNTING} {job.done} of {job.of} judged." if job.of else COUNTING
        try:
            self._done[identity] = _done(opened, job.result)
        except (HomeworkError, StoppedError, OSError) as error:
            self._done[identity] = sentence(f"Your takes cannot be counted: {error}")
        return self._done[identity]

    def play(self, number: int, item: int, back: Screen) -> Screen:
        """Play an exercise at its target, as often as was asked for."""
        opened = self._opened[number]
        task = opened.assignment.tasks[item]
        self.stop()  # nothing is judged while something is played
        return self._play(
            RunPlan(folders.own_line(opened, task), Tempo(task.target_qpm), passes=min(task.passes, MOST_PASSES)), back
        )

    def name(self, number: int) -> str:
        """Who gives it back, as far as that is known."""
        history, pupils = self._station.history, self._opened[number].assignment.pupils
        return self._name or (history.player if history is not None else "") or (pupils[0] if len(pupils) == 1 else "")

    @staticmethod
    def written_to() -> str:
        """Where the file will be."""
        return f"It will be in {folder_to_write()}."

    def give_back(self, number: int, name: str) -> str:
        """Write the file; what became of it."""
        opened = self._opened[number]
        job = self._jobs.get(opened.assignment.identity)
        if job is None or not job.is_over:
            return NOT_KEPT if self._station.takes_folder is None else STILL_COUNTING
        self._name = shown(name, LONGEST_NAME)
        try:
            found_takes = job.result
            given = give_back(opened, found_takes, self._name, _now(), folder_to_write())
        except (HomeworkError, StoppedError, OSError) as error:
            return sentence(f"Nothing was written: {error}")
        takes, teacher = counted(len(found_takes.takes), "take"), shown(opened.assignment.teacher, LONGEST_NAME)
        notes = f", {counted(len(found_takes.notes), 'note')} about them" if found_takes.notes else ""
        return (
            f"Written: {given.written.path} ({given.written.size_bytes / 1000:.0f} kB), {takes}{notes} and your name. "
            f"Give that file to {teacher or 'your teacher'}."
        )

    def _begin(self, opened: Opened, folder: Path) -> Job[Gathered]:
        history, cache = self._station.history, folders.judged_before()
        player = "" if history is None else history.player
        job = Job(lambda progress: gathered(opened, folder, player, cache, progress, with_simulated=False))
        self._jobs[opened.assignment.identity] = job
        return job


def _sheet(opened: Opened) -> Sheet:
    assignment = opened.assignment
    by = f"From {assignment.teacher}. " if assignment.teacher else ""
    edition = f"Edition {assignment.edition}, open" if assignment.edition > 1 else "Open"
    about = f"{by}{counted(len(assignment.tasks), 'exercise')}. {edition} since {day_of(opened.since)}."
    return Sheet(assignment.title, about, assignment.note, tuple(_item(task) for task in assignment.tasks))


def _item(task: Task) -> Item:
    title = shown(task.exercise.title, LONGEST_TITLE) or task.exercise.name
    about = shown(brief_words(task.exercise), LONGEST_NOTE)
    return Item(title, task.target_qpm, task.passes, task.articulation, task.note, about)


def _done(opened: Opened, found_takes: Gathered) -> Done:
    tasks = opened.assignment.tasks
    of_tasks = [[take for take in found_takes.measured if take.line == task.digest] for task in tasks]
    return Done(
        clean=tuple(clean_at_least(takes, task.target_qpm) for task, takes in zip(tasks, of_tasks, strict=True)),
        words=tuple(_so_far(takes) for takes in of_tasks),
        remarks=found_takes.remarks,
    )


def _so_far(takes: Sequence[MeasuredTake]) -> str:
    """What was played of one exercise."""
    if not takes:
        return "Nothing of it has been played yet."
    fastest = fastest_clean(takes)
    minutes = sum(take.played_ms for take in takes) / 60_000
    at = "No pass was clean yet" if fastest is None else f"The fastest clean pass was at ♩ = {float(fastest.qpm):g}"
    return f"{at}. {minutes:.1f} minutes in {counted(len(takes), 'take')}, the last on {day_of(takes[-1].date)}."


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")
