"""The marks and what they mean, each drawn by what draws it while playing."""

from dataclasses import replace
from fractions import Fraction

from trainer.following.verdict import Match, Missed, Slip, TechniqueResult, TechniqueVerdict, WrongNote
from trainer.score.exercise import ScoreNote
from trainer.screens.flow import Drawn, Row, Sample
from trainer.tablature.axis import TimeAxis
from trainer.tablature.ghost import ghost_glyphs
from trainer.tablature.glyphs import Box, Dot, Glyph, Ink, Line, Size, Text, TextMetrics
from trainer.tablature.layout import StaffPlace, TracePlace
from trainer.tablature.marks import accent_sign, stroke_sign
from trainer.tablature.staff import extra_glyphs, join_glyphs, join_style, number_glyphs
from trainer.tablature.state import TO_COME, NoteState
from trainer.tablature.trace import Spread, Window, deviation_glyphs, spread_glyphs
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique

SAMPLE_PX = 150.0
"""The width of a drawn sample at unit 1."""


def mark_rows(unit: float, metrics: TextMetrics) -> tuple[Row, ...]:
    """Every mark, with what it means."""
    return tuple(Row(Drawn(draw, SAMPLE_PX, height_px), words) for draw, words, height_px in _samples(unit, metrics))


LEGEND = frozenset(
    {
        "played as written",
        "another pitch: what was played stands in the box",
        "on another string: what was played stands in the ring",
        "missed",
        "heard as a slide",
        "picked again instead of slid",
        "in time: too little to be heard",
        "late (above the line: early), in ms",
    }
)
"""Of the marks those of a picture of its own."""


def legend_rows(unit: float, metrics: TextMetrics) -> tuple[Row, ...]:
    """The marks that a picture of a take needs, with what they mean."""
    return tuple(row for row in mark_rows(unit, metrics) if row.words in LEGEND)


