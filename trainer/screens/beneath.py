"""What stands under the time axis of the practice picture in place of the neck: why a note was judged as it was."""

from collections.abc import Sequence

from trainer.screens.paint import Fonts
from trainer.tablature.glyphs import Anchor, Ink, Size, Text
from trainer.tablature.layout import PracticeLayout

WHY = "why"
LINE_PX, LINES = 33.0, 6
"""How far apart lines stand, at unit 1, and how many have room."""


def why_glyphs(sentences: Sequence[str], layout: PracticeLayout, fonts: Fonts) -> list[Text]:
    """The sentences, the first one for itself; the others follow on one another where not each has room for itself."""
    x_px, room_px = layout.neck.board.left_px, layout.right_px - layout.neck.board.left_px
    each = [line for sentence in sentences for line in fonts.wrapped(sentence, Size.SMALL, room_px)]
    first, *others = sentences
    flowing = [first, *fonts.wrapped(" ".join(others), Size.SMALL, room_px)]
    lines = each if len(each) <= LINES else flowing
    if len(lines) > LINES:
        lines = [*lines[: LINES - 1], fonts.elided(" ".join(lines[LINES - 1 :]), Size.SMALL, room_px)]
    top_px = layout.neck.board.top_px - 6 * layout.unit
    return [
        Text(layout.left_px, top_px, WHY, Size.SMALL, Ink.MUTED, Anchor.LEFT),
        *(
            Text(x_px, top_px + LINE_PX * place * layout.unit, line, Size.SMALL, Ink.INK, Anchor.LEFT)
            for place, line in enumerate(lines)
        ),
    ]
