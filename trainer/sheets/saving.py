"""Saving a file so that nothing is lost when that fails.

The bytes go to a new file beside the old one, down to the disk, and only then take its name: at every moment the name
stands for the whole old file or the whole new one. A full disk or a missing right leaves the old file as it was.
"""

import os
import tempfile
from pathlib import Path

from trainer.sheets.errors import SheetError

# What a file made by `open` gets; a temporary one is private until then.
_NEW_FILE_MODE = 0o666


def save(path: Path, data: bytes) -> None:
    """Write `data` to `path`; `SheetError` when it cannot be written, and then the old file is untouched."""
    try:
        # A link keeps pointing where it points.
        _replace(path.resolve(), data)
    except OSError as error:
        raise SheetError(f"{path}: cannot be saved ({error.strerror or error}); nothing was changed") from error


def _replace(path: Path, data: bytes) -> None:
    descriptor, name = tempfile.mkstemp(prefix=f".{path.name[:100]}.", suffix=".part", dir=path.parent)
    part = Path(name)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.chmod(_mode_of(path))
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def _mode_of(path: Path) -> int:
    """The rights that the file has or, when it is new, would get."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return _NEW_FILE_MODE & ~mask
