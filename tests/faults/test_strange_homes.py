"""The same day in homes and locales as people have them: spaces, other scripts, none at all."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LINE = "B minor pentatonic, strings 1-2, positions 1, fours down, sixteenths, tempo 300"
QUICK = ("--headless", "--silent", "--passes", "1", "--count-in", "0")
NAMES = ["נועה", "美咲"]
DAY = """import sys
from trainer.cli import main
for command in sys.argv[1:]:
    main(command.split(chr(10)), standalone_mode=len(sys.argv) == 2)
"""
PLAIN = ("PYTHONUTF8", "PYTHONIOENCODING", "LC_ALL", "LC_CTYPE", "LANG", "HOME", "USERPROFILE", "BOXWALK_DATA")


def boxwalk(*commands: tuple[str, ...], **environment: str) -> "subprocess.CompletedProcess[str]":
    """Commands, in one process, as started by a user with that environment and no other words on home and locale."""
    kept = {name: value for name, value in os.environ.items() if name not in PLAIN and not name.startswith("XDG_")}
    return subprocess.run(
        [sys.executable, "-c", DAY, *("\n".join(command) for command in commands)],
        cwd=ROOT,
        env=kept | environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="replace",
        timeout=120,
        check=False,
    )


def day(folder: Path, player: str, **environment: str) -> str:
    """A line kept, played, listed and printed; all that was said."""
    sheet = folder / f"{player} sheet.txt"
    done = boxwalk(
        ("new", LINE, "--name", "short-walk", "--save"),
        ("practise", "short-walk", *QUICK, "--player", player),
        ("history", "--player", player),
        ("takes",),
        ("show", "quarry-steps"),
        ("sheet", "short-walk", "--to", str(sheet)),
        **environment,
    )
    assert (done.returncode, "Traceback" in done.stderr) == (0, False), done.stderr
    assert sheet.stat().st_size > 0
    return done.stdout + done.stderr


def test_a_home_with_spaces_and_other_letters(tmp_path: Path) -> None:
    home = tmp_path / "Zoë's home, ноты 弦"
    home.mkdir()

    said = day(home, "Zoë", HOME=str(home), LANG="C.UTF-8", COLUMNS="200")

    assert len(list(home.rglob("takes/*.mid"))) == 1
    assert "Zoë's home" in said


def test_no_locale(tmp_path: Path) -> None:
    home = tmp_path / "Zoë"
    home.mkdir()

    day(home, "Zoë", HOME=str(home), LC_ALL="C", PYTHONCOERCECLOCALE="0")


def test_a_terminal_that_knows_only_ascii_is_not_a_reason_to_stop(tmp_path: Path) -> None:
    ascii_only = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}

    day(tmp_path, "Zoe", HOME=str(tmp_path), **ascii_only)
    done = boxwalk(("takes", "--twins", "quarry-steps"), HOME=str(tmp_path), **ascii_only)

    assert (done.returncode, done.stderr) == (0, "")


def test_no_home_at_all_goes_by_the_system_or_by_the_named_folder(tmp_path: Path) -> None:
    day(tmp_path, "Zoë", BOXWALK_DATA=str(tmp_path / "data"))

    assert len(list((tmp_path / "data").rglob("takes/*.mid"))) == 1


def test_a_home_that_does_not_exist_and_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")

    kept = boxwalk(("new", LINE, "--name", "short-walk", "--save"), HOME=str(tmp_path / "file" / "home"))
    shown = boxwalk(("show", "two-gates"), HOME=str(tmp_path / "file" / "home"))

    assert (kept.returncode, shown.returncode) == (2, 0)
    assert "Traceback" not in kept.stderr + shown.stderr
    assert "cannot be made" in kept.stderr


@pytest.mark.parametrize("name", NAMES)
def test_names_in_any_script_are_kept_and_found(tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from click.testing import CliRunner

    from trainer.cli import main

    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    played = CliRunner().invoke(main, ["practise", LINE, *QUICK, "--player", name])
    listed = CliRunner().invoke(main, ["history", "--player", name, "--by", "take"])
    refused = CliRunner().invoke(main, ["history", "--forget", "nobody", "--yes"])

    assert (played.exit_code, listed.exit_code, refused.exit_code) == (0, 0, 2)
    assert "1 of 1" in listed.stdout
    assert name in refused.stderr
