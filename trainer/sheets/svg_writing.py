"""Pages as SVG 1.1 pictures, one for each page, without scripts, styles or references.

Text is text, set in DejaVu Sans where it is installed; `textLength` gives it the width that the layout counted with in
any other font.
"""

from xml.etree import ElementTree as ET

from trainer.sheets.marks import Blank, Bow, Jump, Mark, Oval, Rule, Shape, Words
from trainer.sheets.pages import Document, Page

_FONTS = "DejaVu Sans, Verdana, sans-serif"


def svgs(document: Document) -> tuple[bytes, ...]:
    """Each page of `document` as the bytes of an SVG file in UTF-8."""
    return tuple(_svg(page, document.title) for page in document.pages)


def _svg(page: Page, title: str) -> bytes:
    width, height = page.paper.width_pt, page.paper.height_pt
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "version": "1.1",
            "width": f"{_figure(width)}pt",
            "height": f"{_figure(height)}pt",
            "viewBox": f"0 0 {_figure(width)} {_figure(height)}",
            "font-family": _FONTS,
            "stroke-linejoin": "round",
        },
    )
    ET.SubElement(root, "title").text = "".join(sign if sign.isprintable() else " " for sign in title)
    ET.SubElement(root, "rect", {"width": _figure(width), "height": _figure(height), "fill": "white"})
    for mark in page.marks:
        _add(root, mark)
    ET.indent(root)
    return ('<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n").encode()


def _add(root: ET.Element, mark: Mark) -> None:
    match mark:
        case Words():
            _add_words(root, mark)
        case Rule():
            (x1, y1), (x2, y2) = mark.start, mark.end
            ends = {"x1": x1, "y1": y1, "x2": x2, "y2": y2, "stroke-width": mark.weight_pt}
            ET.SubElement(root, "line", {**_figures(ends), "stroke": "black"})
        case Shape():
            points = " ".join(f"{_figure(corner.x_pt)},{_figure(corner.y_pt)}" for corner in mark.corners)
            ET.SubElement(root, "polygon", {"points": points, **_ink(mark.weight_pt)})
        case Oval():
            places = {"cx": mark.centre.x_pt, "cy": mark.centre.y_pt, "rx": mark.across_pt, "ry": mark.down_pt}
            ET.SubElement(root, "ellipse", {**_figures(places), **_ink(mark.weight_pt)})
        case Bow():
            start, one, other, end = (
                f"{_figure(point.x_pt)} {_figure(point.y_pt)}" for point in (mark.start, *mark.controls, mark.end)
            )
            ink = {"fill": "none", "stroke": "black", "stroke-width": _figure(mark.weight_pt)}
            ET.SubElement(root, "path", {"d": f"M{start} C{one} {other} {end}", **ink})
        case Blank():
            left, top, right, bottom = mark.box
            sides = {"x": left, "y": top, "width": right - left, "height": bottom - top}
            ET.SubElement(root, "rect", {**_figures(sides), "fill": "white"})
        case Jump():
            pass  # a picture has no other pages


def _add_words(root: ET.Element, words: Words) -> None:
    places = {"x": words.left_pt, "y": words.y_pt, "font-size": words.size_pt, "textLength": words.width_pt}
    attributes = _figures(places) | {"lengthAdjust": "spacingAndGlyphs"}
    if words.bold:
        attributes["font-weight"] = "bold"
    ET.SubElement(root, "text", attributes).text = "".join(s if s.isprintable() else " " for s in words.text)


def _ink(weight_pt: float) -> dict[str, str]:
    """White inside an outline, black without one."""
    if not weight_pt:
        return {"fill": "black"}
    return {"fill": "white", "stroke": "black", "stroke-width": _figure(weight_pt)}


def _figures(values: dict[str, float]) -> dict[str, str]:
    return {name: _figure(value) for name, value in values.items()}


def _figure(value: float) -> str:
    """A coordinate to a thousandth of a point, as short as it can be written."""
    return f"{value + 0.0:.3f}".rstrip("0").rstrip(".")
