"""The timing trace: how early or late each note was, straight under it, and where the passes so far lie.

Zero is the written onset, the dashed lines are the hit window of each note; what a listener does not hear (see
`Tolerance.shown_ns`) ends in a round dot, what is heard ends in an arrow with its figure in ms.

At the player's own pace nothing is due by a click; there a deviation is measured from where the player's own tempo led.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import quantiles

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Missed
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.tablature.glyphs import Anchor, Arrow, Box, Cross, Dot, Glyph, Ink, Line, Size, Text, TextMetrics
from trainer.tablature.layout import TracePlace
from trainer.tablature.state import NoteState

OWN_PACE_WORDS = ("rush · ms before own pace", "drag · ms after own pace")
BAND_PASSES = 3
"""A spread is drawn from this many passes on."""


@dataclass(frozen=True, slots=True)
class Window:
    """The limits of one note's timing, in ms."""

    hit_ms: float
    shown_ms: float


@dataclass(frozen=True, slots=True)
class Spread:
    """Where the deviations of a note lie over several passes, in ms: the middle half of them, and their median."""

    low_ms: float
    median_ms: float
    high_ms: float


def windows(exercise: Exercise, tempo: Tempo, tolerance: Tolerance) -> tuple[Window, ...]:
    """The limits of every note, by the interval to its nearer neighbour in time; the line is taken to come round."""
    onsets = sorted({note.onset_quarters for note in exercise.notes})
    around = [onsets[-1] - exercise.length_quarters, *onsets, onsets[0] + exercise.length_quarters]
    by_onset = {}
    for before, onset, after in zip(around, around[1:], around[2:], strict=False):
        gaps = [gap for gap in (onset - before, after - onset) if gap > 0]
        by_onset[onset] = _window(tempo.ns(min(gaps, default=exercise.length_quarters)), tolerance)
    return tuple(by_onset[note.onset_quarters] for note in exercise.notes)


def _window(interval_ns: int, tolerance: Tolerance) -> Window:
    hit_ns = min(tolerance.hit_ns, tolerance.hit_share_of_interval * interval_ns)
    shown_ns = max(tolerance.shown_ns, tolerance.shown_share_of_interval * interval_ns)
    return Window(hit_ns / 1e6, shown_ns / 1e6)


def spread_of(deviations_ms: Sequence[float]) -> Spread | None:
    """The spread of a note's deviations; None while there are too few passes to speak of one."""
    if len(deviations_ms) < BAND_PASSES:
        return None
    low_ms, median_ms, high_ms = quantiles(deviations_ms, n=4, method="inclusive")
    return Spread(low_ms, median_ms, high_ms)


def trace_lines(place: TracePlace, left_px: float, right_px: float, *, is_timed: bool) -> tuple[Glyph, ...]:
    """The zero line, and what its two sides mean at its right end."""
    words = ("rush · ms early", "drag · ms late") if is_timed else OWN_PACE_WORDS
    lift_px = 33 * place.unit
    return (
        Line(left_px, place.zero_px, right_px, place.zero_px, 2 * place.unit, Ink.LINE),
        Text(right_px, place.zero_px - lift_px, words[0], Size.SMALL, Ink.MUTED, Anchor.RIGHT, on_ground=True),
        Text(right_px, place.zero_px + lift_px, words[1], Size.SMALL, Ink.MUTED, Anchor.RIGHT, on_ground=True),
    )


def window_glyphs(window: Window, left_px: float, right_px: float, place: TracePlace) -> tuple[Glyph, ...]:
    """The hit window of one note, over its column."""
    return tuple(
        Line(left_px, y_px, right_px, y_px, 2 * place.unit, Ink.FAINT, dash_px=8 * place.unit)
        for y_px in (place.y_px(-window.hit_ms), place.y_px(window.hit_ms))
    )


def spread_glyphs(spread: Spread, x_px: float, place: TracePlace) -> tuple[Glyph, ...]:
    """The band of the passes so far, at least as high as it is wide, with a tick at the median."""
    unit = place.unit
    half_px = 9 * unit
    top_px = min(place.y_px(spread.low_ms), place.y_px(spread.median_ms) - 3 * unit)
    bottom_px = max(place.y_px(spread.high_ms), place.y_px(spread.median_ms) + 3 * unit)
    middle_px = place.y_px(spread.median_ms)
    return (
        Box(x_px - half_px, top_px, x_px + half_px, bottom_px, 4 * unit, Ink.BAND),
        Line(x_px - half_px - 3 * unit, middle_px, x_px + half_px + 3 * unit, middle_px, 2 * unit, Ink.MUTED),
    )


def deviation_glyphs(
    state: NoteState, deviation_ms: float | None, window: Window, x_px: float, place: TracePlace, metrics: TextMetrics
) -> tuple[Glyph, ...]:
    """A dot for a deviation that is not heard, an arrow with its figure for one that is, a cross for a missed note."""
    unit = place.unit
    light = not state.is_settled
    if isinstance(state.verdict, Missed):
        return (Cross(x_px, place.zero_px, 8 * unit, 8 * unit, 3 * unit, Ink.MISSED, light=light),)
    if state.verdict is None or deviation_ms is None:
        return ()
    y_px = place.y_px(deviation_ms)
    if abs(deviation_ms) <= window.shown_ms:
        return (Dot(x_px, y_px, 7 * unit, Ink.AS_WRITTEN, light=light),)
    side = 1 if deviation_ms > 0 else -1
    figure_cap_px = metrics.cap_px(Size.SMALL)
    length_px = max(14 * unit, abs(y_px - place.zero_px))
    if side < 0:  # the figure stays clear of the count
        length_px = min(length_px, place.above_px - metrics.cap_px(Size.BODY) / 2 - figure_cap_px - 8 * unit)
    tip_px = place.zero_px + side * length_px
    figure_px = tip_px + side * (figure_cap_px / 2 + 5 * unit)
    return (
        Arrow(x_px, place.zero_px, x_px, tip_px, 4 * unit, 9 * unit, Ink.SLIP, light=light),
        Text(x_px, figure_px, signed_ms(deviation_ms), Size.SMALL, Ink.SLIP, on_ground=True, light=light),
    )


def signed_ms(deviation_ms: float) -> str:
    """A deviation as a whole number with its sign, minus = early."""
    rounded = round(deviation_ms)
    return f"+{rounded}" if rounded > 0 else f"\N{MINUS SIGN}{-rounded}" if rounded < 0 else "0"


def column_edges_px(xs_px: Sequence[float], end_px: float) -> dict[float, tuple[float, float]]:
    """For each distinct moment of a strip that ends at `end_px`: half way to its neighbours."""
    moments = sorted(set(xs_px))
    after = [*moments[1:], max(end_px, moments[-1] + 1)]
    rights = [(x_px + next_px) / 2 for x_px, next_px in zip(moments, after, strict=True)]
    lefts = [2 * moments[0] - rights[0], *rights[:-1]]
    return {x_px: (left_px, right_px) for x_px, left_px, right_px in zip(moments, lefts, rights, strict=True)}
