"""Running LilyPond, where it is installed, on the source that `lilypond_writing` writes."""

import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

from trainer.score.exercise import Exercise
from trainer.sheets.errors import SheetError
from trainer.sheets.lilypond_writing import lilypond
from trainer.sheets.paper import Paper

# A page takes about a second; a booklet of a hundred pages still ends.
_LONGEST_S = 300


def engraved_pdf(exercises: Sequence[Exercise], paper: Paper) -> bytes:
    """The sheet of `exercises` with standard notation as a PDF file; `SheetError` when LilyPond is missing or fails."""
    program = shutil.which("lilypond")
    if program is None:
        raise SheetError(
            "an engraved sheet needs LilyPond, and there is no program `lilypond` here; others need nothing"
        )
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "sheet.ly").write_text(lilypond(exercises, paper), encoding="utf-8")
        command = [program, "--loglevel=ERROR", "-dno-point-and-click", "-o", "sheet", "sheet.ly"]
        try:
            done = subprocess.run(  # noqa: S603 - a program found on the PATH, on a file of our own
                command, cwd=folder, capture_output=True, text=True, timeout=_LONGEST_S, check=False
            )
        except (OSError, subprocess.TimeoutExpired) as error:
            raise SheetError(f"LilyPond did not finish: {error}") from error
        written = Path(folder) / "sheet.pdf"
        if done.returncode or not written.exists():
            said = next((line for line in done.stderr.splitlines() if "error" in line), "no reason given")
            raise SheetError(f"LilyPond could not engrave this sheet: {said}")
        return written.read_bytes()
