"""Twenty returned files as one table: each pupil beside each exercise.

The lines, targets and texts are those that the teacher's machine gave out; only where it never made the assignment are
those in the file used, and that is said. What a file claims is compared with what is measured, and a difference is said
in a sentence. The latest file of a pupil is shown, beside the one before it.

Two pupils of one name are told apart by the tags in their files. A take that two pupils give back is said.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
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
    figures_of,
    working_tempo,
)
from trainer.homework.returned import Figures, Returned, take_digest
from trainer.homework.weakest import Weakest, weakest_of
from trainer.homework.wording import counted

Measuring = Mapping[tuple[str, str], MeasuredTake | Unused]
"""What takes came to, by assignment content and take digest."""


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
class PupilRows:
    """What one pupil gave back."""

    pupil: str
    """Unique in the table."""
    returned: Returned
    rows: tuple[Row, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """One assignment and all that came back of it."""

    assignment: Assignment
    """In its latest edition."""
    pupils: tuple[PupilRows, ...]
    missing: tuple[str, ...]
    """Whom it was for and who has given nothing back."""


@dataclass(frozen=True, slots=True)
class Sent:
    """By what returned files of one assignment are judged."""

    editions: tuple[Assignment, ...]
    """As made here, the oldest first; empty: it was made elsewhere."""

    def for_file(self, returned: Returned) -> tuple[Assignment, tuple[str, ...]]:
        """The edition that a file is an answer to, and what is to be said about that."""
        told = returned.assignment
        same = [one for one in self.editions if one.edition == told.edition]
        if not self.editions:
            return told, ("this homework was not made on this machine: the exercises are taken from the file",)
        if not same:
            return self.editions[-1], (f"the file is of edition {told.edition}, which was never made here",)
        if same[0].content != told.content:
            return same[0], ("the homework in the file is not what was given out; the takes are judged by that",)
        if told.edition < self.editions[-1].edition:
            return same[0], (f"answers edition {told.edition}, the latest is {self.editions[-1].edition}",)
        return same[0], ()


def tables(
    files: Sequence[Returned],
    sent_of: Callable[[str], Sequence[Assignment]],
    measure: Callable[[Iterable[tuple[Assignment, bytes]]], Measuring],
    ear: str,
    show: frozenset[tuple[str, str]] | None = None,
) -> tuple[Table, ...]:
    """The tables of all files, those of one assignment together, the newest assignment first.

    `sent_of` an identity gives the editions made here; `ear` is this program's; `show`: only pupils of whom a file
    with these (identity, tag) is among the new ones.
    """
    by_identity: dict[str, list[Returned]] = {}
    for one in files:
        by_identity.setdefault(one.assignment.identity, []).append(one)
    sent = {identity: Sent(tuple(sent_of(identity))) for identity in by_identity}
    measuring = measure(
        (sent[one.assignment.identity].for_file(one)[0], take) for one in _shown(files) for take in one.takes
    )
    found = [_table(sent[identity], of_one, measuring, ear, show) for identity, of_one in by_identity.items()]
    return tuple(sorted(found, key=lambda table: table.assignment.made, reverse=True))


def _shown(files: Iterable[Returned]) -> list[Returned]:
    """The files that are shown or compared with: of each pupil the last two."""
    return [one for group in _by_pupil(files).values() for one in group[-2:]]


def _by_pupil(files: Iterable[Returned]) -> dict[tuple[str, str, str], list[Returned]]:
    groups: dict[tuple[str, str, str], list[Returned]] = {}
    for one in sorted(files, key=lambda one: one.made):
        groups.setdefault((one.assignment.identity, one.pupil.casefold(), one.tag), []).append(one)
    return groups


def _table(
    sent: Sent,
    files: Sequence[Returned],
    measuring: Measuring,
    ear: str,
    show: frozenset[tuple[str, str]] | None,
) -> Table:
    groups = _by_pupil(files)
    names = [pupil for _, pupil, _ in groups]
    owners = _owners(groups.values())
    pupils: list[PupilRows] = []
    for (identity, folded, tag), group in groups.items():
        if show is None or (identity, tag) in show:
            name = group[-1].pupil if names.count(folded) == 1 else f"{group[-1].pupil} ({tag[:4]})"
            pupils.append(_pupil_rows(name, group, sent, measuring, ear, owners))
    latest = sent.editions[-1] if sent.editions else max((one.assignment for one in files), key=lambda a: a.edition)
    missing = tuple(name for name in latest.pupils if name.casefold() not in names)
    return Table(latest, tuple(sorted(pupils, key=lambda one: one.pupil.casefold())), missing)


def _owners(groups: Iterable[Sequence[Returned]]) -> dict[str, set[tuple[str, str]]]:
    owners: dict[str, set[tuple[str, str]]] = {}
    for group in groups:
        for one in group:
            for take in one.takes:
                owners.setdefault(take_digest(take), set()).add((one.tag, one.pupil))
    return owners


def _pupil_rows(
    name: str,
    group: Sequence[Returned],
    sent: Sent,
    measuring: Measuring,
    ear: str,
    owners: Mapping[str, set[tuple[str, str]]],
) -> PupilRows:
    latest = group[-1]
    former = next((one for one in reversed(group[:-1]) if one.made < latest.made), None)
    assignment, remarks = sent.for_file(latest)
    found = _measured(latest, sent, measuring)
    unused = [one for one in found if isinstance(one, Unused)]
    takes = [one for one in found if isinstance(one, MeasuredTake)]
    former_takes = [] if former is None else _measured(former, sent, measuring)
    rows = tuple(
        _row(
            task,
            [take for take in takes if take.line == task.digest],
            None if former is None else former.made,
            [take for take in former_takes if isinstance(take, MeasuredTake) and take.line == task.digest],
        )
        for task in assignment.tasks
    )
    all_remarks = (
        *remarks,
        *_differences(latest, rows, ear),
        *(f"a take does not count: it {one.why}" for one in unused),
        *_simulated(takes),
        *_shared(latest, owners),
    )
    return PupilRows(name, latest, rows, all_remarks)


def _measured(one: Returned, sent: Sent, measuring: Measuring) -> list[MeasuredTake | Unused]:
    assignment, _ = sent.for_file(one)
    return [measuring[assignment.content, take_digest(take)] for take in one.takes]


def _row(task: Task, takes: list[MeasuredTake], since: str | None, former: list[MeasuredTake]) -> Row:
    takes = sorted(takes, key=lambda take: take.date)
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
        takes=tuple(takes),
        weakest=weakest_of(task.exercise, takes),
        change=change,
    )


def _differences(returned: Returned, rows: Sequence[Row], ear: str) -> list[str]:
    """Where the file claims what is not measured."""
    claimed = {one.digest: one for one in returned.figures}
    why = "" if returned.ear == ear else f" (it was measured by another version of the program, {returned.ear})"
    found: list[str] = []
    for row in rows:
        says, is_so = claimed.get(row.task.digest), figures_of(row.task.digest, row.takes)
        if says is None:
            found.append(f"{row.task.exercise.name}: the file claims nothing, measured {told(is_so)}")
        elif says != is_so:
            found.append(f"{row.task.exercise.name}: the file says {told(says)}; measured {told(is_so)}{why}")
    return found


def told(figures: Figures) -> str:
    """Figures in words."""
    fastest = figures.fastest_clean_qpm
    at = "no pass clean" if fastest is None else f"clean up to {float(fastest):g}"
    return f"{at}, {figures.clean} of {counted(figures.passes, 'pass')} clean, {figures.played_ms / 60_000:.1f} min"


def _simulated(takes: Sequence[MeasuredTake]) -> list[str]:
    count = sum(take.is_simulated for take in takes)
    return [f"of {counted(len(takes), 'take')}, {count} by the simulated player"] if count else []


def _shared(returned: Returned, owners: Mapping[str, set[tuple[str, str]]]) -> list[str]:
    others: dict[str, int] = {}
    for take in returned.takes:
        for tag, pupil in owners[take_digest(take)]:
            if tag != returned.tag:
                others[pupil] = others.get(pupil, 0) + 1
    return [
        f"{counted(count, 'take')} the very same as in the file of {pupil}" for pupil, count in sorted(others.items())
    ]
