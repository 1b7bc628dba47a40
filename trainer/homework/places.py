"""Where files of homework are looked for, and where they are written: the folders that people use."""

import os
from collections.abc import Iterator
from pathlib import Path

import platformdirs

from trainer.homework.folders import homework_folder

MOST_FOUND = 200


def folders_looked_in() -> tuple[Path, ...]:
    """The current folder, downloads, documents and the desktop, each once, as far as they are there."""
    wanted = (
        Path(),
        platformdirs.user_downloads_path(),
        platformdirs.user_documents_path(),
        platformdirs.user_desktop_path(),
    )
    return tuple(dict.fromkeys(path.resolve() for path in wanted if path.is_dir()))


def found(ending: str) -> tuple[Path, ...]:
    """The files with an ending in those folders, the newest first; what cannot be looked into is left out."""
    dated = [(path, at_s) for folder in folders_looked_in() for path, at_s in _files(folder, ending)]
    return tuple(path for path, _ in sorted(dated, key=lambda each: -each[1]))[:MOST_FOUND]


def _files(folder: Path, ending: str) -> Iterator[tuple[Path, float]]:
    try:
        for entry in os.scandir(folder):
            if entry.name.lower().endswith(ending) and entry.is_file():
                yield Path(entry.path), entry.stat().st_mtime
    except OSError:
        return


def folder_to_write() -> Path:
    """The documents, or beside the takes where there are none."""
    documents = platformdirs.user_documents_path()
    if documents.is_dir() and os.access(documents, os.W_OK):
        return documents
    return homework_folder() / "to-hand-over"
