"""Which part of a line a take plays, and how a standing line is walked over and marked.

Conventions: the *whole* is all passes of a plan's line written out; a part begins on one of its notes.
"""

from bisect import bisect_right
from dataclasses import dataclass, replace

from trainer.following.verdict import Match, WrongNote
from trainer.run import Run, RunPlan
from trainer.score.exercise import Exercise
from trainer.screens.screen import Command

LOOP_PASSES = 32
"""A loop goes round this often before it ends by itself."""


@dataclass(frozen=True, slots=True)
class Part:
    """What one take plays."""

    plan: RunPlan
    first: int = 0
    """Which note of the whole its first note is."""
    is_loop: bool = False

    def in_whole(self, index: int) -> int:
        """Which note of the whole note `index` of the take is."""
        return self.first + (index % len(self.plan.exercise.notes) if self.is_loop else index)

    def played_as(self, plan: RunPlan) -> "Part":
        """The same notes at the tempo, pace and sound of another plan."""
        heard = replace(self.plan, hear_line=plan.hear_line, with_backing=plan.with_backing)
        return replace(self, plan=replace(heard, tempo=plan.tempo, pace=plan.pace))


def rest_from(plan: RunPlan, index: int) -> Part:
    """What remains from the bar of note `index` of the whole on, without a gap between its passes."""
    whole = plan.exercise.repeated(plan.passes)
    first = bar_of(whole, index)[0]
    if first == 0:
        return Part(plan)
    last = len(whole.notes) - 1
    return Part(replace(plan, exercise=whole.excerpt(first, last), passes=1, stretch=(first, last)), first)


def loop_over(plan: RunPlan, first: int, last: int) -> Part:
    """The notes `first`..`last` of the whole, round and round."""
    whole = plan.exercise.repeated(plan.passes)
    part = replace(plan, exercise=whole.excerpt(first, last), passes=LOOP_PASSES, stretch=(first, last))
    return Part(part.that_fits(), first, is_loop=True)


def bar_of(exercise: Exercise, index: int) -> range:
    """The notes of the bar that note `index` is in."""
    bar = exercise.meter.bar_quarters
    number = exercise.notes[index].onset_quarters // bar
    inside = [i for i, note in enumerate(exercise.notes) if note.onset_quarters // bar == number]
    return range(inside[0], inside[-1] + 1)


def whole_bars(exercise: Exercise, first: int, last: int) -> tuple[int, int]:
    """The first and the last note of all bars that some notes are in."""
    return bar_of(exercise, first)[0], bar_of(exercise, last)[-1]


def moved(exercise: Exercise, cursor: int, command: Command) -> int:
    """Where a command moves the cursor: by a note, by a bar, to an end; it stays for any other command."""
    last, bar = len(exercise.notes) - 1, bar_of(exercise, cursor)
    match command:
        case Command.LEFT:
            return max(0, cursor - 1)
        case Command.RIGHT:
            return min(last, cursor + 1)
        case Command.PREVIOUS_BAR:
            return bar[0] if cursor > bar[0] else bar_of(exercise, max(0, bar[0] - 1))[0]
        case Command.NEXT_BAR:
            return min(last, bar[-1] + 1)
        case Command.FIRST:
            return 0
        case Command.LAST:
            return last
        case _:
            return cursor


def played_ns(run: Run, index: int) -> int:
    """When a written note was played, in the take; when it was due, if it was not; in free pace from the start then."""
    session = run.session
    verdict = session.ledger.of_written(index)
    if isinstance(verdict, Match | WrongNote):
        return session.onsets[verdict.heard].onset_ns
    return session.due_ns(index) if session.is_timed else 0


def last_begun(run: Run, now_quarters: float) -> int:
    """The last written note that is not still to come."""
    return max(0, bisect_right(run.exercise.notes, now_quarters, key=lambda note: float(note.onset_quarters)) - 1)


@dataclass(frozen=True, slots=True)
class Selection:
    """The marked notes of a take; an end may still be open."""

    start: int | None = None
    end: int | None = None

    def started_at(self, index: int) -> "Selection":
        """Marked from here; an end before it is let go."""
        return Selection(index, self.end if self.end is not None and self.end >= index else None)

    def ended_at(self, index: int) -> "Selection":
        """Marked up to here; a start after it is let go."""
        return Selection(self.start if self.start is not None and self.start <= index else None, index)

    def ends(self, exercise: Exercise, cursor: int) -> tuple[int, int]:
        """First and last note to loop: an open end is that of the other end's bar, two are the cursor's."""
        start = self.start if self.start is not None else bar_of(exercise, cursor if self.end is None else self.end)[0]
        end = self.end if self.end is not None else bar_of(exercise, cursor if self.start is None else self.start)[-1]
        return start, end


NOTHING_MARKED = Selection()
