"""How the rooms of homework say things."""

from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path

from trainer.progress.pictures import day_words
from trainer.screens.pick import Pick


def sentence(words: str) -> str:
    """With a capital at its beginning and one full stop at its end."""
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def day_of(moment: str) -> str:
    """The day of a moment in ISO 8601; the text itself when it is none."""
    try:
        return day_words(date.fromisoformat(moment[:10]))
    except ValueError:
        return moment[:10]


def file_picks(paths: Iterable[Path]) -> list[Pick]:
    """Files to choose from, each with its folder and its day."""
    return [Pick(str(path), path.name, f"{_changed(path)}{path.parent}") for path in paths]


def path_typed(text: str) -> Path:
    """A path as it was typed; a home that is not known stands for itself, and is then not found."""
    try:
        return Path(text).expanduser()
    except RuntimeError:
        return Path(text)


def is_folder(path: Path) -> bool:
    """Whether it is one; what cannot be asked about is none, and whoever reads it says why."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def _changed(path: Path) -> str:
    try:
        return f"{day_words(datetime.fromtimestamp(path.stat().st_mtime).astimezone().date())}, "
    except (OSError, ValueError, OverflowError):
        return ""
