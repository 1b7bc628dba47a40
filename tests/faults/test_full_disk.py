"""Disk full, read-only and broken at every single change: each file is whole or as it was, and it is said in words."""

import json
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from tests.faults.injecting import BROKEN, FULL, READ_ONLY, Disk, full_after
from tests.history.builders import header_of, plan_of, record
from tests.homework.builders import LINE, assignment_of
from trainer.cli.complaint import Complaint
from trainer.cli.judge import write_json
from trainer.devices.recording import TakeWriter
from trainer.devices.remembered import LastChoices, Memory
from trainer.history.errors import HistoryError
from trainer.history.exporting import export
from trainer.history.gathering import gather, missing_files
from trainer.history.store import History
from trainer.homework.assignment import assignment_bytes, assignment_in
from trainer.homework.errors import HomeworkError
from trainer.homework.folders import open_homework
from trainer.keeping import KeepingError, keep_text
from trainer.playing.messages import StampedMessage
from trainer.playing.take import read_take
from trainer.score.library import load_exercise
from trainer.score.note_list import note_list_text
from trainer.sheets.errors import SheetError
from trainer.sheets.saving import save

ERRORS = [FULL, READ_ONLY, BROKEN]
TEXT = note_list_text(LINE)
MESSAGES = tuple(StampedMessage(number * 200_000_000, bytes((0x90, 40 + number, 90))) for number in range(12))


@dataclass(frozen=True, slots=True)
class Work:
    """Something that writes."""

    do: Callable[[Path], None]
    read: Callable[[Path], object]
    """Opens what is there as the program would; raises when it is neither the old nor the new one."""
    refusals: tuple[type[Exception], ...] = ()
    before: Callable[[Path], None] = lambda _: None


def _exercise(folder: Path) -> object:
    path = folder / "exercises" / "ridge-steps.toml"
    return load_exercise(str(path)).notes if path.exists() else None


def _remember(folder: Path) -> None:
    memory = Memory(folder / "remembered.json")
    memory.keep_choices(LastChoices("New"))
    if memory.trouble is not None:
        raise SheetError(memory.trouble)  # it raises nothing itself


def _remembered(folder: Path) -> object:
    memory = Memory(folder / "remembered.json")
    assert memory.trouble is None
    assert memory.choices in (LastChoices("Old"), LastChoices("New"))
    return memory.choices


def _open_homework(_folder: Path) -> None:
    open_homework(assignment_bytes(assignment_of()), "2026-03-10T10:00:00+01:00", "00000001")


def _homework(folder: Path) -> object:
    found = sorted((folder / "homework").rglob("*.walkwork"))
    records = [json.loads(path.read_text()) for path in (folder / "homework").rglob("*.json")]
    return [assignment_in(path.read_bytes()) for path in found], records


def _keep(_folder: Path) -> None:
    keep_text(TEXT, "ridge-steps")


WORKS = {
    "an exercise": Work(_keep, _exercise, (KeepingError,)),
    "choices": Work(
        _remember,
        _remembered,
        (SheetError,),
        lambda folder: Memory(folder / "remembered.json").keep_choices(LastChoices("Old")),
    ),
    "a sheet": Work(
        lambda folder: save(folder / "sheet.txt", b"new" * 9000),
        lambda folder: (folder / "sheet.txt").read_bytes() in (b"old" * 5000, b"new" * 9000) or 1 / 0,
        (SheetError,),
        lambda folder: save(folder / "sheet.txt", b"old" * 5000),
    ),
    "a judgement": Work(
        lambda folder: write_json({"notes": [1] * 5000}, str(folder / "judged.json")),
        lambda folder: json.loads((folder / "judged.json").read_text()),
        (Complaint,),
        lambda folder: write_json({"notes": []}, str(folder / "judged.json")),
    ),
    "homework": Work(_open_homework, _homework, (HomeworkError,)),
}


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("disk").resolve()


@pytest.fixture(scope="module")
def disk(place: Path) -> Disk:
    return Disk(place)


@pytest.fixture
def fresh(place: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[], Path]:
    """A new data folder each time it is called."""

    def make() -> Path:
        folder = place / f"{len(os.listdir(place))}"  # noqa: PTH208 - counted, not looked at
        folder.mkdir()
        monkeypatch.setenv("BOXWALK_DATA", str(folder))
        return folder

    return make


def attempted(work: Work, folder: Path) -> str:
    """What was said of it; empty when it was done."""
    try:
        work.do(folder)
    except work.refusals as refusal:
        return str(refusal)
    return ""


@pytest.mark.parametrize("error", ERRORS, ids=os.strerror)
@pytest.mark.parametrize("name", WORKS)
def test_whatever_change_fails_what_is_there_is_whole_and_it_is_said(
    name: str, error: int, disk: Disk, fresh: Callable[[], Path]
) -> None:
    work = WORKS[name]
    folder = fresh()
    work.before(folder)
    with disk.failing_at(None):
        work.do(folder)
    changes = disk.changes

    assert changes >= 3
    for number in range(changes):
        folder = fresh()
        work.before(folder)

        with disk.failing_at(number, error):
            said = attempted(work, folder)

        work.read(folder)
        if said:  # a name that cannot be tidied away is no failure
            assert os.strerror(error) in said
            assert str(folder) in said
        assert attempted(work, folder) == "" or name == "homework"
        work.read(folder)


