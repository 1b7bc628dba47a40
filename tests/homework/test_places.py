import os
from pathlib import Path

import pytest

from trainer.homework import places


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("Documents", "Downloads"):
        (tmp_path / name).mkdir()
    folders = {"documents": "Documents", "downloads": "Downloads", "desktop": "Desktop"}
    for kind, name in folders.items():
        monkeypatch.setattr(places.platformdirs, f"user_{kind}_path", lambda name=name: tmp_path / name)
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path / "Documents")
    return tmp_path


def file_in(folder: Path, name: str, at_s: int) -> Path:
    path = folder / name
    path.write_bytes(b"")
    os.utime(path, (at_s, at_s))
    return path


def test_files_are_found_once_the_newest_first_whatever_the_case_of_their_ending(home: Path) -> None:
    old = file_in(home / "Documents", "old.walkwork", 1)
    new = file_in(home / "Downloads", "NEW.WALKWORK", 3)
    file_in(home / "Downloads", "other.walkdone", 2)
    (home / "Downloads" / "folder.walkwork").mkdir()

    assert places.found(".walkwork") == (new, old)


def test_files_are_written_to_the_documents_or_beside_the_takes_where_there_are_none(home: Path) -> None:
    assert places.folder_to_write() == home / "Documents"
    (home / "Documents").rmdir()

    assert places.folder_to_write() == home / "data" / "homework" / "to-hand-over"


def test_only_so_many_are_offered(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(places, "MOST_FOUND", 2)
    for number in range(4):
        file_in(home / "Downloads", f"{number}.walkwork", number)

    assert [path.name for path in places.found(".walkwork")] == ["3.walkwork", "2.walkwork"]
