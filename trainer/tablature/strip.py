"""The strip: a whole line laid out along its time axis, piece by piece, so that a window can move over it.

What never changes is handed out in chunks of a fixed width; what depends on verdicts, note by note. All x are strip
pixels (see `trainer.tablature.axis`).
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from dataclasses import replace
from itertools import groupby

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Missed
from trainer.score.counting import counted_moments
from trainer.score.exercise import Exercise
from trainer.score.notation import rhythm_bars_of
from trainer.score.tempo import Tempo
from trainer.tablature.axis import TimeAxis
from trainer.tablature.columns import axis_for, columns_of, edge_at, edges_px
from trainer.tablature.extras import Extras
from trainer.tablature.ghost import ghost_glyphs
from trainer.tablature.glyphs import Arc, Glyph, Line, TextMetrics
from trainer.tablature.hands import Bracket, bracket_of, hands_of
from trainer.tablature.layout import TimeLayout, TracePlace
from trainer.tablature.marks import count_glyphs, mark_glyphs
from trainer.tablature.rhythm import rhythm_pieces
from trainer.tablature.staff import bar_lines, join_glyphs, join_style, number_glyphs, source_index
from trainer.tablature.state import NoteState
from trainer.tablature.trace import Spread, column_edges_px, deviation_glyphs, spread_glyphs, window_glyphs, windows

CHUNK_PX = 512.0
MARGIN_PX = 200.0
"""A note may reach this far into the picture from outside, at unit 1: grace notes, slides and slurs do."""
TOUCH_PX = 40.0
"""A press no further than this beside a note means it, at unit 1."""


class Strip:
    """A line as glyphs."""

    def __init__(
        self,
        exercise: Exercise,
        tempo: Tempo,
        tolerance: Tolerance,
        layout: TimeLayout,
        metrics: TextMetrics,
        axis: TimeAxis | None = None,
    ) -> None:
        """`axis` is a wider one than the line needs, when it stands over another line."""
        self.exercise = exercise
        self.layout = layout
        self.bars = rhythm_bars_of(exercise)
        self.columns = columns_of(exercise, self.bars, metrics, layout.unit)
        self.axis = axis or axis_for(self.columns, exercise.length_quarters, metrics, layout.unit)
        self.edges_px = edges_px(self.columns, self.axis, layout.unit)
        self.hands = hands_of(exercise)
        self._tempo = tempo
        self._metrics = metrics
        self.windows = windows(exercise, tempo, tolerance)
        self.xs_px = [self.axis.x_px(note.onset_quarters) for note in exercise.notes]
        self._reach_chunks = 1
        self._chunks = self._chunked(self._rhythm())
        self._marks_chunks = self._chunked(self._marks())
        self._windows_chunks = self._chunked(self._hit_windows())

    def with_trace(self, trace: TracePlace) -> "Strip":
        """The same line with its trace elsewhere."""
        moved = copy(self)
        moved.layout = replace(self.layout, trace=trace)
        return moved

    def seen(self, now_px: float) -> range:
        """The notes that may show when now stands at `now_px` of the strip."""
        margin_px = MARGIN_PX * self.layout.unit
        left_px = now_px - self.layout.now_x_px
        right_px = left_px + self.layout.width_px + margin_px
        return range(bisect_left(self.xs_px, left_px - margin_px), bisect_right(self.xs_px, right_px))

    def note_at(self, x_px: float, y_px: float) -> int | None:
        """The note nearest to a place on the staff, or on the trace under it; None beside both, and between notes."""
        staff, trace = self.layout.staff, self.layout.trace
        if not staff.top_px - staff.gap_px / 2 <= y_px <= trace.zero_px + trace.reach_px:
            return None

        def beside_px(index: int) -> tuple[float, float]:
            return abs(self.xs_px[index] - x_px), abs(staff.string_y_px(self.exercise.notes[index].course) - y_px)

        nearest = min(range(len(self.xs_px)), key=beside_px)
        return nearest if beside_px(nearest)[0] <= TOUCH_PX * self.layout.unit else None

    def chunks_seen(self, now_px: float) -> range:
        """The chunks that may show."""
        left_px = now_px - self.layout.now_x_px
        return self.chunks_between(left_px, left_px + self.layout.width_px)

    def chunks_between(self, left_px: float, right_px: float) -> range:
        """The chunks of which anything may reach between two places."""
        return range(int(left_px // CHUNK_PX) - self._reach_chunks, int(right_px // CHUNK_PX) + 2)

    def chunk(self, number: int, *, with_marks: bool = False, with_windows: bool = True) -> list[Glyph]:
        """What never changes, from `number` chunk widths on."""
        return [
            *self._chunks.get(number, []),
            *(self._windows_chunks.get(number, []) if with_windows else []),
            *(self._marks_chunks.get(number, []) if with_marks else []),
        ]

    def hands_seen(self, now_px: float) -> list[int]:
        """The stretches whose brackets may show."""
        margin_px = MARGIN_PX * self.layout.unit
        left_px = now_px - self.layout.now_x_px - margin_px
        right_px = left_px + self.layout.width_px + 2 * margin_px
        return [
            number
            for number, hand in enumerate(self.hands)
            if self.xs_px[hand.last] >= left_px and self.xs_px[hand.first] <= right_px
        ]

    def bracket(self, number: int, within: tuple[int, int] | None = None) -> Bracket:
        """The bracket over a stretch, or over what of it lies within the notes of a system."""
        hand = self.hands[number]
        if within is not None:
            hand = replace(hand, first=max(hand.first, within[0]), last=min(hand.last, within[1]))
        return bracket_of(self.exercise, hand, self.axis, self.layout.bracket_y_px, self.layout.unit)

    def note(self, index: int, state: NoteState, first: int = 0) -> tuple[Glyph, ...]:
        """A note's number, the stroke into it, and what became of both; nothing is seen of the notes before `first`."""
        written, staff = self.exercise.notes[index], self.layout.staff
        source = source_index(self.exercise.notes, index)
        before = self.exercise.notes[source] if source is not None and source >= first else None
        style = join_style(state.technique, staff.unit)
        return (
            *number_glyphs(written, state, self.xs_px[index], staff, self._metrics),
            *join_glyphs(written, before, self.axis, staff, style, self._metrics),
        )

    def deviations(self, states: Sequence[tuple[int, NoteState]]) -> tuple[Glyph, ...]:
        """How early or late the notes of one moment were, under them: of a chord the one furthest off, and a miss."""
        timed = [(index, state) for index, state in states if state.deviation_ns is not None]
        drawn = [pair for pair in states if isinstance(pair[1].verdict, Missed)][:1]
        drawn += sorted(timed, key=lambda pair: -abs(pair[1].deviation_ns or 0))[:1]
        return tuple(glyph for index, state in drawn for glyph in self._deviation(index, state))

    def _deviation(self, index: int, state: NoteState) -> tuple[Glyph, ...]:
        deviation_ms = None if state.deviation_ns is None else state.deviation_ns / 1e6
        place = self.layout.trace
        return deviation_glyphs(state, deviation_ms, self.windows[index], self.xs_px[index], place, self._metrics)

    def ghost(self, states: Sequence[tuple[int, NoteState]]) -> tuple[Glyph, ...]:
        """How early or late a ghost was at the notes of one moment: of a chord a miss, or the one furthest off."""
        index, state = max(
            states, key=lambda pair: (isinstance(pair[1].verdict, Missed), abs(pair[1].deviation_ns or 0))
        )
        return ghost_glyphs(state, self.xs_px[index], self.layout.trace)

    def spread(self, index: int, spread: Spread) -> tuple[Glyph, ...]:
        """The band of the passes so far, under a note."""
        return spread_glyphs(spread, self.xs_px[index], self.layout.trace)

    def extras(self) -> Extras:
        """What keeps the marks of notes that are not written, for one take."""
        return Extras(self.exercise, self.axis, self.xs_px, self.layout.staff, self._tempo, self._metrics)

    def _chunked(self, placed: Iterable[tuple[float, tuple[Glyph, ...]]]) -> dict[int, list[Glyph]]:
        chunks: dict[int, list[Glyph]] = defaultdict(list)
        for x_px, glyphs in placed:
            number = int(x_px // CHUNK_PX)
            chunks[number].extend(glyphs)
            ends_px = [max(glyph.x1_px, glyph.x2_px) for glyph in glyphs if isinstance(glyph, Arc | Line)]
            self._reach_chunks = max(self._reach_chunks, int(max(ends_px, default=x_px) // CHUNK_PX) - number)
        return chunks

    def _rhythm(self) -> Iterator[tuple[float, tuple[Glyph, ...]]]:
        """Bar lines, stems, beams and rests, and the count."""
        layout, exercise = self.layout, self.exercise
        for line in bar_lines(self._bar_lines_px(), layout.staff):
            yield line.x1_px, (line,)
        end_px = self.axis.x_px(exercise.length_quarters)
        for bar in self.bars:
            pieces = rhythm_pieces(bar, exercise.meter, self.axis, layout, self._metrics)
            yield from (piece for piece in pieces if piece[0] < end_px)
        onsets = [note.onset_quarters for note in exercise.notes]
        words = counted_moments(onsets, exercise.meter, exercise.length_quarters)
        for glyph in count_glyphs(words, exercise.meter, self.axis, layout, self._metrics):
            yield glyph.x_px, (glyph,)

    def _bar_lines_px(self) -> Iterator[float]:
        """Before the first beat of each bar, and where the line comes round."""
        for moment in (*(bar.onset_quarters for bar in self.bars), self.exercise.length_quarters):
            yield edge_at(moment, self.columns, self.edges_px, self.axis)

    def _marks(self) -> Iterator[tuple[float, tuple[Glyph, ...]]]:
        """Strokes, fingers and accents."""
        for x_px, moment in groupby(self.exercise.notes, key=lambda note: self.axis.x_px(note.onset_quarters)):
            yield x_px, mark_glyphs(list(moment), x_px, self.layout)

    def _hit_windows(self) -> Iterator[tuple[float, tuple[Glyph, ...]]]:
        """How early or late each note may come."""
        edges = column_edges_px(self.xs_px, self.axis.x_px(self.exercise.length_quarters))
        by_moment = dict(zip(self.xs_px, self.windows, strict=True))
        for x_px, (left_px, right_px) in edges.items():
            yield x_px, window_glyphs(by_moment[x_px], left_px, right_px, self.layout.trace)
