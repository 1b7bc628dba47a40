"""The notes that were played and not written, where they fell on a strip; one mark for several between two columns.

What was said long ago stands, so only the last heard notes are looked at again, and only the columns that may show are
handed out: the work of a frame does not grow with the take. All x are strip pixels.
"""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction

from trainer.following.ledger import Ledger
from trainer.following.verdict import Extra, HeardVerdict, Match, WrongNote
from trainer.playing.messages import NoteOnset
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.tablature.axis import TimeAxis
from trainer.tablature.columns import number_extent_px
from trainer.tablature.glyphs import Glyph, Size, TextMetrics
from trainer.tablature.layout import StaffPlace
from trainer.tablature.staff import extra_glyphs
from trainer.tablature.state import place_of
from trainer.theory.fretboard import Location

OPEN = 64
"""The last heard notes may still be read otherwise: of 48 one can be taken out again (`following.follower`)."""
Marks = dict[tuple[int, int], tuple[Glyph, ...]]
"""By the column that a mark stands before, and its string."""
Anchor = tuple[Fraction, int]
"""Where on the line it was, in quarters, and when, in ns."""


class Extras:
    """Of one take on one strip."""

    def __init__(
        self,
        exercise: Exercise,
        axis: TimeAxis,
        xs_px: Sequence[float],
        staff: StaffPlace,
        tempo: Tempo,
        metrics: TextMetrics,
    ) -> None:
        self._exercise = exercise
        self._axis = axis
        self._xs_px = xs_px
        self._staff = staff
        self._tempo = tempo
        self._metrics = metrics
        self._of: tuple[Ledger, int | None] | None = None
        self._done = 0
        """So many heard notes are in the marks for good."""
        self._marks: Marks = {}
        self._anchor: Anchor | None = None

    def glyphs(
        self, ledger: Ledger, onsets: Sequence[NoteOnset], starts_at_ns: int | None, columns: range
    ) -> tuple[Glyph, ...]:
        """The marks before these columns; `starts_at_ns` is when quarter 0 falls by the click, None at one's own pace.

        Each call is about the same take as the one before, or a later state of it; another ledger begins anew.
        """
        if self._of is None or self._of[0] is not ledger or self._of[1] != starts_at_ns or self._done > len(onsets):
            self._of, self._done, self._marks = (ledger, starts_at_ns), 0, {}
            self._anchor = None if starts_at_ns is None else (Fraction(0), starts_at_ns)
        is_timed = starts_at_ns is not None
        for heard in range(self._done, len(onsets) - OPEN):
            verdict = ledger.of_heard(heard)
            if verdict is None or not verdict.settled:
                break
            self._anchor = self._step(verdict, self._anchor, onsets, self._marks, is_timed=is_timed)
            self._done = heard + 1
        late: Marks = {}
        anchor = self._anchor
        for heard in range(self._done, len(onsets)):
            verdict = ledger.of_heard(heard)
            if verdict is not None:
                anchor = self._step(verdict, anchor, onsets, late, is_timed=is_timed)
        places = [(column, course) for column in columns for course in self._exercise.tuning.courses]
        found = (late.get(place) or self._marks.get(place, ()) for place in places)
        return tuple(glyph for mark in found for glyph in mark)

    def _step(
        self,
        verdict: HeardVerdict,
        anchor: Anchor | None,
        onsets: Sequence[NoteOnset],
        marks: Marks,
        *,
        is_timed: bool,
    ) -> Anchor | None:
        """Let one verdict count; where the line was last known to be."""
        match verdict:
            case Match() | WrongNote():
                late = self._tempo.quarters(verdict.deviation_ns or 0) if is_timed else 0
                return self._exercise.notes[verdict.index].onset_quarters + late, verdict.onset_ns
            case Extra(charged=True) if anchor is not None:
                x_px = self._axis.x_px(anchor[0] + self._tempo.quarters(verdict.onset_ns - anchor[1]))
                after = bisect_right(self._xs_px, x_px)
                near = self._exercise.notes[min(after, len(self._xs_px) - 1)]
                place = place_of(onsets[verdict.heard], self._exercise.tuning, near.course)
                if place is not None:
                    marks[after, place.course] = self._mark(place, x_px, after, light=not verdict.settled)
            case Extra():
                pass
        return anchor

    def _mark(self, place: Location, x_px: float, after: int, *, light: bool) -> tuple[Glyph, ...]:
        """A note that nothing was written for, before column `after`: clear of the numbers on its string.

        Where it does not fit between them it stands just under its string.
        """
        staff = self._staff
        half_px = self._metrics.width_px(f"+{place.fret}", Size.SMALL) / 2 + 5 * staff.unit
        least_px, most_px = float("-inf"), float("inf")
        for index in range(max(0, after - 2), min(len(self._xs_px), after + 2)):
            note = self._exercise.notes[index]
            left_px, right_px = number_extent_px(note, self._metrics, staff.unit)
            if note.course == place.course and index < after:
                least_px = max(least_px, self._xs_px[index] + right_px + half_px)
            elif note.course == place.course:
                most_px = min(most_px, self._xs_px[index] - left_px - half_px)
        fits = least_px <= most_px
        drop_px = 0.0 if fits else staff.gap_px / 2
        return extra_glyphs(
            str(place.fret),
            max(least_px, min(most_px, x_px)) if fits else x_px,
            place.course,
            staff,
            drop_px,
            light=light,
        )
