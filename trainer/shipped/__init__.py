"""Where the data that travels with the program lies: exercises, shared tables and fonts.

In a checkout they are the top-level folders `exercises/` and `shared/`, where people look for them; in an installed
wheel the build has put the same two folders beside this file.
"""

from pathlib import Path

_HERE = Path(__file__).resolve().parent
_ROOT = _HERE if (_HERE / "exercises").is_dir() else _HERE.parent.parent

EXERCISES = _ROOT / "exercises"
SHARED = _ROOT / "shared"
FONTS = _HERE / "fonts"
"""DejaVu Sans, for screens and sheets: it has sharp, flat and note signs."""