@pytest.mark.parametrize("name", WORKS)
def test_wherever_the_disk_is_full_what_is_there_is_whole_and_it_is_said(name: str, fresh: Callable[[], Path]) -> None:
    work = WORKS[name]
    for most_bytes in (0, 1, 100, 400):
        folder = fresh()
        work.before(folder)

        with full_after(most_bytes):
            said = attempted(work, folder)

        work.read(folder)
        assert said
        assert not [path for path in folder.rglob("*") if path.suffix in (".part", ".new")]


# Takes: nothing is raised while a line is played, and everything is kept somewhere.


def take_kept(folder: Path, spare: Path) -> TakeWriter:
    plan = plan_of()
    writer = TakeWriter(folder / "takes" / "take.mid", header_of(plan), spare_folder=spare)
    for message in MESSAGES:
        writer.keep(message)
        writer.tick(message.stamp_ns)
    writer.close()
    return writer


@pytest.mark.parametrize("error", ERRORS, ids=os.strerror)
@pytest.mark.parametrize("lasts", ["for good", "once"])
def test_whatever_change_fails_the_take_is_whole_somewhere(
    error: int, lasts: str, disk: Disk, fresh: Callable[[], Path], tmp_path: Path
) -> None:
    folder = fresh()
    with disk.failing_at(None):
        take_kept(folder, tmp_path)
    changes = disk.changes

    for number in range(changes):
        folder = fresh()

        with disk.failing_at(number, error, goes_on=lasts == "for good"):
            writer = take_kept(folder, tmp_path / f"{number}")

        assert writer.path is not None
        assert read_take(writer.path).messages == MESSAGES
        assert (writer.trouble is None) == (tmp_path not in writer.path.parents)
        if writer.trouble is not None:
            assert f"it is kept as {writer.path}" in writer.trouble


@pytest.mark.parametrize("most_bytes", range(0, 1100, 37))
def test_wherever_the_disk_is_full_the_take_is_a_whole_beginning_and_it_is_said(
    most_bytes: int, fresh: Callable[[], Path], tmp_path: Path
) -> None:
    folder = fresh()

    with full_after(most_bytes):  # of the spare folder too
        writer = take_kept(folder, tmp_path)

    kept = [read_take(path).messages for path in folder.rglob("*.mid")]
    assert kept in ([], [MESSAGES[: len(kept[0])] if kept else ()])
    if kept != [MESSAGES]:
        assert writer.trouble is not None
        assert "File too large" in writer.trouble


# The history: all of a take or nothing, and old forms stay old until the new one is whole.


def history_made(folder: Path) -> None:
    with History.open(folder / "history.db", folder / "takes", busy_s=0.0) as history:
        gather(history, missing_files(history))


def counted(folder: Path) -> int:
    with History.open(folder / "history.db", folder / "takes") as history:
        (said,) = history.connection.execute("PRAGMA integrity_check").fetchone()
        assert said == "ok"
        return len(history.take_ids())


@pytest.mark.parametrize("most_bytes", [0, 100, 4096, 20_000, 45_000, 90_000])
def test_a_history_on_a_full_disk_is_whole_and_takes_the_take_in_later(
    most_bytes: int, fresh: Callable[[], Path]
) -> None:
    folder = fresh()
    record(folder)

    with full_after(most_bytes):
        said = attempted(Work(history_made, counted, (HistoryError,)), folder)

    assert not said or (str(folder) in said and "cannot be" in said)
    assert counted(folder) in (0, 1)
    history_made(folder)
    assert counted(folder) == 1


@pytest.mark.parametrize("most_bytes", [0, 4096, 30_000, 60_000])
def test_an_older_history_on_a_full_disk_stays_as_it_was(most_bytes: int, fresh: Callable[[], Path]) -> None:
    folder = fresh()
    path = folder / "history.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((Path(__file__).parents[1] / "history" / "versions" / "2.sql").read_text())
        before = connection.execute("SELECT count(*) FROM takes").fetchone()

    with full_after(most_bytes):
        said = attempted(Work(history_made, counted, (HistoryError,)), folder)

    assert not said or str(folder) in said
    with History.open(path, folder / "takes") as history:
        assert history.connection.execute("SELECT count(*) FROM takes").fetchone() == before


@pytest.mark.parametrize("error", ERRORS, ids=os.strerror)
def test_an_export_that_fails_says_where(error: int, disk: Disk, fresh: Callable[[], Path]) -> None:
    folder = fresh()
    record(folder)
    history_made(folder)
    with History.open(folder / "history.db", folder / "takes") as history:
        with disk.failing_at(None):
            export(history, folder / "whole")
        for number in range(disk.changes):
            with disk.failing_at(number, error), pytest.raises(OSError, match=os.strerror(error)) as raised:
                export(history, folder / f"out-{number}")
            assert str(folder) in str(raised.value.filename)


def test_a_line_replaced_is_the_old_or_the_new_one(disk: Disk, fresh: Callable[[], Path]) -> None:
    folder = fresh()
    other = note_list_text(replace(LINE, notes=LINE.notes[:4]))
    keep_text(TEXT, "ridge-steps")
    old = _exercise(folder)

    for number in range(12):
        with disk.failing_at(number, FULL):
            try:
                keep_text(other, "ridge-steps")
            except KeepingError:
                assert _exercise(folder) == old
            else:
                assert _exercise(folder) != old
        keep_text(TEXT, "ridge-steps")
