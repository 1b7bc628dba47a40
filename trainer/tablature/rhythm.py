"""The rhythm of a line under its staff: stems, beams, flags, dots, rests, ties and tuplets.

The fret numbers are the heads. Values, ties, tuplets and beams are those that a sheet of the line has
(`trainer.score.notation`, `trainer.score.beaming`). A half note's stem is half as long, a whole note has none. The
figure of a tuplet stands on its beam, or in a bracket where no beam joins just its signs; a bar without a note has a
whole rest in its middle. Common notation (Gould, Behind Bars, from memory), the stems apart.
"""

from collections.abc import Iterator, Sequence

from trainer.score.beaming import beam_groups, beams_of
from trainer.score.meter import Meter
from trainer.score.notation import Bar, Sign
from trainer.tablature.axis import TimeAxis
from trainer.tablature.glyphs import Arc, Dot, Glyph, Ink, Line, Size, Text, TextMetrics
from trainer.tablature.layout import TimeLayout
from trainer.tablature.rests import REST_ACROSS_PX, REST_HEIGHT_PX, WHOLE, rest_glyphs

STEM_PX, HALF_STEM_PX = 19.0, 10.0
BEAM_STEP_PX, BEAM_PX = 7.0, 4.0
STUB_PX = 12.0
"""A flag, and the beam of a note whose neighbour has fewer."""
BRACKET_PX = 11.0
"""How far under the stems the bracket of a tuplet lies."""
REST_MIDDLE_PX = REST_HEIGHT_PX / 2 - 3
"""The middle of a rest over the end of the stems."""

Piece = tuple[float, tuple[Glyph, ...]]
"""Glyphs that belong together, and where they begin."""


def rhythm_pieces(bar: Bar, meter: Meter, axis: TimeAxis, layout: TimeLayout, metrics: TextMetrics) -> Iterator[Piece]:
    """The rhythm of a bar of one voice, in pieces; ties reach into the next bar."""
    voice, unit, y_px = bar.voices[0], layout.unit, layout.beam_y_px
    if all(sign.is_rest for sign in voice):
        x_px = axis.x_px(bar.onset_quarters + bar.length_quarters / 2)
        yield x_px, tuple(rest_glyphs(WHOLE, x_px, y_px - REST_MIDDLE_PX * unit, unit))
        return
    groups = beam_groups(voice, meter)
    beamed = {sign for group in groups for sign in group}
    for sign in voice:
        yield axis.x_px(sign.onset_quarters), tuple(_sign_glyphs(sign, axis, layout, has_flags=sign not in beamed))
    for group in groups:
        yield axis.x_px(group[0].onset_quarters), tuple(_beam_lines(group, meter, axis, layout))
    for tuplet in _tuplets(voice):
        x_px = axis.x_px(tuplet[0].onset_quarters)
        span_px = x_px, axis.x_px(tuplet[-1].onset_quarters)
        figure = str(tuplet[0].tuplet.actual) if tuplet[0].tuplet is not None else ""
        if tuplet in groups:
            middle_px, figure_y_px = sum(span_px) / 2, y_px + 1 * unit
            yield x_px, (Text(middle_px, figure_y_px, figure, Size.SMALL, Ink.MUTED, on_ground=True),)
        else:
            yield x_px, tuple(_bracket(span_px, figure, layout, metrics))


def _sign_glyphs(sign: Sign, axis: TimeAxis, layout: TimeLayout, *, has_flags: bool) -> Iterator[Glyph]:
    """A rest; or stem, flags, dots, and the tie to what it goes on in."""
    x_px, y_px, unit = axis.x_px(sign.onset_quarters), layout.beam_y_px, layout.unit
    if sign.is_rest:
        if sign.value is not None and axis.x_px(sign.duration_quarters) >= 2 * REST_ACROSS_PX * unit:
            yield from rest_glyphs(sign.value, x_px, y_px - REST_MIDDLE_PX * unit, unit)
        return
    value = sign.value
    if value is None or value.plain_quarters < WHOLE.plain_quarters:
        stem_px = HALF_STEM_PX if value is not None and value.plain_quarters >= 2 else STEM_PX
        yield Line(x_px, y_px - stem_px * unit, x_px, y_px, 2 * unit, Ink.LINE)
    for level in range(value.flags) if value is not None and has_flags else ():
        yield _beam(x_px, x_px + STUB_PX * unit, level, layout)
    for dot in range(value.dots) if value is not None else ():
        yield Dot(x_px + (8 + 7 * dot) * unit, y_px - 13 * unit, 3 * unit, Ink.MUTED)
    if sign.tied_to:
        tie_y_px, inset_px = y_px - STEM_PX * unit, 7 * unit
        yield Arc(x_px + inset_px, axis.x_px(sign.end_quarters) - inset_px, tie_y_px, 6 * unit, 2 * unit, Ink.MUTED)


def _beam_lines(group: Sequence[Sign], meter: Meter, axis: TimeAxis, layout: TimeLayout) -> Iterator[Line]:
    xs_px = [axis.x_px(sign.onset_quarters) for sign in group]
    for beam in beams_of(group, meter):
        stub_px = beam.side * STUB_PX * layout.unit
        yield _beam(xs_px[beam.first] + min(stub_px, 0.0), xs_px[beam.last] + max(stub_px, 0.0), beam.level, layout)


def _beam(left_px: float, right_px: float, level: int, layout: TimeLayout) -> Line:
    y_px = layout.beam_y_px - BEAM_STEP_PX * level * layout.unit
    return Line(left_px, y_px, right_px, y_px, BEAM_PX * layout.unit, Ink.LINE)


def _tuplets(voice: Sequence[Sign]) -> Iterator[tuple[Sign, ...]]:
    members: list[Sign] = []
    for sign in voice:
        if sign.tuplet is not None:
            members.append(sign)
        if sign.tuplet_ends:
            yield tuple(members)
            members = []


def _bracket(span_px: tuple[float, float], figure: str, layout: TimeLayout, metrics: TextMetrics) -> Iterator[Glyph]:
    """A bracket under the stems, open towards them, with the figure in its line."""
    unit, y_px = layout.unit, layout.beam_y_px + BRACKET_PX * layout.unit
    left_px, right_px = span_px[0] - 7 * unit, span_px[1] + 7 * unit
    middle_px, half_px = (left_px + right_px) / 2, metrics.width_px(figure, Size.SMALL) / 2 + 5 * unit
    yield Text(middle_px, y_px, figure, Size.SMALL, Ink.MUTED)
    for from_px, to_px in ((left_px, middle_px - half_px), (middle_px + half_px, right_px)):
        if from_px < to_px:
            yield Line(from_px, y_px, to_px, y_px, 2 * unit, Ink.LINE)
    for x_px in (left_px, right_px):
        yield Line(x_px, y_px - 6 * unit, x_px, y_px, 2 * unit, Ink.LINE)
