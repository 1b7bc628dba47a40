from dataclasses import replace
from pathlib import Path

import pytest

from tests.homework.builders import IDENTITY, LINE, OTHER, assignment_of, returned_of, take_of
from trainer.devices.own_exercises import exercises_folder
from trainer.homework import folders
from trainer.homework.assignment import Assignment, assignment_bytes
from trainer.homework.errors import HomeworkError
from trainer.homework.folders import open_homework
from trainer.homework.line import line_digest
from trainer.homework.returned import returned_bytes
from trainer.keeping import keep_line
from trainer.score.library import load_exercise
from trainer.sheets.errors import SheetError

MONDAY, TUESDAY = "2026-03-09T10:00:00+01:00", "2026-03-10T10:00:00+01:00"


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path


def opened(assignment: Assignment, now: str = MONDAY, tag: str = "0000000a") -> tuple[folders.Opened, str]:
    return open_homework(assignment_bytes(assignment), now, tag)


def contents(place: Path) -> dict[str, bytes]:
    return {str(path.relative_to(place)): path.read_bytes() for path in place.rglob("*") if path.is_file()}


def test_opening_keeps_the_lines_as_own_exercises_that_are_the_very_lines() -> None:
    found, sentence = opened(assignment_of(LINE, OTHER))

    kept = [load_exercise(found.names[line_digest(line)], [exercises_folder()]) for line in (LINE, OTHER)]

    assert sentence == "Opened."
    assert [line.name for line in kept] == ["ridge-steps", "two-ledges"]
    assert [line_digest(line) for line in kept] == [line_digest(LINE), line_digest(OTHER)]


def test_opening_twice_changes_nothing(place: Path) -> None:
    first, _ = opened(assignment_of())
    before = contents(place)

    again, sentence = opened(assignment_of(), TUESDAY, "0000000b")

    assert (again, sentence) == (first, "It was open already.")
    assert contents(place) == before


def test_a_shipped_line_is_played_under_its_shipped_name() -> None:
    found, _ = opened(assignment_of(load_exercise("two-gates")))

    assert list(found.names.values()) == ["two-gates"]
    assert not exercises_folder().exists()


def test_an_own_exercise_of_the_same_name_stays_and_the_line_gets_another() -> None:
    exercises_folder().mkdir()
    mine = keep_line(OTHER, LINE.name)
    text = mine.read_text()

    found, _ = opened(assignment_of())

    assert list(found.names.values()) == [f"{LINE.name}-2"]
    assert mine.read_text() == text


@pytest.mark.parametrize("name", ["../../two-gates", "/etc/passwd", "con\0", "כביש", "", "a" * 300, ".."])
def test_the_name_of_a_strangers_line_leads_nowhere_else(name: str, place: Path) -> None:
    found, _ = opened(assignment_of(replace(LINE, name=name)))

    (path,) = exercises_folder().iterdir()
    assert path.stem == next(iter(found.names.values()))
    assert {Path(name).parts[0] for name in contents(place)} == {"exercises", "homework"}


def test_a_second_edition_takes_the_place_of_the_first_and_keeps_since_when_it_is_open() -> None:
    opened(assignment_of())

    found, sentence = opened(assignment_of(LINE, OTHER, edition=2), TUESDAY, "0000000b")

    assert sentence == "Edition 2 takes the former's place."
    assert (found.since, found.tag, len(found.names)) == (MONDAY, "0000000a", 2)
    assert folders.all_opened() == (found,)


def test_an_older_edition_does_not_take_the_place_of_a_newer_one(place: Path) -> None:
    newer, _ = opened(assignment_of(edition=2))
    before = contents(place)

    found, sentence = opened(assignment_of(edition=1))

    assert (found, sentence) == (newer, "This is edition 1; edition 2 was opened already and stays.")
    assert contents(place) == before


def test_another_file_that_says_it_is_the_same_edition_is_refused(place: Path) -> None:
    opened(assignment_of())
    before = contents(place)

    with pytest.raises(HomeworkError, match="is not the one that was opened: ask for a file with a new edition"):
        opened(assignment_of(note="Something else"))
    assert contents(place) == before


def test_a_save_that_fails_is_said_and_leaves_what_was_there(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened(assignment_of())
    before = contents(place)

    def full(path: Path, _: bytes) -> None:
        raise SheetError(f"{path}: cannot be saved (no space); nothing was changed")

    monkeypatch.setattr(folders, "save", full)

    with pytest.raises(HomeworkError, match="no space"):
        opened(assignment_of(edition=2))
    assert contents(place) == before
    monkeypatch.undo()
    monkeypatch.setenv("BOXWALK_DATA", str(place))
    assert folders.all_opened()[0].assignment.edition == 1


def test_an_opening_that_was_cut_short_is_completed_by_the_next() -> None:
    found, _ = opened(assignment_of())
    (folders.homework_folder() / "opened" / f"{IDENTITY}.json").unlink()
    assert folders.all_opened() == ()

    assert opened(assignment_of())[0] == found


def test_a_damaged_record_is_named() -> None:
    opened(assignment_of())
    (folders.homework_folder() / "opened" / f"{IDENTITY}.json").write_bytes(b"\xff{")

    with pytest.raises(HomeworkError, match=rf"{IDENTITY}\.json: holds a text that is not JSON"):
        folders.all_opened()


def test_opening_again_mends_a_damaged_record_and_keeps_it_beside(place: Path) -> None:
    opened(assignment_of())
    folder = place / "homework" / "opened"
    (folder / f"{IDENTITY}.json").write_bytes(b"\xff{")

    found, sentence = opened(assignment_of(), TUESDAY)

    assert sentence.startswith("Opened anew: the record of it was damaged and is kept as")
    assert (folder / f"{IDENTITY}.damaged").read_bytes() == b"\xff{"
    assert found.since == assignment_of().made
    assert folders.all_opened() == (found,)


def test_a_returned_file_is_kept_once_as_it_came_whatever_its_pupil_is_called(place: Path) -> None:
    returned = returned_of(take_of(passes=1), pupil="../ליאת/..")
    data = returned_bytes(returned)

    folders.keep_returned(returned, data)
    folders.keep_returned(returned, data)

    assert list(contents(place).values()) == [data]
    assert folders.kept_returned([IDENTITY]) == (returned,)
    assert folders.kept_returned(["ffffffffffff"]) == ()
