"""Painting the pictures with matplotlib, on figures of their own: no global state, and nothing that opens a window.

Each painter is given an area (a figure or a part of one) and fills it; titles and sentences are put around it by
whoever shows it. matplotlib is imported by the callers of `rendered` and the report only, for it takes half a second.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure, FigureBase
from matplotlib.patches import Rectangle

from trainer.progress.look import HATCHES, MARKERS, MOST_FAMILIES, Look, between, contrast
from trainer.progress.measures import LEAST_AT_PLACE, Spot, TempoPoint, Timing, Week
from trainer.progress.pictures import (
    NeckPicture,
    Picture,
    PracticePicture,
    TempoLine,
    TempoPicture,
    TimingPicture,
    TransitionsPicture,
    day_words,
)

BINS_MS = range(-100, 101, 5)
_FONT = "DejaVu Sans"


def rendered(picture: Picture, size: tuple[int, int], unit: float, look: Look) -> bytes:
    """The plot of a picture as RGBA bytes, row by row; `unit` is 1 on a screen of 1080 rows."""
    dpi = 100 * unit
    figure = Figure(figsize=(size[0] / dpi, size[1] / dpi), dpi=dpi, facecolor=look.ground, layout="constrained")
    canvas = FigureCanvasAgg(figure)
    paint(picture, figure, look)
    canvas.draw()  # type: ignore[no-untyped-call] # matplotlib leaves it untyped
    return bytes(canvas.buffer_rgba())  # type: ignore[no-untyped-call] # so is this


def paint(picture: Picture, area: FigureBase, look: Look) -> None:
    """Fill an area with the plot of a picture; an empty one stays empty."""
    match picture.shown:
        case TempoPicture(lines):
            _tempi(lines, area, look)
        case TimingPicture(strings, places):
            _timings(strings, places, area, look)
        case NeckPicture(found, last_fret, courses):
            _neck(found, last_fret, courses, area, look)
        case TransitionsPicture():
            _transitions(picture.shown, area, look)
        case PracticePicture(found):
            _practice(found, area, look)
        case None:
            pass


def _tempi(lines: Sequence[TempoLine], area: FigureBase, look: Look) -> None:
    axes = _axes(area, look)
    for line in lines[: 2 * MOST_FAMILIES]:
        colour, marker = look.series[line.family], MARKERS[line.family]
        style: dict[str, Any] = {
            "color": colour,
            "marker": marker,
            "linestyle": "--" if line.is_legato else "-",
            "markerfacecolor": look.ground if line.is_legato else colour,
            "linewidth": 1.6,
        }
        days = [point.day.toordinal() for point in line.points]
        axes.plot(days, [point.qpm for point in line.points], markersize=4, **style, label=line.title)
        working = [point for point in line.points if point.is_working]
        if working:
            axes.errorbar(
                [point.day.toordinal() for point in working],
                [point.qpm for point in working],
                yerr=[_below(working), _above(working)],
                fmt="none",
                ecolor=colour,
                elinewidth=1.4,
                capsize=5,
            )
            axes.plot(
                [point.day.toordinal() for point in working],
                [point.qpm for point in working],
                markersize=8,
                **{**style, "linestyle": "none"},
            )
    axes.set_ylabel("quarters a minute", color=look.ink, fontsize=look.font_pt, family=_FONT)
    _days(axes, [point.day for line in lines for point in line.points])
    _legend(axes, look)


def _below(points: Sequence[TempoPoint]) -> list[float]:
    return [point.qpm - (point.low_qpm or point.qpm) for point in points]


def _above(points: Sequence[TempoPoint]) -> list[float]:
    return [(point.high_qpm or point.qpm) - point.qpm for point in points]


def _timings(strings: Sequence[Timing], places: Sequence[Timing], area: FigureBase, look: Look) -> None:
    groups = [(name, rows) for name, rows in (("by string", strings), ("by place in the beat", places)) if rows]
    for number, (name, rows) in enumerate(groups, start=1):
        axes = _axes(area, look, (1, len(groups), number))
        for place, timing in enumerate(reversed(rows)):
            _histogram(axes, timing, place, look)
        axes.set_yticks(range(len(rows)), [timing.name for timing in reversed(rows)])
        axes.set_ylim(-0.35, len(rows) + 0.05)
        axes.set_xlim(-100, 100)
        axes.axvline(0, color=look.muted, linewidth=1, linestyle=":")
        axes.grid(visible=False)
        axes.set_xlabel("ms early (−) or late (+)", color=look.ink, fontsize=look.font_pt, family=_FONT)
        axes.set_title(name, color=look.ink, fontsize=look.font_pt, family=_FONT, loc="left")


def _histogram(axes: Axes, timing: Timing, place: int, look: Look) -> None:
    """One row: how the deviations lie, a line at their mean, and the figures."""
    counts = [0] * (len(BINS_MS) - 1)
    for value in timing.deviations_ms:
        counts[min(len(counts) - 1, max(0, int((value + 100) // 5)))] += 1
    highest = max(counts) or 1
    lefts = [left for left, count in zip(BINS_MS, counts, strict=False) if count]
    heights = [0.7 * count / highest for count in counts if count]
    axes.bar(lefts, heights, 5, bottom=place, align="edge", color=look.fill, edgecolor=look.ink, linewidth=0.4)
    axes.plot([timing.mean_ms] * 2, [place - 0.12, place + 0.78], color=look.ink, linewidth=2)
    mean = round(timing.mean_ms)
    words = f"{f'{mean:+d}' if mean else '0'} ± {timing.spread_ms:.0f}".replace("-", "−")
    axes.text(98, place + 0.55, words, ha="right", color=look.ink, fontsize=look.font_pt, family=_FONT)


def _neck(found: Sequence[Spot], last_fret: int, courses: int, area: FigureBase, look: Look) -> None:
    axes = _axes(area, look)
    first_fret = max(0, min(spot.fret for spot in found) - 1)
    for course in range(1, courses + 1):
        axes.plot([first_fret - 0.5, last_fret + 0.5], [course, course], color=look.muted, linewidth=1, zorder=1)
    worst = max(0.05, *(spot.share for spot in found))
    for spot in found:
        is_told = spot.tries >= LEAST_AT_PLACE
        shade = between(look.shades, spot.share / worst) if is_told else look.ground
        axes.add_patch(
            Rectangle(
                (spot.fret - 0.46, spot.course - 0.4),
                0.92,
                0.8,
                facecolor=shade,
                edgecolor=look.muted,
                hatch=None if is_told else HATCHES[1],
                linewidth=1,
                zorder=2,
            )
        )
        if is_told:
            ink = max(look.shades, key=lambda each: contrast(each, shade))
            size = look.font_pt * 0.9
            words = f"{100 * spot.share:.0f}"
            axes.text(
                spot.fret,
                spot.course,
                words,
                ha="center",
                va="center",
                color=ink,
                fontsize=size,
                family=_FONT,
                zorder=3,
            )
    axes.set_xlim(first_fret - 0.6, last_fret + 0.6)
    axes.set_ylim(courses + 0.6, 0.4)
    axes.set_xticks(range(first_fret, last_fret + 1))
    axes.set_yticks(range(1, courses + 1))
    axes.grid(visible=False)
    axes.set_xlabel("fret", color=look.ink, fontsize=look.font_pt, family=_FONT)
    axes.set_ylabel("string", color=look.ink, fontsize=look.font_pt, family=_FONT)


def _transitions(shown: TransitionsPicture, area: FigureBase, look: Look) -> None:
    axes = _axes(area, look)
    for place, row in enumerate(reversed(shown.rows)):
        for offset, one, fill, marker, label in (
            (0.14, row.then, look.ground, "o", "then"),
            (-0.14, row.now, look.ink, "s", "now"),
        ):
            if one is None:
                continue
            late_ms, spread_ms = one
            axes.errorbar(
                [late_ms],
                [place + offset],
                xerr=[spread_ms],
                fmt=marker,
                color=look.ink,
                markerfacecolor=fill,
                markersize=8,
                capsize=4,
                elinewidth=1.4,
                linestyle="none",
                label=label if place == 0 else None,
            )
    axes.axvline(0, color=look.muted, linewidth=1, linestyle=":")
    axes.set_yticks(range(len(shown.rows)), [row.name for row in reversed(shown.rows)])
    axes.set_ylim(-0.6, len(shown.rows) - 0.4)
    axes.set_xlabel(
        "interval longer (+) or shorter (−) than written, ms; bars: spread",
        color=look.ink,
        fontsize=look.font_pt,
        family=_FONT,
    )
    _legend(axes, look)


def _practice(found: Sequence[Week], area: FigureBase, look: Look) -> None:
    days = [week.monday.toordinal() for week in found]
    rows = (
        ("minutes", [week.minutes for week in found], look.fill, HATCHES[0]),
        ("breaks", [float(week.breaks) for week in found], look.other_fill, HATCHES[1]),
        ("longest sitting, min", [week.longest_minutes for week in found], look.faint, HATCHES[0]),
    )
    for number, (name, values, colour, hatch) in enumerate(rows, start=1):
        axes = _axes(area, look, (3, 1, number))
        axes.bar(
            days, values, 5, color=colour, edgecolor=look.ground if hatch else look.ink, hatch=hatch, linewidth=0.8
        )
        highest = max(values) or 1.0
        for day, value in zip(days, values, strict=True):
            axes.text(
                day,
                value + highest * 0.04,
                f"{value:.0f}",
                ha="center",
                color=look.ink,
                fontsize=look.font_pt * 0.9,
                family=_FONT,
            )
        axes.set_ylim(0, highest * 1.3)
        axes.set_title(name, color=look.ink, fontsize=look.font_pt, family=_FONT, loc="left")
        axes.set_yticks([])
        axes.grid(visible=False)
        axes.set_xlim(days[0] - 5, days[-1] + 5)
        shown = days[:: max(1, -(-len(days) // 8))] if number == len(rows) else []
        axes.set_xticks(shown, [day_words(date.fromordinal(day)) for day in shown])


def _axes(area: FigureBase, look: Look, place: tuple[int, int, int] = (1, 1, 1)) -> Axes:
    """A plot with our letters and lines."""
    axes: Axes = area.add_subplot(*place)
    axes.set_facecolor(look.ground)
    axes.grid(visible=True, color=look.faint, linewidth=0.8)
    axes.set_axisbelow(True)
    axes.tick_params(colors=look.ink, labelsize=look.font_pt, labelfontfamily=_FONT)
    for name, spine in axes.spines.items():
        spine.set_visible(name in {"left", "bottom"})
        spine.set_color(look.muted)
    return axes


def _days(axes: Axes, days: Sequence[date]) -> None:
    """A handful of dates below."""
    first, last = min(days).toordinal(), max(days).toordinal()
    apart = max(1, -(-(last - first) // 6))
    ticks = range(first, last + 1, apart)
    axes.set_xticks(ticks, [day_words(date.fromordinal(tick)) for tick in ticks])
    axes.set_xlim(first - 1.5, last + 1.5)


def _legend(axes: Axes, look: Look) -> None:
    legend = axes.legend(
        loc="lower center",
        bbox_to_anchor=(0.5, 1.0),
        ncols=2,
        frameon=False,
        prop={"family": _FONT, "size": look.font_pt},
        handlelength=3.2,
    )
    for text in legend.get_texts():
        text.set_color(look.ink)
