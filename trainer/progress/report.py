"""The report: the pictures of some weeks on A4 sheets, each with its sentence, as a PDF."""

import io
from datetime import date
from textwrap import wrap

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from trainer.progress.facts import Facts
from trainer.progress.look import PAPER
from trainer.progress.painting import paint
from trainer.progress.pictures import Picture, day_words

A4_INCHES = (8.27, 11.69)
TITLE_PT, HEAD_PT, TEXT_PT = 15.0, 11.5, 9.5
COLUMNS = 100
"""Letters of a sentence that fit across the page."""
_A_PAGE = 2
_HEIGHTS = (0.18, 0.28, 0.16, 0.28, 0.10)
"""Shares of a page: words, picture, words, picture, foot. With `_TOPS` they keep words and pictures apart."""
_WIDTHS = (0.06, 0.88, 0.06)
_TOPS = (0.93, 0.52)
_FONT = "DejaVu Sans"
FOOT = (
    "Figures are measured from the notes that the pickup sent. They say nothing of tone, posture or pain, and do not "
    "replace a teacher's ear. Stop when anything hurts; see a clinician if it stays."
)


def report_pdf(facts: Facts, pictures: tuple[Picture, ...]) -> bytes:
    """The PDF file; a picture for which there is not enough is a sentence alone."""
    heading = f"{facts.player or 'Practice'}: {_day(facts.first)} to {_day(facts.last)}"
    drawn = [picture for picture in pictures if picture.shown is not None]
    undrawn = [picture for picture in pictures if picture.shown is None]
    file = io.BytesIO()
    pages = [drawn[place : place + _A_PAGE] for place in range(0, len(drawn), _A_PAGE)]
    if not pages or (undrawn and len(pages[-1]) == _A_PAGE):
        pages.append([])  # sentences without a picture need room
    details = {"Title": f"Boxwalk report. {heading}", "Creator": "Boxwalk", "CreationDate": None, "ModDate": None}
    with PdfPages(file, metadata=details) as pdf:
        for number, page in enumerate(pages, start=1):
            sheet = _sheet(heading, f"{number} of {len(pages)}", page, undrawn if number == len(pages) else [])
            pdf.savefig(sheet)
    return file.getvalue()


def _sheet(heading: str, page: str, drawn: list[Picture], undrawn: list[Picture]) -> Figure:
    sheet = Figure(figsize=A4_INCHES, facecolor=PAPER.ground, layout="constrained")
    grid = sheet.add_gridspec(len(_HEIGHTS), 3, height_ratios=_HEIGHTS, width_ratios=_WIDTHS)
    sheet.text(0.08, 0.955, heading, fontsize=TITLE_PT, family=_FONT, va="center")
    sheet.text(0.92, 0.955, page, fontsize=TEXT_PT, family=_FONT, va="center", ha="right")
    for place, picture in enumerate(drawn):
        _words(sheet, picture, _TOPS[place])
        paint(picture, sheet.add_subfigure(grid[2 * place + 1, 1]), PAPER)
    top = _TOPS[min(len(drawn), _A_PAGE - 1)]
    for picture in undrawn:
        top = _words(sheet, picture, top)
    for place, line in enumerate(reversed(wrap(FOOT, COLUMNS + 12))):
        sheet.text(0.08, 0.03 + 0.016 * place, line, fontsize=TEXT_PT - 1, family=_FONT, color=PAPER.muted)
    return sheet


def _words(sheet: Figure, picture: Picture, top: float) -> float:
    """The title and the sentence; where they end."""
    sheet.text(0.08, top - 0.014, picture.title, fontsize=HEAD_PT, family=_FONT, weight="bold", va="center")
    lines = wrap(picture.sentence, COLUMNS)
    for place, line in enumerate(lines):
        sheet.text(0.08, top - 0.038 - 0.017 * place, line, fontsize=TEXT_PT, family=_FONT, va="center")
    return top - 0.05 - 0.017 * len(lines)


def _day(day: date) -> str:
    return f"{day_words(day)} {day.year}"
