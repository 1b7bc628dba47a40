"""Twenty returned files as one table: each pupil beside each exercise.

The lines, targets and texts are those that the teacher's machine gave out; only where it never made the assignment are
those in the file used, and that is said. What a file claims is compared with what is measured, and a difference is said
in a sentence. The latest file of a pupil is shown, beside the one before it.

Two pupils of one name are told apart by the tags in their files. A take that two pupils give back is said.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from trainer.homework.answering import Answer, Question, Row, answers
from trainer.homework.assignment import Assignment
from trainer.homework.cache import Cache
from trainer.homework.measuring import MeasuredTake, figures_of
from trainer.homework.pieces import Progress
from trainer.homework.returned import Figures, Returned, moment, take_digest
from trainer.theory.naming import counted


@dataclass(frozen=True, slots=True)
class PupilRows:
    """What one pupil gave back."""

    pupil: str
    """Unique in the table."""
    returned: Returned
    rows: tuple[Row, ...]
    remarks: tuple[str, ...]
    otherwise: frozenset[str]
    """The digests of lines of which the file claims something else than was measured."""


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
    ear: str,
    show: frozenset[tuple[str, str]],
    cache: Cache,
    progress: Progress | None = None,
) -> tuple[Table, ...]:
    """The tables of all files, those of one assignment together, the newest assignment first.

    `sent_of` an identity gives the editions made here; `ear` is this program's; `show`: the identities of the
    assignments and the tags of the pupils that are told of; the other files are only compared with. `cache` holds what
    was judged before; `progress` is told how far the judging is.
    """
    groups = _by_pupil(files)
    identities = dict.fromkeys(identity for identity, _, _ in groups)
    sent = {identity: Sent(tuple(sent_of(identity))) for identity in identities}
    pupils = [
        _Pupil(sent[identity], tuple(group)) for (identity, _, tag), group in groups.items() if (identity, tag) in show
    ]
    answered = list(zip(pupils, answers([one.question for one in pupils], cache, progress), strict=True))
    owners = _owners(files)
    found = [
        _table(sent[identity], [group for key, group in groups.items() if key[0] == identity], pupils_of, owners, ear)
        for identity in identities
        if (pupils_of := [(one, answer) for one, answer in answered if one.identity == identity])
    ]
    return tuple(sorted(found, key=lambda table: table.assignment.made, reverse=True))


class _Pupil:
    """The files of one pupil on one assignment, and by what they are judged."""

    def __init__(self, sent: Sent, files: tuple[Returned, ...]) -> None:
        self.latest = files[-1]
        self.identity = self.latest.assignment.identity
        self.former = next((one for one in reversed(files) if moment(one.made) < moment(self.latest.made)), None)
        self.assignment, self.remarks = sent.for_file(self.latest)

    @property
    def question(self) -> Question:
        """What there is to judge."""
        former = self.former
        if former is None:
            return Question(self.assignment, self.latest.takes)
        return Question(self.assignment, self.latest.takes, former.made, former.takes)


def _by_pupil(files: Iterable[Returned]) -> dict[tuple[str, str, str], list[Returned]]:
    groups: dict[tuple[str, str, str], list[Returned]] = {}
    for one in sorted(files, key=lambda one: moment(one.made)):
        groups.setdefault((one.assignment.identity, one.pupil.casefold(), one.tag), []).append(one)
    return groups


def _owners(files: Iterable[Returned]) -> dict[str, set[tuple[str, str]]]:
    """By the digest of a take, the tags and names in the files that hold it."""
    owners: dict[str, set[tuple[str, str]]] = {}
    for one in files:
        for take in one.takes:
            owners.setdefault(take_digest(take), set()).add((one.tag, one.pupil))
    return owners


def _table(
    sent: Sent,
    groups: Sequence[Sequence[Returned]],
    answers: Sequence[tuple[_Pupil, Answer]],
    owners: Mapping[str, set[tuple[str, str]]],
    ear: str,
) -> Table:
    """`groups` are all the pupils' files, `answers` those of whom is told."""
    names = [group[-1].pupil.casefold() for group in groups]
    pupils: list[PupilRows] = []
    for one, told_of in answers:
        latest = one.latest
        differences = _differences(latest, told_of.rows, ear)
        is_one = names.count(latest.pupil.casefold()) == 1
        remarks = (
            *one.remarks,
            *differences.values(),
            *(f"a take does not count: it {unused.why}" for unused in told_of.unused),
            *_simulated([take for row in told_of.rows for take in row.takes]),
            *_shared(latest, owners),
        )
        name = latest.pupil if is_one else f"{latest.pupil} ({latest.tag[:4]})"
        pupils.append(PupilRows(name, latest, told_of.rows, remarks, frozenset(differences)))
    of_files = [group[-1].assignment for group in groups]
    latest_edition = max(sent.editions or of_files, key=lambda assignment: assignment.edition)
    missing = tuple(name for name in latest_edition.pupils if name.casefold() not in names)
    return Table(latest_edition, tuple(sorted(pupils, key=lambda one: one.pupil.casefold())), missing)


def _differences(returned: Returned, rows: Sequence[Row], ear: str) -> dict[str, str]:
    """Where the file claims what is not measured: by the digest of the line, a sentence."""
    claimed = {one.digest: one for one in returned.figures}
    why = "" if returned.ear == ear else f" (it was measured by another version of the program, {returned.ear})"
    found: dict[str, str] = {}
    for row in rows:
        digest = row.task.digest
        says, is_so = claimed.get(digest), figures_of(digest, row.takes)
        if says is None:
            found[digest] = f"{row.task.exercise.name}: the file claims nothing, measured {told(is_so)}"
        elif says != is_so:
            found[digest] = f"{row.task.exercise.name}: the file says {told(says)}; measured {told(is_so)}{why}"
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
