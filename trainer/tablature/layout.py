"""Where the parts of the practice picture stand, for any window size and 4 to 8 strings.

Conventions: one `unit` is a pixel of a picture 1920 wide and 1080 high; everything scales with it.
"""

from dataclasses import dataclass
from math import inf

from trainer.tablature.glyphs import Rect

NOW_SHARE = 0.3
"""Now stands at this share of the width: a third of what is seen is what was just played, the rest is to come."""

GUTTER_PX = 96.0
"""Left of what scrolls stand the names of its rows, in this width at unit 1."""
STAFF_BLOCK_PX = 260.0
"""The height that a staff of 5 to 8 strings fills at unit 1; one of four stands in its middle."""

SYSTEM_GAP_PX = 30.0
"""The strings of a standing line lie this far apart at unit 1."""
SYSTEM_STAFF_PX = 158.0
"""With seven or eight strings they lie closer, so that the staff is no higher than this."""
SYSTEM_TOP_PX = 78.0
"""Over the staff of a system there is room for brackets and slurs, at unit 1."""
ACCENTS_PX = 18.0
"""And, where it shows any, for accents."""


@dataclass(frozen=True, slots=True)
class StaffPlace:
    """A tablature staff."""

    top_px: float
    gap_px: float
    strings: int
    unit: float

    def string_y_px(self, course: int) -> float:
        """The line of a string, the highest-pitched on top."""
        return self.top_px + (course - 1) * self.gap_px

    @property
    def bottom_px(self) -> float:
        """The lowest line."""
        return self.string_y_px(self.strings)


@dataclass(frozen=True, slots=True)
class TracePlace:
    """A timing trace around its zero line, rush above, drag below."""

    zero_px: float
    px_per_ms: float
    reach_px: float
    """An arrow longer than this ends here; its figure says how long it is."""
    unit: float
    above_px: float = inf
    """How far above the zero line the row of the count stands."""

    def y_px(self, deviation_ms: float) -> float:
        """Where a deviation stands; early is above."""
        return self.zero_px + max(-self.reach_px, min(self.reach_px, deviation_ms * self.px_per_ms))


@dataclass(frozen=True, slots=True)
class NeckPlace:
    """The neck, the highest-pitched string on top, its nut on the left, or on the right for left-handed players."""

    board: Rect
    strings: int
    last_fret: int
    unit: float
    is_left_handed: bool = False
    first_fret: int = 0
    """Of a part of the neck: the wire that it begins with; 0 is the nut."""

    def shows(self, fret: int) -> bool:
        """Whether the place behind a fret is on this part; an open string stands beyond the nut."""
        return fret <= self.last_fret and (fret > self.first_fret or self.first_fret == 0)

    def wire_x_px(self, fret: int) -> float:
        """The fret wire; 0 is the nut."""
        return self._from_nut_px(fret)

    def fret_x_px(self, fret: int) -> float:
        """Where a finger stands to fret it: between two wires, or beyond the nut for an open string."""
        return self._from_nut_px(fret - 0.5)

    def _from_nut_px(self, frets: float) -> float:
        share = (frets - self.first_fret) / (self.last_fret - self.first_fret)
        return self.board.left_px + (self.board.right_px - self.board.left_px) * (
            1 - share if self.is_left_handed else share
        )

    def string_y_px(self, course: int) -> float:
        """The line of a string."""
        return self.board.top_px + (self.board.bottom_px - self.board.top_px) * (course - 1) / (self.strings - 1)


@dataclass(frozen=True, slots=True)
class TimeLayout:
    """The rows that share a time axis, from top to bottom."""

    width_px: float
    unit: float
    now_x_px: float
    """Where now stands in the picture."""
    bracket_y_px: float
    """The line of the brackets; their words stand above it."""
    staff: StaffPlace
    beam_y_px: float
    """Where the stems end, outermost beam."""
    strokes_y_px: float
    fingers_y_px: float
    count_y_px: float
    trace: TracePlace


@dataclass(frozen=True, slots=True)
class PracticeLayout:
    """Every part of the practice picture."""

    width_px: int
    height_px: int
    unit: float
    left_px: float
    right_px: float
    title_y_px: float
    subtitle_y_px: float
    time: TimeLayout
    neck: NeckPlace
    figures_y_px: float
    keys_y_px: float


