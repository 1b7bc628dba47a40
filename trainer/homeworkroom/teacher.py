"""What a teacher does with homework: gives it out, and looks at what came back."""

import gc
import secrets
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path

from trainer.devices.own_exercises import exercises_folder
from trainer.devices.sound import Sound
from trainer.homework import folders
from trainer.homework.assignment import Assignment, Task
from trainer.homework.collecting import Table
from trainer.homework.errors import HomeworkError
from trainer.homework.finding import kept_take
from trainer.homework.intake import Intake, taken_in
from trainer.homework.job import Job
from trainer.homework.making import Wanted, assigned, give_out
from trainer.homework.places import folder_to_write, found
from trainer.homework.returned import ENDING
from trainer.homework.tasks import task_of, task_with
from trainer.homeworkroom.grids import columns_of, draft_of, edition_pick, grid_of, take_pick, title_of
from trainer.homeworkroom.words import file_picks, path_typed, sentence
from trainer.playing.take import TakeError
from trainer.replaying import replay_screen
from trainer.score.errors import ExerciseError
from trainer.screens.homework_making import MakingDoors, MakingScreen, Outcome
from trainer.screens.homework_making_picture import Draft, ItemDraft
from trainer.screens.homework_table import Collected, TableDoors, TableScreen
from trainer.screens.pick import Pick, PickScreen
from trainer.screens.screen import Screen
from trainer.screens.words import brief_words
from trainer.theory.naming import counted
from trainer.workroom import Library

READING = "The files are being read ..."
NOTHING_IN = "Nothing that was given back is in {names}."


class Teacher:
    """`open_files(paths, back_to)` opens whatever was chosen; takes are heard by `sound`."""

    def __init__(
        self, library: Library, sound: Sound, *, open_files: Callable[[Sequence[Path], Screen], Screen]
    ) -> None:
        self._library = library
        self._sound = sound
        self._open_files = open_files
        self._paths: dict[Path, None] = {}
        self._sentences: list[str] = []
        self._job: Job[Intake] | None = None
        self._tables: tuple[Table, ...] = ()
        self._collected = Collected(())

    def stop(self) -> None:
        """Let nothing go on being judged."""
        if self._job is not None:
            self._job.stop()
        self._job = None

    def take(self, paths: Iterable[Path], sentences: Iterable[str] = ()) -> None:
        """Take more returned files in; what is being judged goes on with them."""
        self._paths |= dict.fromkeys(path.absolute() for path in paths)
        self._sentences = [*(self._sentences if self._job is not None else ()), *sentences]
        self._begin()

    def table(self, back: Screen) -> Screen:
        """What came back: of the homework whose files were opened in this sitting, or else of all."""
        if self._job is None:
            self._begin()

        def leave() -> Screen:
            self.stop()
            return back

        return TableScreen(TableDoors(self.collected, self._takes, self._choose_files, self.making, leave))

    def collected(self) -> Collected:
        """What there is by now."""
        job = self._job
        if job is None:
            return self._collected
        if not job.is_over:
            words = f"{job.done} of {counted(job.of, 'take')} judged ..." if job.of else READING
            return Collected(self._collected.grids, words)
        try:
            intake = job.result
        except (HomeworkError, OSError) as error:
            intake = Intake(self._tables, ())
            self._sentences.append(sentence(str(error)))
        self._sentences += [sentence(f"Left out: {one}") for one in intake.left_out]
        if self._paths and not intake.tables:
            self._look_at_all()
            return self.collected()
        self._job, self._tables = None, intake.tables
        self._collected = Collected(tuple(grid_of(table) for table in self._tables), " ".join(self._sentences))
        self._sentences = []
        return self._collected

    def _look_at_all(self) -> None:
        """Nothing was in the files that were opened: what was collected before is shown."""
        if not self._sentences:
            self._sentences = [NOTHING_IN.format(names=", ".join(path.name for path in self._paths))]
        self._paths = {}
        self._begin()

    def _begin(self) -> None:
        self.stop()
        paths = tuple(self._paths)
        self._job = Job(lambda progress: taken_in(paths, None, progress, with_others=True))

    def _choose_files(self, back: Screen) -> Screen:
        files = found(ENDING)
        by_folder: dict[Path, list[Path]] = {}
        for path in files:
            by_folder.setdefault(path.parent, []).append(path)
        together = [
            Pick(str(folder), f"All {len(inside)} in {folder.name or folder}", str(folder))
            for folder, inside in by_folder.items()
            if len(inside) > 1
        ]
        return PickScreen(
            "Open what came back",
            [*together, *file_picks(files)],
            now="",
            chosen=lambda path: self._open_files([path_typed(path)], back),
            back_to=back,
            wants_path=True,
        )

    def _takes(self, grid: int, pupil: int, exercise: int, back: Screen) -> Screen | str:
        """The takes of one cell, the last one chosen; each is shown again as it was played."""
        rows = self._tables[grid].pupils[pupil]
        task = list(columns_of(self._tables[grid]).values())[exercise]
        row = next((row for row in rows.rows if row.task.digest == task.digest), None)
        if row is None or not row.takes:
            return f"{rows.pupil} gave back no take of {title_of(task)}."

        def replay(digest: str) -> Screen | str:
            wanted = next(take for take in row.takes if take.digest == digest)
            try:
                kept = kept_take(rows, wanted)
            except (HomeworkError, TakeError) as error:
                return sentence(f"This take cannot be shown: {error}")
            return replay_screen(kept.take, kept.header, kept.line, leave, sound=self._sound, note=kept.note)

        def leave() -> Screen:
            gc.enable()
            return takes

        takes = PickScreen(
            f"{rows.pupil}: {title_of(row.task)}",
            [take_pick(number, take) for number, take in enumerate(row.takes, start=1)],
            now=row.takes[-1].digest,
            chosen=replay,
            back_to=back,
        )
        return takes

    def making(self, back: Screen) -> Screen:
        """Give out something new, or a new edition of what was given out before."""
        made = {one.identity: one for one in reversed(folders.all_made())}
        teacher = next((one.teacher for one in made.values() if one.teacher), "")
        if not made:
            return self._desk(_Desk(None), back)
        return PickScreen(
            "Give out homework",
            [Pick("", "New homework"), *(edition_pick(one) for one in made.values())],
            now="",
            chosen=lambda identity: self._desk(_Desk(made.get(identity), teacher), back),
            back_to=back,
        )

    def _desk(self, desk: "_Desk", back: Screen) -> Screen:
        lines = self._library.exercises
        tempi = {line.name: f"{float(line.tempo.quarters_per_minute):g}" for line in lines}
        picks = [Pick(line.name, line.title, brief_words(line)) for line in lines]
        return MakingScreen(MakingDoors(picks, tempi, desk.write, lambda: back), desk.draft)


