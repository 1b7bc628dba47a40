from pathlib import Path

import pygame
import pytest
from click.testing import CliRunner, Result

from tests.kept_takes import keep_take
from tests.screens.reviewed import keep_two
from trainer.cli import main, replay_window


@pytest.fixture
def takes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    return tmp_path / "takes"


def test_another_take_of_the_line_is_laid_under_the_first(takes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one, other = keep_two(takes)
    keep_take(takes, "two-gates-slid", minutes=50)
    third = max(takes.glob("*.mid"))
    shown: list[tuple[object, ...]] = []
    monkeypatch.setattr(
        replay_window, "open_replay", lambda *given, shows_other, path: shown.append((path, given[-1], shows_other))
    )

    for words in (["replay", one.name], ["replay", one.stem, "--beside", other.name]):
        assert CliRunner().invoke(main, words, catch_exceptions=False).exit_code == 0

    assert shown == [(one, [third, other], False), (one, [other, third], True)]


def test_a_take_of_another_line_cannot_lie_under_it(takes: Path) -> None:
    one, _ = keep_two(takes)
    keep_take(takes, "two-gates", minutes=50)
    stranger = max(takes.glob("*.mid"))

    result = CliRunner().invoke(main, ["replay", one.name, "--beside", stranger.name])

    assert result.exit_code == 2
    assert "'two-gates'" in result.output
    assert "'two-gates-slid'" in result.output


def replay(*words: object) -> Result:
    return CliRunner().invoke(main, ["replay", *map(str, words)], catch_exceptions=False)


def test_a_picture_of_a_take_is_written_and_nothing_is_overwritten(takes: Path, tmp_path: Path) -> None:
    one, other = keep_two(takes)
    file = tmp_path / "passage.png"

    written = replay(one, "--picture", file, "--width", 900, "--notes", "8-23", "--beside", other.name)
    again = replay(one, "--picture", file)

    picture = pygame.image.load(file)
    assert written.output == f"Written to {file}: 900 x {picture.get_height()} pixels.\n"
    assert picture.get_width() == 900
    assert (again.exit_code, f"{file} is there already" in again.output) == (2, True)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--width", 100], "expected 480 to 8000 pixels"),
        (["--notes", "5"], "such as 8-23"),
        (["--notes", "20-40"], "a last one of 0 to 31"),
    ],
)
def test_what_cannot_be_pictured_is_said(words: list[object], said: str, takes: Path, tmp_path: Path) -> None:
    one, _ = keep_two(takes)

    result = replay(one, "--picture", tmp_path / "passage.png", *words)

    assert (result.exit_code, said in result.output) == (2, True)
    assert not (tmp_path / "passage.png").exists()


def test_notes_without_a_picture_are_questioned(takes: Path) -> None:
    one, _ = keep_two(takes)

    assert "it goes with --picture" in replay(one, "--notes", "0-3").output
