"""The picture of the set-up: what to do now, what it looks like so far, and what arrives."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from trainer.playing.calibration.bend import BendStep
from trainer.playing.calibration.guide import Guide, StepName
from trainer.playing.calibration.latency import LatencyStep
from trainer.playing.calibration.strings import StringStep
from trainer.screens.hints import Hint, hint_targets, key_hints
from trainer.screens.paint import Fonts
from trainer.screens.screen import Target
from trainer.tablature.glyphs import Anchor, Dot, Glyph, Ink, Line, Size, Text
from trainer.tablature.layout import unit_of
from trainer.theory.pitch import pitch_name

STEP_WORDS = {StepName.STRINGS: "1  strings", StepName.BEND: "2  bend range", StepName.LATENCY: "3  latency"}
REACH_MS = 60.0
"""The hits are drawn up to this far from the click; those farther stand at the edge."""
SHOWN_HITS = 24
ROW_PX, ROWS_PX, TEXT_ROW_PX = 62.0, 400.0, 31.0
"""A string's row, the room for all of them, and a line of what arrives, at unit 1."""
TOP_PX = 400.0
"""Where the middle part begins, at unit 1."""


@dataclass(frozen=True, slots=True)
class SetUpView:
    """What the set-up shows."""

    device: str
    guide: Guide
    prompt: str
    remark: str
    arrived: Sequence[str]
    """Decoded, the latest last."""
    hints: Sequence[Hint]


