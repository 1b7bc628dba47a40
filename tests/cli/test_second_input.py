from pathlib import Path

import pytest
from click.testing import CliRunner

from trainer.cli import main


@pytest.fixture(autouse=True)
def _alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty data folder, and no sound server to talk to."""
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path))
    monkeypatch.setenv("JACK_NO_START_SERVER", "1")
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "boxwalk-nowhere")


def test_a_second_input_that_is_not_there_is_refused_before_a_window_opens() -> None:
    result = CliRunner().invoke(main, ["--silent", "--second-input", "Barn pickup"])

    assert result.exit_code == 2
    assert "There is no MIDI port 'Barn pickup'" in result.stderr


def test_a_second_player_needs_a_name_that_can_be_printed() -> None:
    result = CliRunner().invoke(main, ["--silent", "--second-player", "Ben\x07"])

    assert result.exit_code == 2
    assert "expected a name of at most 60 letters" in result.stderr
