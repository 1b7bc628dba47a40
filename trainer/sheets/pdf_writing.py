"""Pages as a PDF file, by reportlab. The same pages always give the same bytes: no date, no random name."""

import io

from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from trainer.sheets.lettering import font_path
from trainer.sheets.marks import Blank, Bow, Box, Jump, Mark, Oval, Rule, Shape, Words
from trainer.sheets.pages import Document, Page

_FONTS = {False: "Sheet", True: "Sheet-Bold"}
_ROUND = 1


def pdf(document: Document) -> bytes:
    """`document` as the bytes of a PDF file, with an entry for each exercise in its outline."""
    for is_bold, name in _FONTS.items():
        registerFont(TTFont(name, str(font_path(bold=is_bold))))
    written = io.BytesIO()
    canvas = Canvas(written, invariant=1, pageCompression=1)
    canvas.setTitle(document.title)
    canvas.setCreator("Boxwalk")
    names = {page: title for title, page in reversed(document.begins)}
    for number, page in enumerate(document.pages):
        canvas.setPageSize((page.paper.width_pt, page.paper.height_pt))
        canvas.bookmarkPage(_key(number))
        if number in names and len(document.begins) > 1:
            canvas.addOutlineEntry(names[number], _key(number))
        _Painter(canvas, page).paint()
        canvas.showPage()
    canvas.save()
    return written.getvalue()


def _key(page: int) -> str:
    return f"page-{page + 1}"


class _Painter:
    """Draws the marks of one page; PDF counts heights from the bottom."""

    def __init__(self, canvas: Canvas, page: Page) -> None:
        self._canvas = canvas
        self._page = page
        canvas.setLineJoin(_ROUND)

    def paint(self) -> None:
        """Draw every mark in order."""
        for mark in self._page.marks:
            self._paint(mark)

    def _y(self, y_pt: float) -> float:
        return self._page.paper.height_pt - y_pt

    def _paint(self, mark: Mark) -> None:
        match mark:
            case Words():
                self._canvas.setFont(_FONTS[mark.bold], mark.size_pt)
                self._canvas.drawString(mark.left_pt, self._y(mark.y_pt), mark.text)
            case Rule():
                self._canvas.setLineWidth(mark.weight_pt)
                self._canvas.line(mark.start.x_pt, self._y(mark.start.y_pt), mark.end.x_pt, self._y(mark.end.y_pt))
            case Shape():
                self._polygon(mark)
            case Oval():
                self._oval(mark)
            case Bow():
                one, other = mark.controls
                points = [value for p in (mark.start, one, other, mark.end) for value in (p.x_pt, self._y(p.y_pt))]
                self._canvas.setLineWidth(mark.weight_pt)
                self._canvas.bezier(*points)
            case Blank():
                self._canvas.setFillGray(1)
                left, bottom, right, top = self._upright(mark.box)
                self._canvas.rect(left, bottom, right - left, top - bottom, stroke=0, fill=1)
                self._canvas.setFillGray(0)
            case Jump():
                self._canvas.linkRect("", _key(mark.page), self._upright(mark.box), thickness=0)

    def _upright(self, box: Box) -> tuple[float, float, float, float]:
        return box.left_pt, self._y(box.bottom_pt), box.right_pt, self._y(box.top_pt)

    def _polygon(self, shape: Shape) -> None:
        path = self._canvas.beginPath()
        first, *others = shape.corners
        path.moveTo(first.x_pt, self._y(first.y_pt))
        for corner in others:
            path.lineTo(corner.x_pt, self._y(corner.y_pt))
        path.close()
        self._fill(shape.weight_pt)
        self._canvas.drawPath(path, stroke=int(shape.weight_pt > 0), fill=1)
        self._canvas.setFillGray(0)

    def _oval(self, oval: Oval) -> None:
        x_pt, y_pt = oval.centre.x_pt, self._y(oval.centre.y_pt)
        self._fill(oval.weight_pt)
        corners = x_pt - oval.across_pt, y_pt - oval.down_pt, x_pt + oval.across_pt, y_pt + oval.down_pt
        self._canvas.ellipse(*corners, stroke=int(oval.weight_pt > 0), fill=1)
        self._canvas.setFillGray(0)

    def _fill(self, weight_pt: float) -> None:
        """White inside an outline, black without one."""
        self._canvas.setLineWidth(weight_pt)
        self._canvas.setFillGray(1 if weight_pt else 0)
