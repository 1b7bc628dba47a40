"""The practice picture: what the practice screen shows, piece by piece.

A piece is some glyphs with a key that says on what they depend; a piece is rendered once for each key and kept. What
scrolls is copied with one whole-pixel offset, so that everything on the time axis moves as one.
"""

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import replace
from functools import partial
from itertools import groupby

import pygame

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Pace
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.screens.beneath import SecondTrace, said_glyphs
from trainer.screens.hints import hint_targets, key_hints
from trainer.screens.look import colour, worn
from trainer.screens.paint import Painter, copy
from trainer.screens.parts import NOTHING_MARKED, Selection
from trainer.screens.pieces import Piece
from trainer.screens.practice_view import PracticeView
from trainer.screens.screen import Target
from trainer.screens.shapes import Placed
from trainer.screens.words import PACE_WORDS, line_words, tempo_words
from trainer.tablature.ghost import RADIUS_PX, STROKE_PX
from trainer.tablature.glyphs import Anchor, Box, Dot, Glyph, Ink, Line, Rect, Size, Text
from trainer.tablature.hands import board_glyphs, hand_at, hand_glyphs
from trainer.tablature.layout import GUTTER_PX, practice_layout
from trainer.tablature.marks import now_glyphs
from trainer.tablature.staff import staff_lines
from trainer.tablature.state import state_of
from trainer.tablature.strip import Strip
from trainer.tablature.trace import trace_lines

COUNT_IN_PX = 400.0
"""The widest that a count-in gets at unit 1."""
FADE_PX = 40.0
"""What scrolls fades out over this width at the left edge, at unit 1."""
LEAST_FIGURE_PX = 90.0
"""In less room than this no figure is begun, at unit 1."""
BEFORE_STATUS_PX = 40.0
"""Between the keys and how the input stands, at unit 1."""
COLUMNS = 16
"""Marks of notes that are not written are made for so many columns at a time, and not anew with each that comes in."""
KEPT_PIECES = 1500
"""When so many pieces are kept, the older half is let go: a bound on memory. A frame shows a few hundred at most."""


