"""The passes of one sitting at the screen, as the coach reads them: each take of it at its place in the line."""

from collections.abc import Iterable, Iterator

from trainer.coaching.played import PlayedPass, passes_of
from trainer.score.tempo import Tempo
from trainer.tablature.record import Stretch


def passes_of_sitting(stretches: Iterable[Stretch], tempo: Tempo) -> tuple[PlayedPass, ...]:
    """The passes, oldest first; pieces of a pass, from a loop or after a pause, are passes with open notes."""
    return tuple(one for stretch in stretches for one in _passes_of_take(stretch, tempo))


def _passes_of_take(stretch: Stretch, tempo: Tempo) -> Iterator[PlayedPass]:
    line, first_note = stretch.line_length, stretch.first % stretch.line_length
    if stretch.is_loop or not first_note:
        length = stretch.pass_length if stretch.is_loop else line
        for one in passes_of(stretch.exercise, stretch.ledger, tempo=tempo, pass_length=length):
            yield one.within(line, first_note)
        return
    # What remained after a pause: its first pass begins in the middle of the line.
    pieces = passes_of(stretch.exercise, stretch.ledger, tempo=tempo, pass_length=line, first_note=first_note)
    for one in pieces:
        yield one.within(line, first_note if len(one.due_ms) == line - first_note else 0)
