"""What several tests of one kind of file begin with."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.score.pages import on_disk
from trainer.score.exercise import Exercise
from trainer.score.musicxml_reading import read_musicxml


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Exercise]:
    """Read a MusicXML file of this text."""

    def read_text(text: str | bytes, name: str = "ridge-path.musicxml") -> Exercise:
        return read_musicxml(on_disk(tmp_path, text, name))

    return read_text
