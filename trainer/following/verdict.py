"""What the follower says.

A verdict is said at once, or where that would be a guess with the next note, and settled a little later. While
`settled` is false it may be revised: a later verdict about the same heard note replaces it. A written note can be
attempted several times (restarts, repeats): each verdict belongs to one attempt, and the latest attempt is what counts
for the written note. `trainer.following.ledger` folds the stream.

Deviation = played - due, in ns, negative = early; None where nothing is due (free pace measures evenness instead).
"""

from dataclasses import dataclass
from enum import StrEnum

from trainer.theory.technique import Technique


class Pace(StrEnum):
    """Whose time counts."""

    CLICK = "click"
    """Written time runs with the click."""
    FREE = "free"
    """The player's own pace."""


class Slip(StrEnum):
    """What was wrong about a note that was played instead of the written one."""

    PITCH = "wrong-pitch"
    STRING = "wrong-string"


@dataclass(frozen=True, slots=True)
class Match:
    """Heard note `heard` is written note `index`."""

    heard: int
    index: int
    onset_ns: int
    deviation_ns: int | None
    settled: bool


@dataclass(frozen=True, slots=True)
class WrongNote:
    """Heard note `heard` was played in the place of written note `index`."""

    heard: int
    index: int
    slip: Slip
    onset_ns: int
    deviation_ns: int | None
    settled: bool


@dataclass(frozen=True, slots=True)
class Extra:
    """Heard note `heard` belongs to no written note. `charged` is false for slips of the pickup and passed frets."""

    heard: int
    onset_ns: int
    charged: bool
    settled: bool


@dataclass(frozen=True, slots=True)
class Missed:
    """Written note `index` was not played in this attempt."""

    index: int
    after_heard: int
    """The last heard note before the gap, -1 at the start: places the miss among the attempts."""
    known_ns: int
    settled: bool


@dataclass(frozen=True, slots=True)
class Awaited:
    """An earlier `Missed(index, after_heard)` is taken back: the note is open again."""

    index: int
    after_heard: int
    known_ns: int


@dataclass(frozen=True, slots=True)
class Jump:
    """The player went on from another place: restart, repeat or skip. Sent once, when it is certain."""

    heard: int
    """First heard note after it."""
    from_index: int
    """Last written note played before it, -1 if none."""
    to_index: int


class TechniqueResult(StrEnum):
    """How the technique heard relates to the one written."""

    AS_WRITTEN = "as-written"
    OTHERWISE = "otherwise"
    NOT_MEASURABLE = "not-measurable"


@dataclass(frozen=True, slots=True)
class TechniqueVerdict:
    """The second verdict on a matched note: how it was begun."""

    heard: int
    index: int
    written: Technique
    played: Technique | None
    """What the stream tells; None: not measurable."""
    result: TechniqueResult

    @property
    def judged(self) -> Technique | None:
        """How the note is taken to have been begun: as told, or as written where the stream leaves that open."""
        return self.written if self.result is TechniqueResult.AS_WRITTEN else self.played


HeardVerdict = Match | WrongNote | Extra
Verdict = Match | WrongNote | Extra | Missed | Awaited | Jump | TechniqueVerdict
