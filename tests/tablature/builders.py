"""Short ways to write a line, a layout and measured text."""

from collections.abc import Sequence
from fractions import Fraction

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo
from trainer.tablature.glyphs import Rect, Size
from trainer.tablature.layout import StaffPlace, TimeLayout, TracePlace
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

GUITAR = Tuning("standard", (64, 59, 55, 50, 45, 40))
QUARTER = Fraction(1)
EIGHTH = Fraction(1, 2)
SIXTEENTH = Fraction(1, 4)
STAFF = StaffPlace(top_px=100, gap_px=50, strings=6, unit=1)
TRACE = TracePlace(zero_px=600, px_per_ms=1, reach_px=54, unit=1)
LAYOUT = TimeLayout(
    width_px=1000,
    unit=1,
    now_x_px=300,
    bracket_y_px=50,
    staff=STAFF,
    beam_y_px=400,
    strokes_y_px=420,
    fingers_y_px=440,
    count_y_px=460,
    trace=TRACE,
)


class FixedWidth:
    """Every letter is equally wide, capitals are 20 high; small ones are half of that."""

    def __init__(self, letter_px: float) -> None:
        self._letter_px = letter_px

    def width_px(self, text: str, size: Size) -> float:
        return len(text) * self._letter_px * (0.5 if size is Size.SMALL else 1.0)

    def cap_px(self, size: Size) -> float:
        return 10.0 if size is Size.SMALL else 20.0


METRICS = FixedWidth(10)
WIDE_METRICS = FixedWidth(40)
"""So wide that numbers, and not the narrowest column, decide how wide a line is set."""


def note(
    onset: Fraction | int,
    course: int = 1,
    fret: int = 5,
    *,
    duration: Fraction = SIXTEENTH,
    technique: Technique = Technique.PICK,
    slide_from: Location | None = None,
    position: int | None = None,
    finger: int | None = None,
) -> ScoreNote:
    """One note."""
    location = Location(course, fret)
    return ScoreNote(
        Fraction(onset),
        duration,
        location,
        GUITAR.pitch_at(location),
        technique=technique,
        slide_from=slide_from,
        position=position,
        finger=finger,
    )


def line_of(notes: Sequence[ScoreNote], length: Fraction | int = 4) -> Exercise:
    """A line at 60 quarters a minute."""
    return Exercise("line", "Line", GUITAR, Tempo(Fraction(60)), tuple(notes), length_quarters=Fraction(length))


def row_of(count: int, step: Fraction = SIXTEENTH) -> Exercise:
    """`count` notes at one place, evenly spaced, with a bar's length at least."""
    length = max(Fraction(4), count * step)
    return line_of([note(index * step, duration=step) for index in range(count)], length)


def overlapping(rects: Sequence[tuple[str, Rect]]) -> list[tuple[str, str]]:
    """The pairs that overlap."""
    return [
        (one[0], other[0])
        for index, one in enumerate(rects)
        for other in rects[index + 1 :]
        if one[1].overlaps(other[1])
    ]
