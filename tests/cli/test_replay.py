from pathlib import Path

import pytest
from click.testing import CliRunner

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
    shown: list[tuple[object, object]] = []
    monkeypatch.setattr(
        replay_window, "open_replay", lambda *given, shows_other: shown.append((given[-1], shows_other))
    )

    for words in (["replay", one.name], ["replay", one.stem, "--beside", other.name]):
        assert CliRunner().invoke(main, words, catch_exceptions=False).exit_code == 0

    assert shown == [([third, other], False), ([other, third], True)]


def test_a_take_of_another_line_cannot_lie_under_it(takes: Path) -> None:
    one, _ = keep_two(takes)
    keep_take(takes, "two-gates", minutes=50)
    stranger = max(takes.glob("*.mid"))

    result = CliRunner().invoke(main, ["replay", one.name, "--beside", stranger.name])

    assert result.exit_code == 2
    assert "'two-gates'" in result.output
    assert "'two-gates-slid'" in result.output
