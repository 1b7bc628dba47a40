"""What stands under the time axis of the practice picture in place of the neck: words, or another take."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import groupby

from trainer.screens.paint import Fonts
from trainer.screens.pieces import Piece
from trainer.screens.practice_view import Said
from trainer.tablature.glyphs import Anchor, Glyph, Ink, Size, Text, TextMetrics
from trainer.tablature.layout import PracticeLayout
from trainer.tablature.other_take import verdict_glyphs, worst_of
from trainer.tablature.state import NoteState
from trainer.tablature.strip import Strip
from trainer.tablature.trace import trace_lines

ROW_PX, ZERO_PX, WORD_PX = 2.0, 88.0, 26.0
"""Under the upper edge of the neck: the verdicts of the other take, the zero line of its trace; from word to word."""
LINE_PX, LINES = 33.0, 6
"""How far apart lines stand, at unit 1, and how many have room."""


def said_glyphs(said: Said, layout: PracticeLayout, fonts: Fonts) -> list[Text]:
    """The sentences, each for itself; where they have no room so, the others follow on one another after the first."""
    x_px, room_px = layout.neck.board.left_px, layout.right_px - layout.neck.board.left_px
    each = [line for sentence in said.sentences for line in fonts.wrapped(sentence, Size.SMALL, room_px)]
    flowing = [line for words in _two(said) for line in fonts.wrapped(words, Size.SMALL, room_px)]
    lines = each if len(each) <= LINES else flowing
    if len(lines) > LINES:
        lines = [*lines[: LINES - 1], fonts.elided(" ".join(lines[LINES - 1 :]), Size.SMALL, room_px)]
    top_px = layout.neck.board.top_px - 6 * layout.unit
    return [
        Text(layout.left_px, top_px, said.name, Size.SMALL, Ink.MUTED, Anchor.LEFT),
        *(
            Text(x_px, top_px + LINE_PX * place * layout.unit, line, Size.SMALL, Ink.INK, Anchor.LEFT)
            for place, line in enumerate(lines)
        ),
    ]


def _two(said: Said) -> tuple[str, str]:
    return said.sentences[0], " ".join(said.sentences[1:])


class SecondTrace:
    """Another take of the line in the place of the neck, on the time axis of the first."""

    def __init__(self, strip: Strip, layout: PracticeLayout, metrics: TextMetrics) -> None:
        unit, top_px = layout.unit, layout.neck.board.top_px
        self._layout = layout
        self._metrics = metrics
        self._row_px = top_px + ROW_PX * unit
        self._trace = replace(layout.time.trace, zero_px=top_px + ZERO_PX * unit)
        self._strip = strip.with_trace(self._trace)

    def still(self, left_px: float) -> list[Glyph]:
        """The zero line, and what these two rows are."""
        unit, zero_px = self._layout.unit, self._trace.zero_px
        return [
            *trace_lines(self._trace, left_px, self._layout.width_px, is_timed=True)[:1],
            Text(self._layout.left_px, zero_px, "other", Size.SMALL, Ink.MUTED, Anchor.LEFT),
            Text(self._layout.left_px, zero_px + WORD_PX * unit, "take", Size.SMALL, Ink.MUTED, Anchor.LEFT),
        ]

    def pieces(self, states: Sequence[tuple[int, NoteState]]) -> Iterator[Piece]:
        """The verdict and the deviation of each moment."""
        for x_px, group in groupby(states, key=lambda pair: self._strip.xs_px[pair[0]]):
            moment = tuple(group)
            yield Piece(("other take", x_px, moment), partial(self._moment, x_px, moment))

    def _moment(self, x_px: float, moment: Sequence[tuple[int, NoteState]]) -> list[Glyph]:
        worst = worst_of([state for _, state in moment])
        marks = verdict_glyphs(worst, x_px, self._row_px, self._layout.unit, self._metrics)
        return [*marks, *self._strip.deviations(moment)]
