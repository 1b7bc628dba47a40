"""Painting glyphs with pygame.

A glyph is rendered once, as a small surface, and kept; a frame only copies surfaces.
"""

import math
from collections.abc import Iterable
from dataclasses import replace

import pygame

from trainer.screens.look import CAP_SHARE, Look, colour, font_file, font_px, worn
from trainer.screens.shapes import Placed, Point, rendered_bar, rendered_shape
from trainer.tablature.glyphs import (
    Anchor,
    Arc,
    Arrow,
    Box,
    Cross,
    Dot,
    Glyph,
    Ink,
    Line,
    Rect,
    Size,
    Text,
    TextMetrics,
    Wedge,
)
from trainer.tablature.layout import unit_of

KEPT_SPRITES = 6000
"""When more surfaces than this are kept, all are let go: a bound on memory, not reached in an ordinary take."""


class Fonts:
    """The text sizes at one scale; also measures text for the geometry."""

    def __init__(self, unit: float) -> None:
        pygame.font.init()
        self._fonts = {size: pygame.font.Font(font_file(size), font_px(size, unit)) for size in Size}
        self._cap_px = {size: font_px(size, unit) * CAP_SHARE for size in Size}
        self._widths: dict[tuple[str, Size], float] = {}

    def width_px(self, text: str, size: Size) -> float:
        """The width of a text."""
        if (text, size) not in self._widths:
            self._widths[text, size] = float(self._fonts[size].size(text)[0])
        return self._widths[text, size]

    def cap_px(self, size: Size) -> float:
        """The height of its capitals and figures."""
        return self._cap_px[size]

    def __getitem__(self, size: Size) -> pygame.font.Font:
        return self._fonts[size]

    def elided(self, text: str, size: Size, room_px: float) -> str:
        """The text, cut and ended with an ellipsis when it does not fit."""
        if self.width_px(text, size) <= room_px:
            return text
        while text and self.width_px(text.rstrip() + "…", size) > room_px:
            text = text[:-1]
        return text.rstrip() + "…"

    def worth_saying(self, text: str, size: Size, room_px: float) -> str:
        """The text, elided when it does not fit; nothing when less than half of it would be left."""
        fitting = self.elided(text, size, room_px)
        return fitting if text and 2 * len(fitting) > len(text) else ""

    def ending(self, text: str, size: Size, room_px: float) -> str:
        """The text, or as much of its end as fits behind an ellipsis: where a text is written, its end is seen."""
        if self.width_px(text, size) <= room_px:
            return text
        while text and self.width_px(f"…{text}", size) > room_px:
            text = text[1:]
        return f"…{text}"

    def wrapped(self, text: str, size: Size, room_px: float) -> tuple[str, ...]:
        """The text in lines that fit; a word that is too long stands alone."""
        lines: list[str] = []
        for word in text.split():
            if lines and self.width_px(f"{lines[-1]} {word}", size) <= room_px:
                lines[-1] = f"{lines[-1]} {word}"
            else:
                lines.append(word)
        return tuple(lines)


class Painter:
    """Renders glyphs once and copies them."""

    def __init__(self, unit: float) -> None:
        self.unit = unit
        self.fonts = Fonts(unit)
        self._sprites: dict[Glyph, Placed] = {}

    def placed(self, glyphs: Iterable[Glyph]) -> list[Placed]:
        """The glyphs, rendered, where they stand."""
        return [self._placed(glyph) for glyph in glyphs]

    def draw(self, surface: pygame.Surface, glyphs: Iterable[Glyph]) -> None:
        """Paint glyphs where they stand."""
        copy(surface, self.placed(glyphs))

    def _placed(self, glyph: Glyph) -> Placed:
        """Glyphs that differ only in place share a surface: it is rendered at the origin and moved."""
        x_px, y_px = _origin(glyph)
        key = _shifted(glyph, -x_px, -y_px)
        sprite = self._sprites.get(key)
        if sprite is None:
            if len(self._sprites) > KEPT_SPRITES:
                self._sprites.clear()
            sprite = self._sprites[key] = self._rendered(key)
        return Placed(sprite.surface, sprite.x_px + x_px, sprite.y_px + y_px)

    def _rendered(self, glyph: Glyph) -> Placed:
        match glyph:
            case Text():
                return self._text(glyph)
            case Line(dash_px=0, gap_px=0) if glyph.x1_px == glyph.x2_px or glyph.y1_px == glyph.y2_px:
                return rendered_bar(glyph)
            case _:
                return rendered_shape(glyph)

    def _text(self, text: Text) -> Placed:
        font = self.fonts[text.size]
        ink = colour(text.ink, light=text.light)
        rendered = font.render(text.text, True, ink)  # noqa: FBT003 - pygame takes it by place only
        width_px = rendered.get_width()
        left_px = text.x_px - {Anchor.LEFT: 0.0, Anchor.MIDDLE: 0.5, Anchor.RIGHT: 1.0}[text.anchor] * width_px
        cap_px = self.fonts.cap_px(text.size)
        top_px = text.y_px - (font.get_ascent() - cap_px / 2)
        if not text.on_ground:
            return Placed(rendered, left_px, top_px)
        pad_px = 4 * self.unit
        has_tail = any(letter in "gjpqy,·" for letter in text.text)
        height_px = math.ceil(cap_px * (1.3 if has_tail else 1.0) + 2 * pad_px)
        patch = pygame.Surface((math.ceil(width_px + 2 * pad_px), height_px))
        patch.fill(colour(Ink.GROUND))
        patch_top_px = text.y_px - cap_px / 2 - pad_px
        patch.blit(rendered, (round(pad_px), round(top_px - patch_top_px)))
        return Placed(patch, left_px - round(pad_px), patch_top_px)


