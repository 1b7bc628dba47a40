"""Readings of what was heard: immutable paths that share their pasts, and what settling does to them.

A `Step` says how one heard note is read and links to the step before it, so extending a path costs one step and paths
that agree share their past. A beam (paths, the likeliest first) can be kept and continued from again.
"""

from enum import IntEnum
from math import exp, log
from typing import NamedTuple

from trainer.following.clock import ON_THE_BEAT_NS, Clock
from trainer.following.own_pace import Trail

RIVAL = -1.0
"""What it costs a path to have been settled against: it may still turn out right, by way of a jump."""
RIVAL_MARGIN = 13.0
WIDEST_RIVALRY = 12
"""Rivals this close to the best path, and so many of them, are kept."""
HASTY = -3.0
"""What it costs a path to have taken a note long before its time when nothing follows."""
USUAL_FAULTS = 0.07
USUAL_NOTES = 20.0
USUAL_FADE = 0.97
HARDEST, EASIEST = -0.4, 1.2
"""Faults a note expected at first; how many notes that is worth; how fast the past fades; how far it bends."""
USUAL_ON_THE_BEAT = 0.4
USUAL_ENTRIES = 4.0
"""How many entries are on a beat of the click, as expected at first; how many entries that is worth."""

USUAL_WAITS = 0.2
USUAL_OVERDUE = 3.0
WAITS_FADE = 0.9
"""How many overdue notes come after all, as expected at first; how many that is worth; how fast the past fades."""


class Kind(IntEnum):
    """What a path takes a heard note for."""

    WRITTEN = 0
    EXTRA = 1
    SPURIOUS = 2
    """An extra note that is not charged to the player."""


class Step(NamedTuple):
    """How a path reads one heard note."""

    heard: int
    before: "Step | None"
    kind: Kind
    taken: int
    """The written note taken, -1 for none."""
    from_index: int
    """The last written note taken before, -1 at the start."""
    after_heard: int
    """The heard note that took it, -1 at the start."""
    deviation_ns: int | None = None
    """From the click; None at the player's own pace."""
    trail: Trail = ()
    """At the player's own pace: this note and those in order before it, from which its deviation follows."""
    missed: tuple[int, ...] = ()
    """Written notes passed over by this step."""
    jumped: bool = False
    is_wrong: bool = False
    """Another pitch or another string than written."""
    is_hasty: bool = False
    """More than half an interval before its time, by the player's own clock and by the click."""


class Path(NamedTuple):
    """One reading of all that was heard; see `trainer.following.search` for what the state means."""

    clock: Clock
    score: float = 0.0
    front: int = -1
    open: tuple[int, ...] = ()
    off_line: bool = False
    is_rival: bool = False
    """It was settled against, and jumps from the settled past."""
    is_displaced: bool = False
    """A rival that has still to jump, with the next written note."""
    last_taken: int = -1
    last_heard: int = -1
    """The written note last taken and the heard note that took it."""
    step: Step | None = None


Beam = tuple[Path, ...]
"""Paths, the likeliest first."""


class Usual:
    """How this player plays, from what was settled: faults of a faulty player surprise less.

    With the click it is also whether they go on at a beat after a restart, which then tells copies of a passage apart.
    """

    def __init__(self) -> None:
        self._notes = USUAL_NOTES
        self._faults = USUAL_NOTES * USUAL_FAULTS
        self._entries = USUAL_ENTRIES
        self._entries_on_the_beat = USUAL_ENTRIES * USUAL_ON_THE_BEAT
        self._overdue = USUAL_OVERDUE
        self._waits = USUAL_OVERDUE * USUAL_WAITS

    def count(self, step: Step, *, was_overdue: bool = False) -> None:
        """Let one settled step count; `was_overdue` if the written note that came next was overdue when it came."""
        faults = len(step.missed) + (step.kind is Kind.EXTRA) + _fills_in(step) + step.is_wrong
        self._notes = self._notes * USUAL_FADE + 1
        self._faults = self._faults * USUAL_FADE + faults
        if step.jumped and step.deviation_ns is not None:
            self._entries += 1
            self._entries_on_the_beat += abs(step.deviation_ns) <= 2 * ON_THE_BEAT_NS
        if was_overdue:
            self._overdue = self._overdue * WAITS_FADE + 1
            self._waits = self._waits * WAITS_FADE + (step.taken == step.from_index + 1)

    @property
    def waits(self) -> float:
        """The share of overdue notes that came after all."""
        return self._waits / self._overdue

    @property
    def on_the_beat(self) -> float:
        """The share of entries that are on a beat of the click."""
        return self._entries_on_the_beat / self._entries

    @property
    def ease(self) -> float:
        """What is added to the logarithm of a fault's likelihood."""
        return min(max(log(self._faults / self._notes / USUAL_FAULTS), HARDEST), EASIEST)


