from collections.abc import Iterator
from pathlib import Path

import pytest

from trainer.workroom import Library

from .visit import Visitor

SHIPPED = Library()
"""Read once for all tests; it looks itself which files have changed."""


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of its own, with the folders that people have, and an empty data folder."""
    for name in ("Documents", "Downloads", "elsewhere"):
        (tmp_path / name).mkdir()
    monkeypatch.setenv("HOME", str(tmp_path))
    for kind in ("DOCUMENTS", "DOWNLOAD", "DESKTOP"):
        monkeypatch.delenv(f"XDG_{kind}_DIR", raising=False)
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    monkeypatch.setenv("BOXWALK_DATA", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path / "elsewhere")
    return tmp_path


@pytest.fixture
def visitor(monkeypatch: pytest.MonkeyPatch) -> Iterator[Visitor]:
    monkeypatch.setattr("trainer.app.Library", lambda: SHIPPED)
    made = Visitor()
    yield made
    made.close()