def unit_of(width_px: int, height_px: int) -> float:
    """The scale of a picture of this size."""
    return min(width_px / 1920, height_px / 1080)


def staff_in_block(top_px: float, strings: int, unit: float) -> StaffPlace:
    """A staff in the middle of a block of the usual height."""
    block_px = STAFF_BLOCK_PX * unit
    gap_px = min(66 * unit, block_px / (strings - 1))
    return StaffPlace(top_px + (block_px - gap_px * (strings - 1)) / 2, gap_px, strings, unit)


def practice_layout(
    width_px: int, height_px: int, strings: int, last_fret: int, *, is_left_handed: bool = False
) -> PracticeLayout:
    """The places of all parts, from top to bottom."""
    unit = unit_of(width_px, height_px)
    spare_px = height_px - 1080 * unit
    margin_px = 48 * unit
    top_px = 226 * unit + 0.3 * spare_px
    below_px = top_px + STAFF_BLOCK_PX * unit
    neck_top_px = 808 * unit + 0.8 * spare_px
    neck_bottom_px = neck_top_px + 140 * unit
    # Open strings stand beyond the nut, which on the right has no gutter.
    neck_right_px = width_px - margin_px - (24 * unit if is_left_handed else 0)
    board = Rect(margin_px + GUTTER_PX * unit, neck_top_px, neck_right_px, neck_bottom_px)
    return PracticeLayout(
        width_px=width_px,
        height_px=height_px,
        unit=unit,
        left_px=margin_px,
        right_px=width_px - margin_px,
        title_y_px=50 * unit,
        subtitle_y_px=98 * unit,
        time=TimeLayout(
            width_px=width_px,
            unit=unit,
            now_x_px=round(width_px * NOW_SHARE),
            bracket_y_px=top_px - 62 * unit,
            staff=staff_in_block(top_px, strings, unit),
            beam_y_px=below_px + 45 * unit,
            strokes_y_px=below_px + 74 * unit,
            fingers_y_px=below_px + 98 * unit,
            count_y_px=below_px + 128 * unit,
            trace=TracePlace(
                below_px + 212 * unit + 0.2 * spare_px, 0.9 * unit, 48 * unit, unit, 84 * unit + 0.2 * spare_px
            ),
        ),
        neck=NeckPlace(board, strings, last_fret, unit, is_left_handed),
        figures_y_px=height_px - 62 * unit,
        keys_y_px=height_px - 26 * unit,
    )


def system_height_px(strings: int, unit: float, *, has_trace: bool, has_accents: bool = False) -> float:
    """How high one system of a standing line is."""
    rest_px = SYSTEM_TOP_PX + _system_gap_px(strings) * (strings - 1) + (242 if has_trace else 92)
    return rest_px * unit + _accents_px(unit, has_accents=has_accents)


def system_layout(width_px: float, strings: int, unit: float, *, has_accents: bool = False) -> TimeLayout:
    """The rows of one system of a standing line, from its top on; it shows no strokes and fingers."""
    top_px = SYSTEM_TOP_PX * unit + _accents_px(unit, has_accents=has_accents)
    staff = StaffPlace(top_px, _system_gap_px(strings) * unit, strings, unit)
    return TimeLayout(
        width_px=width_px,
        unit=unit,
        now_x_px=0,
        bracket_y_px=36 * unit,
        staff=staff,
        beam_y_px=staff.bottom_px + 36 * unit,
        strokes_y_px=0,
        fingers_y_px=0,
        count_y_px=staff.bottom_px + 74 * unit,
        trace=TracePlace(staff.bottom_px + 146 * unit, 0.7 * unit, 36 * unit, unit, 72 * unit),
    )


def _accents_px(unit: float, *, has_accents: bool) -> int:
    """Whole pixels, so that beams come out as they do without accents."""
    return round(ACCENTS_PX * unit) if has_accents else 0


def _system_gap_px(strings: int) -> float:
    return min(SYSTEM_GAP_PX, SYSTEM_STAFF_PX / (strings - 1))