def likelihood(beam: Beam, reading: Step) -> float:
    """How likely it is, among the paths of a beam, that a heard note is what `reading` takes it for."""
    agreeing = whole = 0.0
    for path in beam:
        weight = exp(path.score - beam[0].score)
        whole += weight
        step = path.step
        while step is not None and step.heard != reading.heard:
            step = step.before
        if step is not None and (step.taken, step.kind) == (reading.taken, reading.kind):
            agreeing += weight
    return agreeing / whole


def unwritten(path: Path, heard: int, kind: Kind) -> Step:
    """A step that takes no written note."""
    return Step(heard, path.step, kind, -1, path.last_taken, path.last_heard)


def without(beam: Beam, heard: int) -> Beam:
    """The paths after a heard note that is known to be a slip of the pickup or a fret passed on the way."""
    return tuple(path._replace(step=unwritten(path, heard, Kind.SPURIOUS)) for path in beam)


def unhurried(beam: Beam, heard: int) -> Beam:
    """The paths once nothing has followed the heard note for long: who really hurried would have gone on by now."""
    held = (
        path._replace(score=path.score + HASTY)
        if path.step is not None and path.step.heard == heard and path.step.is_hasty
        else path
        for path in beam
    )
    return tuple(sorted(held, key=lambda path: path.score, reverse=True))


def joined(beam: Beam, more: Beam) -> Beam:
    """Both beams as one; of paths in the same state the likelier one."""
    best: dict[tuple[int, tuple[int, ...], int, bool], Path] = {}
    for path in sorted((*beam, *more), key=lambda path: path.score, reverse=True):
        taken = -1 if path.step is None else path.step.taken
        best.setdefault((path.front, path.open, taken, path.off_line), path)
    return tuple(best.values())


def settle(beam: Beam, decided: Step) -> Beam:
    """The paths after one more step was settled; those that read it otherwise go on as rivals, at a cost.

    A rival takes over the settled past and jumps from there to where it was, so that what was settled stands even if
    the rival turns out to be right in the end, as happens among copies of one passage.
    """
    kept: list[Path] = []
    rivals = 0
    best = beam[0].score
    for path in beam:
        later: list[Step] = []
        step = path.step
        while step is not None and step.heard != decided.heard:
            later.append(step)
            step = step.before
        if step is decided:
            kept.append(path._replace(is_rival=False) if path.is_rival else path)
        elif (
            step is not None
            and (step.kind, step.taken) == (decided.kind, decided.taken)
            and not (step.jumped and _fills_in(decided))
            and _agrees(path, decided, later)
        ):
            kept.append(path)
        elif rivals < WIDEST_RIVALRY and path.score >= best - RIVAL_MARGIN:
            rival = _rerooted(path, decided, later[::-1])
            if not (rival.is_displaced and rival.off_line):
                rivals += 1
                kept.append(rival)
    kept.sort(key=lambda path: path.score, reverse=True)
    return tuple(kept)


def _fills_in(step: Step) -> bool:
    """Whether a step took a note behind the front: the second of two that came the wrong way round, or of a chord."""
    return 0 <= step.taken < step.from_index and not step.jumped


def _agrees(path: Path, decided: Step, later: list[Step]) -> bool:
    """Whether a path, with the steps since then from the last one back, lets what `decided` missed stay missed."""
    for step in reversed(later if decided.missed else []):
        if step.jumped:
            return True
        if step.taken in decided.missed:
            return False
    return not any(index in decided.missed for index in path.open)


def _rerooted(path: Path, decided: Step, later: list[Step]) -> Path:
    """A path that reads the `later` steps as it did but has the settled past."""
    is_written = decided.kind is Kind.WRITTEN
    last_taken = decided.taken if is_written and not _fills_in(decided) else decided.from_index
    last_heard = decided.heard if is_written else decided.after_heard
    before = decided
    is_back = False
    for step in later:
        if is_back:
            before = step._replace(before=before)
            continue
        before = step._replace(before=before, from_index=last_taken, after_heard=last_heard, missed=())
        if step.kind is Kind.WRITTEN:
            before = before._replace(jumped=step.taken != last_taken + 1)
            is_back = True
    score = path.score if path.is_rival else path.score + RIVAL
    rival = path._replace(score=score, step=before, is_rival=True, is_displaced=not is_back)
    return rival if is_back else rival._replace(last_taken=last_taken, last_heard=last_heard)
