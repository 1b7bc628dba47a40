"""Draw a sheet of each kind: `python -m tests.sheets.pictures FOLDER` writes the pictures that people look at.

In pure black and white, as a copier sees them. Needs `pdftoppm` (poppler-utils). The same sheets always give the same
pictures; of the booklet only the first page is drawn, which lists the others.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from trainer.score.library import load_exercise
from trainer.sheets.pages import Document, booklet_of, sheet_of
from trainer.sheets.paper import A4, LETTER
from trainer.sheets.pdf_writing import pdf

_DOTS_AN_INCH = 110


def documents() -> dict[str, Document]:
    """The sheets by the name of their picture."""
    kinds = {
        "slid": "quarry-steps",
        "legato-two-pages": "long-terrace",
        "septuplets": "seven-springs",
        "double-stops": "paired-stones",
        "seven-strings": "deep-shaft",
    }
    sheets = {kind: sheet_of(load_exercise(name), A4) for kind, name in kinds.items()}
    return sheets | {"booklet": booklet_of([load_exercise(name) for name in kinds.values()], "A week", LETTER)}


def draw(folder: Path) -> None:
    """Write every page of every sheet as a PNG file."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, document in documents().items():
        with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
            file.write(pdf(document))
            file.flush()
            last = 1 if name == "booklet" else len(document.pages)
            options = ["-r", str(_DOTS_AN_INCH), "-mono", "-png", "-l", str(last)]
            subprocess.run(["pdftoppm", *options, file.name, str(folder / f"sheet-{name}")], check=True)


if __name__ == "__main__":
    draw(Path(sys.argv[1]))
