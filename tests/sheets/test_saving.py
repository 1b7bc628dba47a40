import errno
import os
from pathlib import Path

import pytest

from trainer.sheets.errors import SheetError
from trainer.sheets.saving import save


def test_a_new_file_holds_the_bytes_and_nothing_else_is_left(tmp_path: Path) -> None:
    save(tmp_path / "ridge.mid", b"new")

    assert (tmp_path / "ridge.mid").read_bytes() == b"new"
    assert [path.name for path in tmp_path.iterdir()] == ["ridge.mid"]


def test_an_old_file_is_replaced_and_keeps_its_rights(tmp_path: Path) -> None:
    path = tmp_path / "ridge.mid"
    path.write_bytes(b"old")
    path.chmod(0o640)

    save(path, b"new")

    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_new_file_has_the_rights_of_any_new_file(tmp_path: Path) -> None:
    (tmp_path / "plain").write_bytes(b"")

    save(tmp_path / "ridge.mid", b"new")

    assert (tmp_path / "ridge.mid").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_link_still_points_where_it_pointed(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    (tmp_path / "kept" / "ridge.mid").write_bytes(b"old")
    (tmp_path / "link.mid").symlink_to(tmp_path / "kept" / "ridge.mid")

    save(tmp_path / "link.mid", b"new")

    assert (tmp_path / "link.mid").is_symlink()
    assert (tmp_path / "kept" / "ridge.mid").read_bytes() == b"new"


@pytest.mark.parametrize("failing", ["write", "fsync", "replace"])
def test_a_disk_that_is_full_leaves_the_old_file(failing: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "ridge.mid"
    path.write_bytes(b"old")

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    if failing == "replace":
        monkeypatch.setattr(Path, "replace", full)
    elif failing == "fsync":
        monkeypatch.setattr(os, "fsync", full)
    else:
        monkeypatch.setattr(os, "fdopen", full)

    with pytest.raises(SheetError, match=r"ridge\.mid: cannot be saved \(No space left on device\)"):
        save(path, b"new")
    assert path.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["ridge.mid"]


def test_a_really_full_disk_is_reported() -> None:
    if not Path("/dev/full").exists():
        pytest.skip("only some systems have a device that is always full")

    with pytest.raises(SheetError, match="cannot be saved"):
        save(Path("/dev/full/ridge.mid"), b"new")


def test_a_folder_that_is_not_there_is_reported(tmp_path: Path) -> None:
    with pytest.raises(SheetError, match="cannot be saved \\(No such file"):
        save(tmp_path / "gone" / "ridge.mid", b"new")