class PagePainter:
    """The painter of a page: made anew when its size or the look that is worn changes."""

    def __init__(self, share: float = 1.0) -> None:
        self._share = share
        """How large its unit is beside the page's."""
        self.latest: tuple[tuple[int, int], Painter] | None = None
        """The size that was painted last, and its painter: for what was pressed there."""
        self._look: Look | None = None

    def of(self, size: tuple[int, int]) -> Painter:
        """The painter for this size."""
        if self.latest is None or self.latest[0] != size or self._look is not worn():
            self._look = worn()
            self.latest = size, Painter(unit_of(*size) * self._share)
        return self.latest[1]

    def ground(self, surface: pygame.Surface, chosen: Rect | None = None) -> Painter:
        """Fill a page with its ground, and the row that is chosen with its own; the painter for what stands on it."""
        painter = self.of(surface.get_size())
        surface.fill(colour(Ink.GROUND))
        if chosen is not None:
            left_px, top_px = round(chosen.left_px), round(chosen.top_px)
            width_px, height_px = chosen.right_px - chosen.left_px, chosen.bottom_px - chosen.top_px
            surface.fill(colour(Ink.CHOSEN), (left_px, top_px, round(width_px), round(height_px)))
        return painter


def texts_of(glyphs: Iterable[Glyph], metrics: TextMetrics) -> list[tuple[str, Rect]]:
    """The texts among glyphs, and where their capitals lie."""
    return [(glyph.text, glyph.bounds(metrics)) for glyph in glyphs if isinstance(glyph, Text)]


def copy(surface: pygame.Surface, placed: Iterable[Placed], dx_px: int = 0) -> None:
    """Copy rendered glyphs, all moved by the same whole number of pixels."""
    surface.blits([(sprite, (round(x_px) + dx_px, round(y_px))) for sprite, x_px, y_px in placed], doreturn=False)


def _origin(glyph: Glyph) -> Point:
    match glyph:
        case Text() | Dot() | Cross():
            return math.floor(glyph.x_px), math.floor(glyph.y_px)
        case Line() | Arrow():
            return math.floor(glyph.x1_px), math.floor(glyph.y1_px)
        case Arc():
            return math.floor(glyph.x1_px), math.floor(glyph.y_px)
        case Box():
            return math.floor(glyph.left_px), math.floor(glyph.top_px)
        case Wedge():
            return math.floor(glyph.corners[0][0]), math.floor(glyph.corners[0][1])


def _shifted(glyph: Glyph, dx_px: float, dy_px: float) -> Glyph:
    """The glyph moved, with its places to a quarter of a pixel."""

    def x(place_px: float) -> float:
        return round((place_px + dx_px) * 4) / 4

    def y(place_px: float) -> float:
        return round((place_px + dy_px) * 4) / 4

    match glyph:
        case Text() | Dot() | Cross():
            return replace(glyph, x_px=x(glyph.x_px), y_px=y(glyph.y_px))
        case Line() | Arrow():
            return replace(
                glyph, x1_px=x(glyph.x1_px), y1_px=y(glyph.y1_px), x2_px=x(glyph.x2_px), y2_px=y(glyph.y2_px)
            )
        case Arc():
            return replace(glyph, x1_px=x(glyph.x1_px), x2_px=x(glyph.x2_px), y_px=y(glyph.y_px))
        case Box():
            return replace(
                glyph,
                left_px=x(glyph.left_px),
                right_px=x(glyph.right_px),
                top_px=y(glyph.top_px),
                bottom_px=y(glyph.bottom_px),
            )
        case Wedge():
            one, two, three = glyph.corners
            return replace(glyph, corners=((x(one[0]), y(one[1])), (x(two[0]), y(two[1])), (x(three[0]), y(three[1]))))
