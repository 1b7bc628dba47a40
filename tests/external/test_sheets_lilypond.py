"""What is written for LilyPond is what LilyPond reads.

Published source: GNU LilyPond 2.24 (GPL-3.0, the distribution's package `lilypond`), run as a program where it is
installed: it checks every bar's length itself, and writes what it understood as MIDI.
"""

import io
import shutil
import subprocess
from fractions import Fraction
from pathlib import Path

import mido
import pypdf
import pytest

from tests.external.test_sheets_musicxml import LINES, the_line
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names
from trainer.sheets.engraving import engraved_pdf
from trainer.sheets.lilypond_writing import lilypond
from trainer.sheets.paper import A4

pytestmark = pytest.mark.skipif(shutil.which("lilypond") is None, reason="LilyPond is not installed")

TICKS = 384
"""A quarter in LilyPond's MIDI files."""


def engraved(source: str, folder: Path) -> str:
    """What LilyPond says about a source that it sets in `folder`, without writing the pages."""
    (folder / "line.ly").write_text(source, encoding="utf-8")
    done = subprocess.run(
        ["lilypond", "--loglevel=WARNING", "-dno-point-and-click", "-dno-print-pages", "line.ly"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stderr + f"{done.returncode or ''}"


@pytest.fixture(scope="module")
def set_lines(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, dict[str, Path]]:
    """What LilyPond said about all lines in one run, and the MIDI file that it made of each."""
    names = [*exercise_names(), *LINES]
    folder = tmp_path_factory.mktemp("engraved")
    source = lilypond([the_line(name) for name in names], A4).replace("\\layout { }", "\\layout { } \\midi { }")
    said = engraved(source, folder)
    files = [folder / "line.midi", *(folder / f"line-{number}.midi" for number in range(1, len(names)))]
    return said, dict(zip(names, files, strict=True))


def test_every_line_is_set_without_a_warning(set_lines: tuple[str, dict[str, Path]]) -> None:
    said, _ = set_lines

    assert said == ""


def test_a_bar_that_is_too_long_is_warned_of(tmp_path: Path) -> None:
    source = lilypond([the_line("two-gates")], A4)

    assert "check failed" in engraved(source.replace(">8", ">8.", 1), tmp_path)


def has_graces(name: str) -> bool:
    return any(note.slide_from for note in the_line(name).notes)


# Grace notes take their time from other notes there.
@pytest.mark.parametrize("name", [name for name in (*exercise_names(), *LINES) if not has_graces(name)])
def test_lilypond_plays_the_same_notes(name: str, set_lines: tuple[str, dict[str, Path]]) -> None:
    _, files = set_lines

    assert played(files[name]) == meant(the_line(name))


def played(path: Path) -> set[tuple[int, int]]:
    found = set()
    for track in mido.MidiFile(path).tracks:
        tick = 0
        for message in track:
            tick += message.time
            if message.type == "note_on" and message.velocity:
                found.add((tick, message.note))
    return found


def meant(exercise: Exercise) -> set[tuple[int, int]]:
    return {(int(note.onset_quarters * TICKS + Fraction(1, 10**6)), note.pitch) for note in exercise.notes}


def test_the_engraved_sheet_is_a_pdf_with_the_title() -> None:
    reader = pypdf.PdfReader(io.BytesIO(engraved_pdf([the_line("quarry-steps")], A4)))

    assert "Quarry steps" in reader.pages[0].extract_text()