class PracticePicture:
    """Paints one take at one size: `exercise` is all that `plan` plays, `line` is the line that it is a part of."""

    def __init__(
        self,
        size: tuple[int, int],
        line: Exercise,
        plan: RunPlan,
        exercise: Exercise,
        painter: Painter,
        tolerance: Tolerance,
        *,
        hides_tempo: bool = False,
    ) -> None:
        self.size = size
        self._tempo_words = "" if hides_tempo else tempo_words(plan.tempo)
        self.line = line
        self.plan = plan
        self.exercise = exercise
        strings, is_left_handed = len(exercise.tuning.open_pitches), worn().is_left_handed
        self.layout = practice_layout(*size, strings, exercise.last_fret, is_left_handed=is_left_handed)
        self.strip = Strip(exercise, plan.tempo, tolerance, self.layout.time, painter.fonts)
        self.gutter_px = self.layout.left_px + GUTTER_PX * self.layout.unit
        self.painter = painter
        self._extras = self.strip.extras()
        self._second = SecondTrace(self.strip, self.layout, painter.fonts)
        self._brackets = [self.strip.bracket(number) for number in range(len(self.strip.hands))]
        self._kept: dict[Hashable, list[Placed]] = {}
        self._still: tuple[Hashable, pygame.Surface] | None = None
        self._fade = self._left_fade()

    def draw(self, surface: pygame.Surface, view: PracticeView) -> None:
        """Paint one frame."""
        surface.blit(self._still_surface(view), (0, 0))
        dx_px = self._dx_px(view)
        surface.set_clip(pygame.Rect(round(self.gutter_px), 0, self.size[0], self.size[1]))
        for piece in self._scrolling(view):
            copy(surface, self._placed(piece), dx_px if piece.scrolls else 0)
        surface.blit(self._fade, (round(self.gutter_px), round(self.layout.time.bracket_y_px - 54 * self.layout.unit)))
        surface.set_clip(None)
        for piece in self._standing(view):
            copy(surface, self._placed(piece))

    def texts(self, view: PracticeView) -> list[tuple[str, Rect]]:
        """The texts of a frame that are wholly within the picture, and where their capitals lie."""
        fonts, dx_px = self.painter.fonts, self._dx_px(view)
        found = []
        for piece in self._scrolling(view):
            moved_px = dx_px if piece.scrolls else 0
            for glyph in piece.glyphs():
                if isinstance(glyph, Text):
                    bounds = glyph.moved(moved_px).bounds(fonts)
                    if self.gutter_px <= bounds.left_px and bounds.right_px <= self.size[0]:
                        found.append((glyph.text, bounds))
        still = [self._still_glyphs(view), *(piece.glyphs() for piece in self._standing(view))]
        found += [(glyph.text, glyph.bounds(fonts)) for part in still for glyph in part if isinstance(glyph, Text)]
        return found

    def _dx_px(self, view: PracticeView) -> int:
        return round(self.layout.time.now_x_px - self.strip.axis.x_px(view.now_quarters))

    def _placed(self, piece: Piece) -> list[Placed]:
        placed = self._kept.get(piece.key)
        if placed is None:
            if len(self._kept) >= KEPT_PIECES:
                for key in list(self._kept)[: KEPT_PIECES // 2]:  # the oldest, which have scrolled away
                    del self._kept[key]
            placed = self._kept[piece.key] = self.painter.placed(piece.glyphs())
        return placed

    def _scrolling(self, view: PracticeView) -> Iterator[Piece]:
        """Everything on the time axis, from back to front; x are strip pixels."""
        strip, now_px = self.strip, self.strip.axis.x_px(view.now_quarters)
        seen = strip.seen(now_px)
        present = hand_at(strip.hands, self._due(view))
        for number in strip.chunks_seen(now_px):
            yield Piece(("chunk", number, view.with_marks), partial(strip.chunk, number, with_marks=view.with_marks))
        for index in seen:
            spread = view.spreads.get(index)
            if spread is not None:
                yield Piece(("spread", index, spread), partial(strip.spread, index, spread))
        ghost = [(index, view.ghost[index]) for index in seen if index in view.ghost]
        for x_px, group in groupby(ghost, key=lambda pair: strip.xs_px[pair[0]]):
            moment = tuple(group)
            yield Piece(("ghost", x_px, moment), partial(strip.ghost, moment))
        yield Piece("now", partial(now_glyphs, self.layout.time), scrolls=False)
        for number in strip.hands_seen(now_px):
            yield from self._bracket(number, Ink.INK if number == present else Ink.MUTED, self._dx_px(view))
        if view.selection != NOTHING_MARKED:
            yield Piece(("selection", view.selection), partial(self._selection, view.selection))
        states = [(index, state_of(index, self.exercise, view.ledger, view.onsets)) for index in seen]
        for index, state in states:
            yield Piece(("note", index, state), partial(strip.note, index, state))
        if view.beneath == "other" and view.other is not None:
            yield from self._second.pieces([(index, view.other[index]) for index in seen if index in view.other])
        starts_at_ns = view.starts_at_ns if self.plan.pace is Pace.CLICK else None
        columns = range(seen.start // COLUMNS * COLUMNS, (seen.stop // COLUMNS + 2) * COLUMNS)
        extras = partial(self._extras.glyphs, view.ledger, view.onsets, starts_at_ns, columns)
        yield Piece(("extras", view.version, columns), extras)
        for x_px, group in groupby(states, key=lambda pair: strip.xs_px[pair[0]]):
            attempted = tuple(pair for pair in group if pair[1].verdict is not None)
            if attempted:
                yield Piece(("deviations", x_px, attempted), partial(strip.deviations, attempted))

    def _bracket(self, number: int, ink: Ink, dx_px: int) -> Iterator[Piece]:
        """A bracket; its word stays in sight while the bracket does."""
        bracket, unit, fonts = self._brackets[number], self.layout.unit, self.painter.fonts
        yield Piece(("bracket", number, ink), partial(bracket.lines, unit, ink))
        gutter_px = self.gutter_px + FADE_PX * unit
        word = bracket.word(gutter_px - dx_px, unit, ink, fonts)
        if word.x_px in (bracket.left_px, bracket.right_px):
            yield Piece(("bracket word", number, ink, word.anchor), lambda: (word,))
        else:
            pinned = replace(word, x_px=gutter_px)
            yield Piece(("pinned word", number, ink), lambda: (pinned,), scrolls=False)

    def _standing(self, view: PracticeView) -> Iterator[Piece]:
        """What stands in front of what scrolls."""
        layout = self.layout
        is_timed = self.plan.pace is Pace.CLICK
        words = trace_lines(layout.time.trace, layout.left_px, layout.right_px, is_timed=is_timed)[1:]
        yield Piece("words", lambda: words)
        if view.beneath == "neck":
            yield self._hand(view)
        reached = self._count_in(view)
        if view.notice or reached is not None:
            yield Piece(("count-in", reached, view.notice), lambda: self._count_in_glyphs(reached, view.notice))

    def _hand(self, view: PracticeView) -> Piece:
        """Where the hand is on the neck, and where it goes next."""
        due, layout = self._due(view), self.layout
        hands, present = self.strip.hands, hand_at(self.strip.hands, due)
        following = hands[present + 1] if present + 1 < len(hands) else None
        note = self.exercise.notes[due]
        hand = partial(hand_glyphs, self.exercise, hands[present], following, note, layout.neck)
        return Piece(("hand", present, note.location), hand)

    def _due(self, view: PracticeView) -> int:
        """The written note that is due: the next one, from half way past the one before on."""
        xs_px = self.strip.xs_px
        now_px = self.strip.axis.x_px(view.now_quarters)
        for index in self.strip.seen(now_px):
            if index + 1 == len(xs_px) or (xs_px[index] + xs_px[index + 1]) / 2 > now_px:
                return index
        return 0 if now_px < xs_px[0] else len(xs_px) - 1

    def _count_in(self, view: PracticeView) -> int | None:
        """Which beat of its bar the count-in has reached, from 1; None when the line has begun."""
        meter = self.exercise.meter
        if view.now_quarters >= 0 or self.plan.pace is not Pace.CLICK:
            return None
        return int(view.now_quarters // float(meter.beat_quarters)) % meter.beats + 1

    def _count_in_glyphs(self, reached: int | None, notice: str) -> list[Glyph]:
        """The beats of the count-in, left of the tempo: those reached stay lit, so that nothing flashes."""
        layout, right_px = self.layout, self._notice_px
        y_px = (layout.title_y_px + layout.subtitle_y_px) / 2
        if notice or reached is None:
            return [Text(right_px, y_px, notice, Size.HEAD, Ink.NOW, Anchor.RIGHT)]
        beats = self.exercise.meter.beats
        step_px = min(100.0, COUNT_IN_PX / beats) * layout.unit
        return [
            Text(
                right_px - (beats - beat) * step_px,
                y_px,
                str(beat),
                Size.COUNT_IN if beats <= 4 else Size.TITLE,
                Ink.INK if beat <= reached else Ink.FAINT,
                Anchor.RIGHT,
            )
            for beat in range(1, beats + 1)
        ]

    @property
    def _notice_px(self) -> float:
        """Where a notice or the count-in ends: clear of tempo, pace and pass."""
        widest = f"{PACE_WORDS[self.plan.pace]} · loop, round 88"
        return self.layout.right_px - self.painter.fonts.width_px(widest, Size.BODY) - 48 * self.layout.unit

    def _selection(self, selection: Selection) -> list[Glyph]:
        """The marked notes: a line over them with its ends named."""
        unit, y_px = self.layout.unit, self.layout.time.bracket_y_px - 42 * self.layout.unit
        glyphs: list[Glyph] = []
        if selection.start is not None and selection.end is not None:
            xs_px = self.strip.xs_px[selection.start], self.strip.xs_px[selection.end]
            glyphs.append(Line(xs_px[0], y_px, xs_px[1], y_px, 3 * unit, Ink.NOW))
        for name, index in (("A", selection.start), ("B", selection.end)):
            if index is not None:
                x_px = self.strip.xs_px[index]
                glyphs.append(
                    Box(x_px - 12 * unit, y_px - 11 * unit, x_px + 12 * unit, y_px + 11 * unit, 4 * unit, Ink.NOW)
                )
                glyphs.append(Text(x_px, y_px, name, Size.SMALL, Ink.GROUND))
        return glyphs

    def _still_surface(self, view: PracticeView) -> pygame.Surface:
        rest = (view.rest, view.is_rest_due)
        against = (view.ghost_words, bool(view.ghost), view.other_words, view.beneath)
        state = (view.status, view.is_troubled, view.with_marks, view.said, against)
        key = (view.passes, view.figures, view.keys, state, rest)
        if self._still is None or self._still[0] != key:
            surface = pygame.Surface(self.size)
            surface.fill(colour(Ink.GROUND))
            self.painter.draw(surface, self._still_glyphs(view))
            self._still = (key, surface)
        return self._still[1]

    def _still_glyphs(self, view: PracticeView) -> list[Glyph]:
        layout, fonts = self.layout, self.painter.fonts
        room_px = self._notice_px - layout.left_px - (COUNT_IN_PX + 24) * layout.unit
        title = fonts.elided(self.line.title, Size.TITLE, room_px)
        subtitle = fonts.elided(line_words(self.line), Size.BODY, room_px)
        pace = f"{PACE_WORDS[self.plan.pace]} · {view.passes}"
        trace = trace_lines(layout.time.trace, self.gutter_px, layout.width_px, is_timed=True)[:1]
        return [
            Text(layout.left_px, layout.title_y_px, title, Size.TITLE, Ink.INK, Anchor.LEFT),
            Text(layout.left_px, layout.subtitle_y_px, subtitle, Size.BODY, Ink.MUTED, Anchor.LEFT),
            Text(layout.right_px, layout.title_y_px, self._tempo_words, Size.TITLE, Ink.INK, Anchor.RIGHT),
            Text(layout.right_px, layout.subtitle_y_px, pace, Size.BODY, Ink.MUTED, Anchor.RIGHT),
            *staff_lines(layout.time.staff, self.exercise.courses, self.gutter_px, layout.width_px),
            *trace,
            *self._beneath(view),
            *self._row_names(view),
            *self._figures(view),
        ]

    def _beneath(self, view: PracticeView) -> Iterable[Glyph]:
        """What stands still in the place of the neck."""
        if view.said is not None:
            return said_glyphs(view.said, self.layout, self.painter.fonts)
        return board_glyphs(self.layout.neck) if view.other is None else self._second.still(self.gutter_px)

    def _row_names(self, view: PracticeView) -> list[Glyph]:
        """What the rows left of the time axis are."""
        layout = self.layout
        rows = [("count", layout.time.count_y_px)]
        if view.with_marks and any(note.stroke is not None for note in self.exercise.notes):
            rows.append(("stroke", layout.time.strokes_y_px))
        if view.with_marks and any(note.finger is not None for note in self.exercise.notes):
            rows.append(("finger", layout.time.fingers_y_px))
        names = [(str(course), layout.time.staff.string_y_px(course)) for course in (1, layout.time.staff.strings)]
        ghost = self._ghost_name() if view.ghost else []
        rows += names
        return [*ghost, *(Text(layout.left_px, y_px, name, Size.SMALL, Ink.MUTED, Anchor.LEFT) for name, y_px in rows)]

    def _ghost_name(self) -> list[Glyph]:
        """The word of the second trace, and its mark over it."""
        layout, unit, zero_px = self.layout, self.layout.unit, self.layout.time.trace.zero_px
        mark = Dot(
            layout.left_px + RADIUS_PX * unit, zero_px - 26 * unit, RADIUS_PX * unit, Ink.GHOST, STROKE_PX * unit
        )
        return [mark, Text(layout.left_px, zero_px, "ghost", Size.SMALL, Ink.GHOST, Anchor.LEFT)]

    def _figures(self, view: PracticeView) -> list[Glyph]:
        """The two lines at the bottom: figures; keys and status."""
        layout, fonts = self.layout, self.painter.fonts
        glyphs: list[Glyph] = []
        x_px, end_px = layout.left_px, layout.right_px
        if view.rest:
            ink = Ink.NOW if view.is_rest_due else Ink.MUTED
            glyphs.append(Text(layout.right_px, layout.figures_y_px, view.rest, Size.BODY, ink, Anchor.RIGHT))
            end_px -= fonts.width_px(view.rest, Size.BODY) + 36 * layout.unit
        said = [(words, Ink.INK if place else Ink.MUTED) for place, words in enumerate(view.figures)]
        said += [(words, ink) for words, ink in ((view.ghost_words, Ink.GHOST), (view.other_words, Ink.INK)) if words]
        for words, ink in said:
            if end_px - x_px < LEAST_FIGURE_PX * layout.unit:
                break
            fitting = fonts.elided(words, Size.BODY, end_px - x_px)
            glyphs.append(Text(x_px, layout.figures_y_px, fitting, Size.BODY, ink, Anchor.LEFT))
            x_px += fonts.width_px(words, Size.BODY) + 36 * layout.unit
        hints = self._hints(view)
        used_px = max((hint.bounds(fonts).right_px for hint in hints), default=layout.left_px)
        free_px = layout.right_px - used_px - BEFORE_STATUS_PX * layout.unit
        status = fonts.worth_saying(view.status, Size.SMALL, free_px)
        ink = Ink.SLIP if view.is_troubled else Ink.MUTED
        glyphs.append(Text(layout.right_px, layout.keys_y_px, status, Size.SMALL, ink, Anchor.RIGHT))
        return [*glyphs, *hints]

    def _hints(self, view: PracticeView) -> list[Text]:
        """What keys do; before a trouble, which is told whole, some of them give way."""
        layout, rows = self.layout, [(name, words) for name, words, _ in view.keys]
        fonts, right_px = self.painter.fonts, layout.right_px
        if view.is_troubled:
            right_px -= fonts.width_px(view.status, Size.SMALL) + BEFORE_STATUS_PX * layout.unit
        return key_hints(rows, layout.left_px, layout.keys_y_px, fonts, layout.unit, right_px)

    def targets(self, view: PracticeView) -> list[Target]:
        """Where the mouse can press."""
        return hint_targets(self._hints(view), [command for *_, command in view.keys], self.painter.fonts)

    def ends(self, view: PracticeView) -> tuple[int, int]:
        """The first and the last note of those that are seen whole; of a line without any that is seen, all."""
        strip, dx_px = self.strip, self._dx_px(view)
        seen = [index for index, x_px in enumerate(strip.xs_px) if self.gutter_px <= x_px + dx_px <= self.size[0]]
        return (seen[0], seen[-1]) if seen else (0, len(strip.xs_px) - 1)

    def note_at(self, view: PracticeView, x_px: float, y_px: float) -> int | None:
        """The written note that is pressed, on the staff or under it; None for a press beside them."""
        return self.strip.note_at(x_px - self._dx_px(view), y_px)

    def _left_fade(self) -> pygame.Surface:
        layout = self.layout
        top_px, bottom_px = layout.time.bracket_y_px - 54 * layout.unit, layout.time.trace.zero_px + 90 * layout.unit
        width_px = round(FADE_PX * layout.unit)
        fade = pygame.Surface((width_px, round(bottom_px - top_px)), pygame.SRCALPHA)
        for x_px in range(width_px):
            alpha = round(255 * (1 - x_px / width_px))
            fade.fill((*colour(Ink.GROUND), alpha), pygame.Rect(x_px, 0, 1, fade.get_height()))
        return fade
