"""What one pupil's files come to, exercise by exercise: the work that is spread over the cores.

A job holds the takes of a pupil's latest file and of the one before it. The two share most of them, for a file holds
everything since the homework was opened, so each take is judged once.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.coaching.working_tempo import Estimate
from trainer.homework.assignment import Assignment, Task
from trainer.homework.measuring import (
    Fastest,
    MeasuredTake,
    Unused,
    clean_at_least,
    fastest_clean,
    measured,
    working_tempo,
)
from trainer.homework.weakest import Weakest, weakest_of


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
class Job:
    """One pupil."""

    number: int
    assignment: Assignment
    """By which the takes are judged."""
    takes: tuple[bytes, ...]
    since: str | None
    """When the file before was made; None: there is none."""
    former: tuple[bytes, ...]
    """The takes in it."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a job came to."""

    number: int
    rows: tuple[Row, ...]
    unused: tuple[Unused, ...]


def answer(job: Job) -> Answer:
    """Judge the takes of a pupil and count them up."""
    lines = {task.digest: task.exercise for task in job.assignment.tasks}
    found = {take: measured(lines, take) for take in dict.fromkeys((*job.takes, *job.former))}
    now, then = _counting(found[take] for take in job.takes), _counting(found[take] for take in job.former)
    return Answer(
        job.number,
        tuple(_row(task, now, job.since, then) for task in job.assignment.tasks),
        tuple(one for take in job.takes if isinstance(one := found[take], Unused)),
    )


def _counting(found: Iterable[MeasuredTake | Unused]) -> list[MeasuredTake]:
    return sorted((one for one in found if isinstance(one, MeasuredTake)), key=lambda one: one.date)


def _row(task: Task, now: Sequence[MeasuredTake], since: str | None, then: Sequence[MeasuredTake]) -> Row:
    takes = tuple(take for take in now if take.line == task.digest)
    former = [take for take in then if take.line == task.digest]
    fastest_then = fastest_clean(former)
    at_target = clean_at_least(takes, task.target_qpm)
    change = None
    if since is not None:
        change = Change(
            since=since,
            fastest_qpm=None if fastest_then is None else fastest_then.qpm,
            more_clean=at_target - clean_at_least(former, task.target_qpm),
            more_ms=sum(take.played_ms for take in takes) - sum(take.played_ms for take in former),
        )
    return Row(
        task=task,
        fastest=fastest_clean(takes),
        working=working_tempo(takes),
        clean_at_target=at_target,
        passes=sum(len(take.clean) for take in takes),
        takes=takes,
        weakest=weakest_of(task.exercise, takes),
        change=change,
    )
