"""Paper, type sizes and line weights of printed sheets, each with its reason.

A sheet lies on a stand 70 cm away and is copied, often twice.
- Text: capitals and figures are 0.729 of the font size high. At 70 cm the frets (11 pt: 2.8 mm) are 14 minutes of arc
  high and the smallest text (8 pt: 2.1 mm) is 10. Letters of 5 minutes are what normal sight just reads (the line of an
  eye chart for it, from memory), so everything is at least twice that.
- Lines: a copier at 300 dots an inch has 4.2 dots a point; 0.6 pt are 2.5 dots, so that the thinnest line is still one
  dot wide when a generation of copying loses one at an edge. Nothing is grey: copiers turn grey into dots.
- Margins: printers and copiers leave about 5 mm unprinted; on the left the holes of a file have their centres 12 mm
  from the edge (ISO 838, from memory).
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper, upright, and what of it is printed on."""

    name: str
    width_pt: float
    height_pt: float
    left_pt: float = 51.0
    """18 mm."""
    right_pt: float = 34.0
    """12 mm."""
    top_pt: float = 30.0
    bottom_pt: float = 44.0
    """Below the last line of the page's content; the footer stands in it."""

    @property
    def room_pt(self) -> float:
        """The width between the margins."""
        return self.width_pt - self.left_pt - self.right_pt

    @property
    def column_pt(self) -> float:
        """The height between the margins."""
        return self.height_pt - self.top_pt - self.bottom_pt


MM = 72 / 25.4

A4 = Paper("A4", 210 * MM, 297 * MM)
LETTER = Paper("Letter", 612.0, 792.0)
PAPERS = {paper.name.lower(): paper for paper in (A4, LETTER)}

TITLE_PT = 19.0
LONG_TITLE_PT = 13.0
TEMPO_PT = 15.0
FACTS_PT = 10.5
BODY_PT = 9.0
FRET_PT = 11.0
GRACE_PT = 8.5
COUNT_PT = 9.0
SMALLEST_PT = 8.0

HAIR_PT = 0.6
"""Strings, brackets, boxes."""
LINE_PT = 0.9
"""Bar lines, stems, signs."""
SLIDE_PT = 1.2
THICK_PT = 2.6
"""Beams and the end of the line."""

STRING_GAP_PT = 10.5
"""Room for a fret figure (8 pt high) and a bow between two strings."""