def _samples(unit: float, metrics: TextMetrics) -> list[tuple[Sample, str, float]]:
    """Each mark as a function of where its middle is to stand, what it means, and the height it needs at unit 1."""

    def number(state: NoteState, lift_px: float = 0.0) -> Sample:
        def draw(x_px: float, y_px: float) -> list[Glyph]:
            staff = StaffPlace(y_px + lift_px * unit, 54 * unit, 2, unit)
            note = ScoreNote(Fraction(0), Fraction(1, 4), Location(1, 12), 76)
            return [_string(x_px, staff.top_px, unit), *number_glyphs(note, state, x_px, staff, metrics)]

        return draw

    def elsewhere(x_px: float, y_px: float) -> list[Glyph]:
        staff = StaffPlace(y_px - 26 * unit, 52 * unit, 2, unit)
        note = ScoreNote(Fraction(0), Fraction(1, 4), Location(1, 7), 71)
        wrong = NoteState(WrongNote(0, 0, Slip.STRING, 0, 0, settled=True), played=Location(2, 12))
        lines: list[Glyph] = [_string(x_px, staff.string_y_px(course), unit) for course in (1, 2)]
        return [*lines, *number_glyphs(note, wrong, x_px, staff, metrics)]

    def join(technique: Technique, frets: tuple[int, int], result: TechniqueResult | None) -> Sample:
        def draw(x_px: float, y_px: float) -> list[Glyph]:
            axis, half_px = TimeAxis(76 * unit), 38 * unit
            start = (x_px - half_px) / axis.px_per_quarter
            staff = StaffPlace(y_px, 54 * unit, 1, unit)
            one, two = (
                ScoreNote(Fraction(start + step), Fraction(1), Location(1, fret), 60 + fret, technique)
                for step, fret in enumerate(frets)
            )
            verdict = None if result is None else TechniqueVerdict(0, 1, technique, technique, result)
            ends = [
                *number_glyphs(one, TO_COME, x_px - half_px, staff, metrics),
                *number_glyphs(two, TO_COME, x_px + half_px, staff, metrics),
            ]
            joined = join_glyphs(two, one, axis, staff, join_style(verdict, unit), metrics)
            return [_string(x_px, y_px, unit), *ends, *joined]

        return draw

    def timed(deviation_ms: float, *, missed: bool = False) -> Sample:
        def draw(x_px: float, y_px: float) -> list[Glyph]:
            place = TracePlace(y_px - (14 * unit if deviation_ms > 6 else 0), 0.7 * unit, 54 * unit, unit)
            state = NoteState(Missed(0, -1, 0, settled=True) if missed else Match(0, 0, 0, 0, settled=True))
            return [
                _string(x_px, place.zero_px, unit),
                *deviation_glyphs(state, deviation_ms, Window(50, 6), x_px, place, metrics),
            ]

        return draw

    def band(x_px: float, y_px: float) -> list[Glyph]:
        place = TracePlace(y_px, 0.7 * unit, 54 * unit, unit)
        return [_string(x_px, y_px, unit), *spread_glyphs(Spread(-4, 9, 22), x_px, place)]

    def hand(x_px: float, y_px: float) -> list[Glyph]:
        return [
            Dot(x_px - 46 * unit, y_px, 15 * unit, Ink.INK),
            Text(x_px - 46 * unit, y_px, "1", Size.SMALL, Ink.GROUND),
            Dot(x_px, y_px, 18 * unit, Ink.NOW),
            Text(x_px, y_px, "4", Size.SMALL, Ink.GROUND),
            Dot(x_px + 46 * unit, y_px, 15 * unit, Ink.MUTED, 2.5 * unit),
        ]

    def signs(x_px: float, y_px: float) -> list[Glyph]:
        return [
            *stroke_sign(Stroke.DOWN, x_px - 40 * unit, y_px, unit),
            *stroke_sign(Stroke.UP, x_px, y_px, unit),
            *accent_sign(x_px + 40 * unit, y_px, unit),
        ]

    def weak(x_px: float, y_px: float) -> list[Glyph]:
        box_px, half_px = x_px - 22 * unit, 12 * unit
        return [
            Box(box_px - half_px, y_px - half_px, box_px + half_px, y_px + half_px, 4 * unit, Ink.NOW),
            Text(box_px, y_px, "1", Size.SMALL, Ink.GROUND),
            Text(x_px + 22 * unit, y_px, "2×", Size.SMALL, Ink.MISSED),
        ]

    matched = Match(0, 0, 0, 0, settled=True)
    wrong = NoteState(WrongNote(0, 0, Slip.PITCH, 0, 0, settled=True), played=Location(1, 11))
    return [
        (number(TO_COME), "to be played", 40),
        (number(NoteState(matched)), "played as written", 44),
        (number(NoteState(replace(matched, settled=False))), "any mark in a paler colour: may still be revised", 44),
        (number(wrong, -16.0), "another pitch: what was played stands in the box", 78),
        (elsewhere, "on another string: what was played stands in the ring", 88),
        (number(NoteState(Missed(0, -1, 0, settled=True))), "missed", 54),
        (
            lambda x, y: [_string(x, y, unit), *extra_glyphs("9", x, 1, StaffPlace(y, 54 * unit, 1, unit))],
            "not written, but played",
            40,
        ),
        (join(Technique.SLIDE, (8, 10), None), "slide to come", 40),
        (join(Technique.SLIDE, (8, 10), TechniqueResult.AS_WRITTEN), "heard as a slide", 40),
        (join(Technique.SLIDE, (8, 10), TechniqueResult.OTHERWISE), "picked again instead of slid", 40),
        (join(Technique.SLIDE, (8, 10), TechniqueResult.NOT_MEASURABLE), "the pickup does not tell how", 40),
        (join(Technique.HAMMER, (5, 8), None), "hammer-on h, pull-off p: their slurs change in the same way", 76),
        (timed(3), "in time: too little to be heard", 40),
        (timed(24), "late (above the line: early), in ms", 64),
        (timed(0, missed=True), "missed, on the trace", 42),
        (band, "the middle half of all passes, and their median", 56),
        (_ghosts(unit), "a ghost, one of your own passes: late, early, another note, missed", 56),
        (hand, "this position with its fingers, the note due, the next position", 50),
        (signs, "pick down, pick up, accent: shown, never judged", 42),
        (weak, "on the result: a weak transition; missed or played wrong twice", 42),
    ]


def _ghosts(unit: float) -> Sample:
    """The marks of a ghost, one beside the other."""
    verdicts: tuple[Match | WrongNote | Missed, ...] = (
        Match(0, 0, 0, 26_000_000, settled=True),
        Match(0, 0, 0, -26_000_000, settled=True),
        WrongNote(0, 0, Slip.PITCH, 0, 0, settled=True),
        Missed(0, -1, 0, settled=True),
    )

    def draw(x_px: float, y_px: float) -> list[Glyph]:
        place = TracePlace(y_px, 0.7 * unit, 54 * unit, unit)
        glyphs: list[Glyph] = [_string(x_px, y_px, unit)]
        for step, verdict in enumerate(verdicts):
            glyphs += ghost_glyphs(NoteState(verdict), x_px + (34 * step - 69) * unit, place)
        return glyphs

    return draw


def _string(x_px: float, y_px: float, unit: float) -> Line:
    half_px = SAMPLE_PX * unit / 2
    return Line(x_px - half_px, y_px, x_px + half_px, y_px, 2 * unit, Ink.LINE)