class SetUpPicture:
    """Lays out the set-up at one size."""

    def __init__(self, size: tuple[int, int], fonts: Fonts) -> None:
        self._fonts = fonts
        self._unit = unit_of(*size)
        self._width_px, self._height_px = size
        self._left_px = 48 * self._unit
        self._right_px = size[0] - 48 * self._unit
        self._middle_px = size[0] * 0.56

    def glyphs(self, view: SetUpView) -> list[Glyph]:
        """Everything."""
        unit, fonts = self._unit, self._fonts
        room_px = self._right_px - self._left_px
        title = fonts.elided(f"Set-up of {view.device}", Size.TITLE, room_px)
        glyphs: list[Glyph] = [
            Text(self._left_px, 60 * unit, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            *self._steps(view.guide),
            *self._lines(view.prompt, Size.HEAD, Ink.INK, 212 * unit, 44 * unit, 2),
            *self._lines(view.remark, Size.BODY, Ink.NOW, 308 * unit, 34 * unit, 2),
            *self._arrived(view.arrived),
        ]
        match view.guide.step:
            case StringStep() as step:
                glyphs += self._strings(view.guide, asked=step.asked, channels=step.channel_of_course)
            case BendStep() as step:
                glyphs += self._scale(step)
            case LatencyStep() as step:
                glyphs += self._hits(view.guide, step)
        glyphs += self._findings(view.guide)
        return [*glyphs, *self._hints(view)]

    def hint_targets(self, view: SetUpView) -> list[Target]:
        """Where each hint can be pressed."""
        return hint_targets(self._hints(view), [command for *_, command in view.hints], self._fonts)

    def _hints(self, view: SetUpView) -> list[Text]:
        rows = [(name, words) for name, words, _ in view.hints]
        y_px = self._height_px - 28 * self._unit
        return key_hints(rows, self._left_px, y_px, self._fonts, self._unit, self._right_px)

    def _lines(
        self, words: str, size: Size, ink: Ink, y_px: float, apart_px: float, most: int, right_px: float | None = None
    ) -> list[Glyph]:
        room_px = (right_px or self._right_px) - self._left_px
        lines = self._fonts.wrapped(words, size, room_px)[:most]
        return [
            Text(self._left_px, y_px + place * apart_px, line, size, ink, Anchor.LEFT)
            for place, line in enumerate(lines)
        ]

    def _steps(self, guide: Guide) -> list[Glyph]:
        """The row of steps: done, now and to come."""
        unit, x_px, y_px = self._unit, self._left_px, 132 * self._unit
        glyphs: list[Glyph] = []
        for step, words in STEP_WORDS.items():
            is_now, is_done = step is guide.name, step in guide.findings
            mark = " ✓" if step in guide.learned else ", left as it was" if is_done else ""
            shown = words + mark
            width_px = self._fonts.width_px(shown, Size.BODY)
            glyphs.append(Text(x_px, y_px, shown, Size.BODY, Ink.INK if is_now or is_done else Ink.MUTED, Anchor.LEFT))
            if is_now:
                glyphs.append(Line(x_px, y_px + 24 * unit, x_px + width_px, y_px + 24 * unit, 3 * unit, Ink.NOW))
            x_px += width_px + 56 * unit
        return glyphs

    def _rows_y_px(self, guide: Guide) -> dict[int, float]:
        """Course -> the middle of its row; string 1 on top, as in tablature."""
        row_px = min(ROW_PX, ROWS_PX / len(guide.tuning.open_pitches))
        return {course: (TOP_PX + 24 + (course - 0.5) * row_px) * self._unit for course in guide.tuning.courses}

    def _caption(self, words: str) -> Text:
        return Text(self._left_px, TOP_PX * self._unit, words, Size.SMALL, Ink.MUTED, Anchor.LEFT)

    def _row_names(self, guide: Guide, asked: int | None) -> list[Glyph]:
        """The strings; the one that is asked stands out."""
        unit = self._unit
        glyphs: list[Glyph] = []
        for course, y_px in self._rows_y_px(guide).items():
            ink = Ink.NOW if course == asked else Ink.INK
            words = f"string {course}  {pitch_name(guide.tuning.open_pitches[course - 1])}"
            glyphs.append(Text(self._left_px + 30 * unit, y_px, words, Size.BODY, ink, Anchor.LEFT))
            if course == asked:
                glyphs.append(Dot(self._left_px + 8 * unit, y_px, 8 * unit, Ink.NOW))
        return glyphs

    @property
    def _rows_left_px(self) -> float:
        return self._left_px + 230 * self._unit

    @property
    def _rows_right_px(self) -> float:
        return self._middle_px - 40 * self._unit

    def _strings(self, guide: Guide, asked: tuple[int, int] | None, channels: dict[int, int]) -> list[Glyph]:
        unit = self._unit
        course_asked = None if asked is None else asked[0]
        glyphs: list[Glyph] = [self._caption("where each string arrives"), *self._row_names(guide, course_asked)]
        ends_px = self._rows_right_px - 170 * unit
        for course, y_px in self._rows_y_px(guide).items():
            ink = Ink.NOW if course == course_asked else Ink.LINE
            glyphs.append(Line(self._rows_left_px, y_px, ends_px, y_px, 2 * unit, ink))
            words = f"channel {channels[course]}" if course in channels else "channel ?"
            ink = Ink.INK if course in channels else Ink.MUTED
            glyphs.append(Text(self._rows_right_px, y_px, words, Size.BODY, ink, Anchor.RIGHT))
        return glyphs

    def _scale(self, step: BendStep) -> list[Glyph]:
        """Where the bend stands between the note and the end of its scale."""
        unit, left_px, right_px = self._unit, self._left_px + 12 * self._unit, self._rows_right_px - 12 * self._unit
        y_px = (TOP_PX + 130) * unit
        x_px = left_px + max(0.0, min(1.0, step.share)) * (right_px - left_px)
        return [
            self._caption("where the bend stands"),
            Line(left_px, y_px, right_px, y_px, 3 * unit, Ink.LINE),
            Line(left_px, y_px - 16 * unit, left_px, y_px + 16 * unit, 3 * unit, Ink.LINE),
            Line(right_px, y_px - 16 * unit, right_px, y_px + 16 * unit, 3 * unit, Ink.LINE),
            Text(left_px, y_px + 48 * unit, "as plucked", Size.SMALL, Ink.MUTED, Anchor.LEFT),
            Text(right_px, y_px + 48 * unit, "end of its scale", Size.SMALL, Ink.MUTED, Anchor.RIGHT),
            Dot(x_px, y_px, 13 * unit, Ink.NOW),
        ]

    def _hits(self, guide: Guide, step: LatencyStep) -> list[Glyph]:
        """When the notes of each string arrived, around the click."""
        unit = self._unit
        left_px, right_px = self._rows_left_px, self._rows_right_px - 110 * unit
        zero_px, per_ms_px = (left_px + right_px) / 2, (right_px - left_px) / 2 / REACH_MS
        rows_y_px = self._rows_y_px(guide)
        top_px, bottom_px = (TOP_PX + 30) * unit, max(rows_y_px.values()) + 26 * unit
        caption = self._caption("when each note arrived (upright: their middle)")
        glyphs: list[Glyph] = [caption, *self._row_names(guide, step.course)]
        glyphs.append(Line(zero_px, top_px, zero_px, bottom_px, 2 * unit, Ink.LINE))
        for course, late_ms in step.late_ms.items():
            y_px = rows_y_px[course]
            glyphs.append(Line(left_px, y_px, right_px, y_px, 1.5 * unit, Ink.FAINT))
            for each in late_ms[-SHOWN_HITS:]:
                x_px = zero_px + max(-REACH_MS, min(REACH_MS, each)) * per_ms_px
                glyphs.append(Dot(x_px, y_px, 5 * unit, Ink.AS_WRITTEN))
            if late_ms:
                middle_ms = median(late_ms)
                x_px = zero_px + max(-REACH_MS, min(REACH_MS, middle_ms)) * per_ms_px
                glyphs.append(Line(x_px, y_px - 20 * unit, x_px, y_px + 20 * unit, 4 * unit, Ink.INK))
                words = f"{round(middle_ms):+d} ms".replace("-", "\N{MINUS SIGN}")
                glyphs.append(Text(self._rows_right_px, y_px, words, Size.BODY, Ink.INK, Anchor.RIGHT))
        y_px = bottom_px + 24 * unit
        early, late = f"\N{MINUS SIGN}{REACH_MS:.0f} ms", f"+{REACH_MS:.0f} ms"
        return [
            *glyphs,
            Text(left_px, y_px, early, Size.SMALL, Ink.MUTED, Anchor.LEFT),
            Text(zero_px, y_px, "click", Size.SMALL, Ink.MUTED),
            Text(right_px, y_px, late, Size.SMALL, Ink.MUTED, Anchor.RIGHT),
        ]

    def _arrived(self, lines: Sequence[str]) -> list[Glyph]:
        unit = self._unit
        room_px = self._right_px - self._middle_px
        glyphs: list[Glyph] = [Text(self._middle_px, TOP_PX * unit, "what arrives", Size.SMALL, Ink.MUTED, Anchor.LEFT)]
        for place, line in enumerate(lines):
            y_px = (TOP_PX + 42 + place * TEXT_ROW_PX) * unit
            shown = self._fonts.elided(line, Size.SMALL, room_px)
            glyphs.append(Text(self._middle_px, y_px, shown, Size.SMALL, Ink.INK, Anchor.LEFT))
        return glyphs

    def _findings(self, guide: Guide) -> list[Glyph]:
        """What was learned: at the foot while it goes on, in the middle when it is over."""
        unit = self._unit
        sentences = [sentence for findings in guide.findings.values() for sentence in findings]
        if guide.is_finished:
            right_px = self._middle_px - 48 * unit
            return self._sentences(sentences, Size.BODY, TOP_PX * unit, 38 * unit, right_px, 16, 18 * unit)
        return self._sentences(sentences, Size.SMALL, 888 * unit, 32 * unit, self._right_px, 4)

    def _sentences(
        self,
        sentences: Sequence[str],
        size: Size,
        y_px: float,
        apart_px: float,
        right_px: float,
        most: int,
        gap_px: float = 0.0,
    ) -> list[Glyph]:
        glyphs: list[Glyph] = []
        for words in sentences:
            for line in self._fonts.wrapped(words, size, right_px - self._left_px):
                glyphs.append(Text(self._left_px, y_px, line, size, Ink.INK, Anchor.LEFT))
                y_px += apart_px
            y_px += gap_px
        return glyphs[:most]
