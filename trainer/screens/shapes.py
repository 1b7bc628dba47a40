"""Rendering shapes: smooth strokes, arcs, discs, boxes and arrows as small surfaces.

A shape is drawn four times as large and scaled down, which gives smooth edges.
"""

import math
from itertools import pairwise
from typing import NamedTuple

import pygame

from trainer.screens.look import Rgb, colour
from trainer.tablature.glyphs import Arc, Arrow, Box, Cross, Dot, Ink, Line, Wedge

OVERSIZE = 4
"""Shapes are rendered this many times as large and scaled down."""

Point = tuple[float, float]
Shape = Line | Arc | Dot | Box | Arrow | Cross | Wedge


class Placed(NamedTuple):
    """A rendered glyph and where it stands."""

    surface: pygame.Surface
    x_px: float
    y_px: float


def rendered_bar(line: Line) -> Placed:
    """An upright or level stroke: whole pixels, no smoothing."""
    width_px = max(1, round(line.width_px))
    left_px, right_px = sorted((round(line.x1_px), round(line.x2_px)))
    top_px, bottom_px = sorted((round(line.y1_px), round(line.y2_px)))
    if left_px == right_px:
        size, corner = (width_px, max(1, bottom_px - top_px)), (left_px - width_px // 2, top_px)
    else:
        size, corner = (right_px - left_px, width_px), (left_px, top_px - width_px // 2)
    surface = pygame.Surface(size)
    surface.fill(colour(line.ink, light=line.light))
    return Placed(surface, *corner)


def rendered_shape(glyph: Shape) -> Placed:
    """Any other shape, smoothed."""
    if isinstance(glyph, Box) and glyph.radius_px == 0 and glyph.width_px == 0:
        plain = pygame.Surface(
            (max(1, round(glyph.right_px - glyph.left_px)), max(1, round(glyph.bottom_px - glyph.top_px)))
        )
        plain.fill(colour(glyph.ink, light=glyph.light))
        return Placed(plain, glyph.left_px, glyph.top_px)
    outline = _outline(glyph)
    pad_px = math.ceil(_reach_px(glyph)) + 1
    left_px = math.floor(min(x_px for x_px, _ in outline)) - pad_px
    top_px = math.floor(min(y_px for _, y_px in outline)) - pad_px
    width_px = math.ceil(max(x_px for x_px, _ in outline)) + pad_px - left_px
    height_px = math.ceil(max(y_px for _, y_px in outline)) + pad_px - top_px
    ink = colour(glyph.ink, light=glyph.light)
    large = pygame.Surface((width_px * OVERSIZE, height_px * OVERSIZE), pygame.SRCALPHA)
    large.fill((*ink, 0))
    _fill(_Canvas(large, ink, left_px, top_px), glyph)
    return Placed(pygame.transform.smoothscale(large, (width_px, height_px)), left_px, top_px)


def _outline(glyph: Shape) -> list[Point]:
    match glyph:
        case Line() | Arrow():
            return [(glyph.x1_px, glyph.y1_px), (glyph.x2_px, glyph.y2_px)]
        case Arc():
            return [(glyph.x1_px, glyph.y_px - glyph.height_px), (glyph.x2_px, glyph.y_px)]
        case Dot():
            return [(glyph.x_px, glyph.y_px)]
        case Cross():
            dx_px, dy_px = glyph.half_width_px, glyph.half_height_px
            return [(glyph.x_px - dx_px, glyph.y_px - dy_px), (glyph.x_px + dx_px, glyph.y_px + dy_px)]
        case Box():
            return [(glyph.left_px, glyph.top_px), (glyph.right_px, glyph.bottom_px)]
        case Wedge():
            return list(glyph.corners)


def _reach_px(glyph: Shape) -> float:
    match glyph:
        case Dot():
            return glyph.radius_px
        case Arrow():
            return glyph.head_px
        case Line(gap_px=gap_px, width_px=width_px):
            return width_px + gap_px
        case Arc() | Cross():
            return glyph.width_px
        case Box() | Wedge():
            return 0


class _Canvas:
    """A large surface with the picture's coordinates."""

    def __init__(self, surface: pygame.Surface, ink: Rgb, left_px: float, top_px: float) -> None:
        self._surface, self._ink, self._left_px, self._top_px = surface, ink, left_px, top_px

    def at(self, x_px: float, y_px: float) -> Point:
        return (x_px - self._left_px) * OVERSIZE, (y_px - self._top_px) * OVERSIZE

    def polygon(self, points: list[Point]) -> None:
        pygame.draw.polygon(self._surface, self._ink, [self.at(*point) for point in points])

    def disc(self, x_px: float, y_px: float, radius_px: float, width_px: float) -> None:
        pygame.draw.circle(
            self._surface, self._ink, self.at(x_px, y_px), radius_px * OVERSIZE, round(width_px * OVERSIZE)
        )

    def stroke(self, x1_px: float, y1_px: float, x2_px: float, y2_px: float, width_px: float) -> None:
        length_px = math.hypot(x2_px - x1_px, y2_px - y1_px) or 1
        dx_px = -(y2_px - y1_px) / length_px * width_px / 2
        dy_px = (x2_px - x1_px) / length_px * width_px / 2
        self.polygon(
            [
                (x1_px + dx_px, y1_px + dy_px),
                (x2_px + dx_px, y2_px + dy_px),
                (x2_px - dx_px, y2_px - dy_px),
                (x1_px - dx_px, y1_px - dy_px),
            ]
        )

    def frame(self, box: Box) -> None:
        corner = self.at(box.left_px, box.top_px)
        size = ((box.right_px - box.left_px) * OVERSIZE, (box.bottom_px - box.top_px) * OVERSIZE)
        if box.width_px:
            pygame.draw.rect(
                self._surface, colour(Ink.GROUND), (corner, size), border_radius=round(box.radius_px * OVERSIZE)
            )
        width = round(box.width_px * OVERSIZE)
        pygame.draw.rect(self._surface, self._ink, (corner, size), width, border_radius=round(box.radius_px * OVERSIZE))


def _fill(canvas: _Canvas, glyph: Shape) -> None:
    match glyph:
        case Line():
            for part in _parts(glyph):
                canvas.stroke(*part, glyph.width_px)
        case Arc():
            _fill_arc(canvas, glyph)
        case Dot():
            canvas.disc(glyph.x_px, glyph.y_px, glyph.radius_px, glyph.width_px)
        case Box():
            canvas.frame(glyph)
        case Arrow():
            _fill_arrow(canvas, glyph)
        case Cross():
            dx_px, dy_px = glyph.half_width_px, glyph.half_height_px
            for side in (1, -1):
                canvas.stroke(
                    glyph.x_px - dx_px,
                    glyph.y_px - side * dy_px,
                    glyph.x_px + dx_px,
                    glyph.y_px + side * dy_px,
                    glyph.width_px,
                )
        case Wedge():
            canvas.polygon(list(glyph.corners))


def _parts(line: Line) -> list[tuple[float, float, float, float]]:
    """The pieces of a dashed stroke, or the two halves of a broken one, set apart across the stroke."""
    dx_px, dy_px = line.x2_px - line.x1_px, line.y2_px - line.y1_px
    length_px = math.hypot(dx_px, dy_px) or 1
    if line.gap_px:
        edge = max(0.38, 0.5 - line.gap_px / length_px / 2)
        across = (-dy_px / length_px * line.gap_px / 2, dx_px / length_px * line.gap_px / 2)
        return [
            _piece(line, 0, edge, (-across[0], -across[1])),
            _piece(line, 1 - edge, 1, across),
        ]
    if line.dash_px:
        count = max(1, round(length_px / line.dash_px / 2))
        return [_piece(line, index / count, (index + 0.5) / count, (0, 0)) for index in range(count)]
    return [(line.x1_px, line.y1_px, line.x2_px, line.y2_px)]


def _piece(line: Line, start: float, end: float, aside: Point) -> tuple[float, float, float, float]:
    dx_px, dy_px = line.x2_px - line.x1_px, line.y2_px - line.y1_px
    return (
        line.x1_px + start * dx_px + aside[0],
        line.y1_px + start * dy_px + aside[1],
        line.x1_px + end * dx_px + aside[0],
        line.y1_px + end * dy_px + aside[1],
    )


def _fill_arc(canvas: _Canvas, arc: Arc) -> None:
    steps = 32
    middle_px, half_px = (arc.x1_px + arc.x2_px) / 2, (arc.x2_px - arc.x1_px) / 2
    points = [
        (
            middle_px - half_px * math.cos(math.pi * step / steps),
            arc.y_px - arc.height_px * math.sin(math.pi * step / steps),
        )
        for step in range(steps + 1)
    ]
    for step, ((x1_px, y1_px), (x2_px, y2_px)) in enumerate(pairwise(points)):
        is_in_gap = arc.gap_px and abs((x1_px + x2_px) / 2 - middle_px) < arc.gap_px
        is_between_dashes = arc.dash_px and step % 4 >= 2
        if not is_in_gap and not is_between_dashes:
            canvas.stroke(x1_px, y1_px, x2_px, y2_px, arc.width_px)


def _fill_arrow(canvas: _Canvas, arrow: Arrow) -> None:
    dx_px, dy_px = arrow.x2_px - arrow.x1_px, arrow.y2_px - arrow.y1_px
    length_px = math.hypot(dx_px, dy_px) or 1
    ux, uy = dx_px / length_px, dy_px / length_px
    head_px = min(arrow.head_px * 1.4, length_px)
    neck_x_px, neck_y_px = arrow.x2_px - ux * head_px, arrow.y2_px - uy * head_px
    canvas.stroke(arrow.x1_px, arrow.y1_px, neck_x_px + ux, neck_y_px + uy, arrow.width_px)
    canvas.polygon(
        [
            (arrow.x2_px, arrow.y2_px),
            (neck_x_px - uy * arrow.head_px, neck_y_px + ux * arrow.head_px),
            (neck_x_px + uy * arrow.head_px, neck_y_px - ux * arrow.head_px),
        ]
    )