class _Desk:
    """Homework that is being made; what is written again after a change is a new edition."""

    def __init__(self, former: Assignment | None, teacher: str = "") -> None:
        self._former = former
        self._known = {task.digest: task for task in former.tasks} if former is not None else {}
        self.draft = Draft(teacher=teacher) if former is None else draft_of(former)

    def write(self, draft: Draft) -> Outcome:
        """Write the file; what became of it."""
        try:
            tasks = [self._task(item) for item in draft.items]
            if not tasks:
                return Outcome("Nothing was written: there is no exercise in it yet. F4 adds one.", is_written=False)
            pupils = tuple(name for name in map(str.strip, draft.pupils.split(",")) if name)
            wanted = Wanted(draft.title, draft.teacher, pupils, draft.note)
            now = datetime.now().astimezone().isoformat(timespec="seconds")
            assignment = assigned(tasks, wanted, self._former, identity=secrets.token_hex(6), made=now)
            written = give_out(assignment, folder_to_write())
        except (HomeworkError, ExerciseError) as error:
            return Outcome(sentence(f"Nothing was written: {' '.join(str(error).split())}"), is_written=False)
        self._former = assignment
        to = ", ".join(assignment.pupils) or "your pupils"
        size = f"{written.size_bytes / 1000:.0f} kB"
        words = f"Written: {written.path} ({size}, edition {assignment.edition}). Give that file to {to}."
        return Outcome(words, is_written=True)

    def _task(self, item: ItemDraft) -> Task:
        """What an exercise of the draft means; one that was given out before stays as it was."""
        known = self._known.get(item.name)
        if known is not None and known.articulation == item.articulation:
            return task_with(known.exercise, item.target, item.passes, item.articulation, item.note)
        name = item.name if known is None else known.exercise.name
        return task_of(name, [exercises_folder()], item.target, item.passes, item.articulation, item.note)
