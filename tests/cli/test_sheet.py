from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from trainer.cli.sheet import sheet


def run(*words: str) -> Result:
    return CliRunner().invoke(sheet, words)


def test_a_sheet_is_written_and_its_name_told(tmp_path: Path) -> None:
    result = run("quarry-steps", "--to", str(tmp_path / "quarry.pdf"))

    assert result.exit_code == 0
    assert result.output == f"{tmp_path / 'quarry.pdf'}\n"
    assert (tmp_path / "quarry.pdf").read_bytes().startswith(b"%PDF")


def test_several_exercises_make_a_booklet(tmp_path: Path) -> None:
    result = run(
        "quarry-steps", "two-gates", "--to", str(tmp_path / "week.pdf"), "--title", "Week", "--paper", "letter"
    )

    assert result.exit_code == 0
    first, *others = PdfReader(tmp_path / "week.pdf").pages
    assert first.extract_text().startswith("Week")
    assert {float(page.mediabox.height) for page in (first, *others)} == {792.0}


def test_an_exercise_that_is_not_there_writes_nothing(tmp_path: Path) -> None:
    result = run("quary-steps", "--to", str(tmp_path / "quarry.pdf"))

    assert result.exit_code == 2
    assert "nearest: 'quarry-steps'" in result.output
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_a_clear_complaint(tmp_path: Path) -> None:
    result = run("quarry-steps", "--to", str(tmp_path / "gone" / "quarry.mid"))

    assert result.exit_code == 2
    assert "cannot be saved (No such file or directory); nothing was changed" in result.output
    assert "Traceback" not in result.output


def test_an_unknown_ending_is_a_clear_complaint(tmp_path: Path) -> None:
    result = run("quarry-steps", "--to", str(tmp_path / "quarry.docx"))

    assert result.exit_code == 2
    assert ".docx is not one of .pdf, .svg" in result.output


def test_without_the_engraver_the_complaint_says_what_is_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))

    result = run("quarry-steps", "--engraved", "--to", str(tmp_path / "quarry.pdf"))

    assert result.exit_code == 2
    assert "an engraved sheet needs LilyPond, and there is no program `lilypond` here" in result.output
    assert list(tmp_path.iterdir()) == []


def test_an_engraved_sheet_is_a_pdf(tmp_path: Path) -> None:
    result = run("quarry-steps", "--engraved", "--to", str(tmp_path / "quarry.svg"))

    assert result.exit_code == 2
    assert "an engraved sheet is a .pdf, not a .svg" in result.output
