import io
import re
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from lxml import etree

from tests.sheets.returning import written
from trainer.score.library import load_exercise
from trainer.score.musicxml_reading import read_musicxml
from trainer.sheets.errors import SheetError
from trainer.sheets.kinds import ENDINGS, files_of
from trainer.sheets.marks import Words
from trainer.sheets.pages import booklet_of, sheet_of
from trainer.sheets.paper import LETTER
from trainer.sheets.pdf_writing import pdf
from trainer.sheets.svg_writing import svgs

SVG = "{http://www.w3.org/2000/svg}"


def words_of(text: str) -> str:
    return re.sub(r"\s+", "", text)


def test_a_pdf_says_what_its_pages_say() -> None:
    document = sheet_of(load_exercise("quarry-steps"))

    reader = pypdf.PdfReader(io.BytesIO(pdf(document)))

    page = reader.pages[0]
    assert len(reader.pages) == 1
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((595.28, 841.89), abs=0.01)
    said = sorted(words_of(page.extract_text()))
    meant = sorted(words_of("".join(mark.text for mark in document.pages[0].marks if isinstance(mark, Words))))
    assert said == meant
    assert reader.metadata is not None
    assert reader.metadata.title == "Quarry steps"


def test_a_pdf_carries_its_fonts() -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf(sheet_of(load_exercise("two-gates")))))

    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    embedded = [font for font in fonts if "DejaVu" in font["/BaseFont"]]
    assert embedded
    assert all("/FontFile2" in font["/FontDescriptor"] for font in embedded)


def test_a_booklet_has_an_outline_and_links() -> None:
    lines = [load_exercise("quarry-steps"), load_exercise("two-gates")]

    reader = pypdf.PdfReader(io.BytesIO(pdf(booklet_of(lines, "Ridge week", LETTER))))

    outline = [(entry.title, reader.get_destination_page_number(entry)) for entry in reader.outline]
    assert outline == [("Quarry steps", 1), ("Two gates", 2)]
    assert len(reader.pages[0]["/Annots"]) == 2
    assert float(reader.pages[0].mediabox.height) == 792.0


def test_the_same_line_gives_the_same_bytes() -> None:
    line = load_exercise("quarry-steps")

    assert pdf(sheet_of(line)) == pdf(sheet_of(line))
    assert b"D:20" not in pdf(sheet_of(line)).replace(b"D:20000101000000", b"")
    assert svgs(sheet_of(line)) == svgs(sheet_of(line))


def test_a_picture_shows_the_same_marks_as_the_pdf() -> None:
    document = sheet_of(load_exercise("long-terrace"))

    pictures = svgs(document)

    assert len(pictures) == len(document.pages)
    for picture, page in zip(pictures, document.pages, strict=True):
        root = etree.fromstring(picture)
        shown = [(text.text, float(text.get("x", "nan"))) for text in root.iter(f"{SVG}text")]
        meant = [(mark.text, pytest.approx(mark.left_pt, abs=1e-3)) for mark in page.marks if isinstance(mark, Words)]
        assert shown == meant
        assert len(list(root)) == len(page.marks) + 2  # and its title and its ground


def test_markup_in_a_title_stays_text(tmp_path: Path) -> None:
    line = replace(load_exercise("two-gates"), title="<script>&\x00 gates")

    (picture,) = svgs(sheet_of(line))
    ((_, data),) = files_of([line], tmp_path / "gates.pdf")

    assert [text.text for text in etree.fromstring(picture).iter(f"{SVG}text")][1] == "<script>&  gates"
    assert b"<script" not in picture
    assert data.startswith(b"%PDF")


@pytest.mark.parametrize("ending", [ending for ending in ENDINGS if ending != ".svg"])
def test_every_ending_gives_one_file(ending: str, tmp_path: Path) -> None:
    ((path, data),) = files_of([load_exercise("two-gates")], tmp_path / f"gates{ending.upper()}")

    assert path == tmp_path / f"gates{ending.upper()}"
    starts = {
        ".pdf": b"%PDF",
        ".txt": b"Two gates",
        ".mid": b"MThd",
        ".midi": b"MThd",
        ".mxl": b"PK",
        ".ly": b"\\version",
    }
    assert data.startswith(starts.get(ending, b"<?xml"))


def test_a_picture_of_several_pages_is_several_files(tmp_path: Path) -> None:
    files = files_of([load_exercise("long-terrace")], tmp_path / "terrace.svg")

    assert [path.name for path, _ in files] == ["terrace-1.svg", "terrace-2.svg"]


def test_a_compressed_file_reads_back_the_same(tmp_path: Path) -> None:
    line = load_exercise("quarry-steps-legato")
    ((path, data),) = files_of([line], tmp_path / "quarry.mxl")
    path.write_bytes(data)

    assert written(read_musicxml(path)) == written(line)


def test_several_exercises_make_a_text_booklet(tmp_path: Path) -> None:
    lines = [load_exercise("two-gates"), load_exercise("quarry-steps")]

    ((_, data),) = files_of(lines, tmp_path / "ridge.txt")

    assert data.decode().index("Two gates") < data.decode().index("Quarry steps")


def test_an_ending_that_is_unknown_is_answered_with_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(SheetError, match=r"gates\.pfd: \.pfd is not one of .*; nearest: \.pdf"):
        files_of([load_exercise("two-gates")], tmp_path / "gates.pfd")
    with pytest.raises(SheetError, match="a name without an ending is not one of"):
        files_of([load_exercise("two-gates")], tmp_path / "gates")


@pytest.mark.parametrize("ending", [".musicxml", ".mxl", ".mid"])
def test_a_file_of_one_line_refuses_several(ending: str, tmp_path: Path) -> None:
    lines = [load_exercise("two-gates"), load_exercise("quarry-steps")]

    with pytest.raises(SheetError, match=r"holds one exercise, not 2; a booklet is a \.pdf, \.svg or \.txt"):
        files_of(lines, tmp_path / f"ridge{ending}")
