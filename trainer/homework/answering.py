"""What takes come to, exercise by exercise: the takes of a pupil's latest file, beside those of the one before it.

The two share most of them, for a file holds everything since the homework was opened, so each take is judged once.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.coaching.working_tempo import Estimate
from trainer.homework.assignment import Assignment, Task
from trainer.homework.cache import Cache
from trainer.homework.measuring import Fastest, MeasuredTake, Unused, clean_at_least, fastest_clean, working_tempo
from trainer.homework.pieces import Progress, judged, weakest
from trainer.homework.weakest import Weakest


@dataclass(frozen=True, slots=True)
class Change:
    """What is new since an earlier file of the same pupil."""

    since: str
    fastest_qpm: Fraction | None
    """Then."""
    more_clean: int
    """Clean passes at the target."""
    more_ms: int


@dataclass(frozen=True, slots=True)
class Row:
    """One pupil, one exercise."""

    task: Task
    fastest: Fastest | None
    working: Estimate | None
    clean_at_target: int
    passes: int
    takes: tuple[MeasuredTake, ...]
    """The oldest first."""
    weakest: Weakest
    change: Change | None
    """None: there is no earlier file."""

    @property
    def played_ms(self) -> int:
        """How long its takes are together."""
        return sum(take.played_ms for take in self.takes)

    @property
    def last_played(self) -> str:
        """Date of the last take; empty without one."""
        return self.takes[-1].date[:10] if self.takes else ""


@dataclass(frozen=True, slots=True)
class Question:
    """The takes of one pupil, and by what they are judged."""

    assignment: Assignment
    takes: tuple[bytes, ...]
    since: str | None = None
    """When the file before was made; None: there is none."""
    former: tuple[bytes, ...] = ()
    """The takes in it."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a question came to."""

    rows: tuple[Row, ...]
    unused: tuple[Unused, ...]


def answers(questions: Sequence[Question], cache: Cache, progress: Progress | None = None) -> tuple[Answer, ...]:
    """Judge the takes of each pupil and count them up; the answers in order."""
    wanted = [(one.assignment.lines, take) for one in questions for take in (*one.takes, *one.former)]
    found = iter(judged(wanted, cache, progress))
    counts = [_Counted(one, [next(found) for _ in one.takes], [next(found) for _ in one.former]) for one in questions]
    asked = [(task.exercise, one.takes_of(task)) for one in counts for task in one.question.assignment.tasks]
    worst = iter(weakest(asked, cache))
    return tuple(
        Answer(tuple(one.row(task, next(worst)) for task in one.question.assignment.tasks), one.unused)
        for one in counts
    )


class _Counted:
    """A pupil's takes as they were judged."""

    def __init__(
        self, question: Question, now: Iterable[MeasuredTake | Unused], then: Iterable[MeasuredTake | Unused]
    ) -> None:
        self.question = question
        now = tuple(now)
        self.unused = tuple(one for one in now if isinstance(one, Unused))
        self._now, self._then = _in_order(now), _in_order(then)

    def takes_of(self, task: Task) -> tuple[MeasuredTake, ...]:
        return tuple(take for take in self._now if take.line == task.digest)

    def row(self, task: Task, worst: Weakest) -> Row:
        takes = self.takes_of(task)
        return Row(
            task=task,
            fastest=fastest_clean(takes),
            working=working_tempo(takes),
            clean_at_target=clean_at_least(takes, task.target_qpm),
            passes=sum(len(take.clean) for take in takes),
            takes=takes,
            weakest=worst,
            change=self._change(task, takes),
        )

    def _change(self, task: Task, takes: Sequence[MeasuredTake]) -> Change | None:
        if self.question.since is None:
            return None
        former = [take for take in self._then if take.line == task.digest]
        fastest_then = fastest_clean(former)
        return Change(
            since=self.question.since,
            fastest_qpm=None if fastest_then is None else fastest_then.qpm,
            more_clean=clean_at_least(takes, task.target_qpm) - clean_at_least(former, task.target_qpm),
            more_ms=sum(take.played_ms for take in takes) - sum(take.played_ms for take in former),
        )


def _in_order(found: Iterable[MeasuredTake | Unused]) -> tuple[MeasuredTake, ...]:
    return tuple(sorted((one for one in found if isinstance(one, MeasuredTake)), key=lambda one: one.date))
