"""What a pupil gives back: the takes as they were recorded, and what was measured in them there and then.

The assignment goes back too, as it was opened, so that the file can be read on a machine that did not make it. Of the
pupil it holds a name, chosen by the pupil, a tag that tells two pupils of one name apart and says nothing else, takes
of the assigned lines and what was noted about these: nothing else that was played or written.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction
from typing import Annotated

from pydantic import Field

from trainer.homework.assignment import (
    LONGEST_NAME,
    LONGEST_NOTE,
    MOST_TASKS,
    VERSION,
    Assignment,
    Digest,
    Long,
    Moment,
    Tempi,
    Told,
    assignment_of,
    parsed,
)
from trainer.homework.container import ASSIGNMENT, MOST_TAKES, RETURN, packed, take_name, unpacked
from trainer.homework.errors import HomeworkError
from trainer.homework.wording import shown

ENDING = ".walkdone"
_KIND = "boxwalk_return"


@dataclass(frozen=True, slots=True)
class Figures:
    """What a file claims of one line, and what is measured again."""

    digest: str
    passes: int
    clean: int
    fastest_clean_qpm: Fraction | None
    played_ms: int


@dataclass(frozen=True, slots=True)
class Returned:
    """One returned file."""

    assignment: Assignment
    assignment_text: bytes
    """As it was opened."""
    pupil: str
    tag: str
    made: str
    """ISO 8601."""
    ear: str
    """Of the program that measured: its version and the fingerprint of the code that judges."""
    figures: tuple[Figures, ...]
    takes: tuple[bytes, ...]
    notes: Mapping[str, str] = field(default_factory=dict)
    """What was noted about a take, by its digest."""


def take_digest(data: bytes) -> str:
    """By which a take is known again."""
    return hashlib.sha256(data).hexdigest()


def moment(text: str) -> float:
    """When that was, in seconds, for comparing; what is no moment was before all others."""
    try:
        return datetime.fromisoformat(text).astimezone().timestamp()
    except (ValueError, OverflowError, OSError):
        return float("-inf")


def returned_bytes(returned: Returned) -> bytes:
    """The file; `HomeworkError` when it is more than a file may hold."""
    told = {
        _KIND: VERSION,
        "pupil": returned.pupil,
        "tag": returned.tag,
        "made": returned.made,
        "ear": returned.ear,
        "figures": [
            {
                "digest": one.digest,
                "passes": one.passes,
                "clean": one.clean,
                "fastest": None if one.fastest_clean_qpm is None else str(one.fastest_clean_qpm),
                "played_ms": one.played_ms,
            }
            for one in returned.figures
        ],
        "takes": [take_digest(take) for take in returned.takes],
        **({"notes": dict(returned.notes)} if returned.notes else {}),  # programs from before notes read the others
    }
    members = {ASSIGNMENT: returned.assignment_text, RETURN: json.dumps(told, ensure_ascii=False, indent=1).encode()}
    return packed(members | {take_name(number): take for number, take in enumerate(returned.takes, start=1)})


def returned_in(data: bytes) -> Returned:
    """What a returned file holds; `HomeworkError` when it cannot be used."""
    members = unpacked(data)
    if RETURN not in members:
        raise HomeworkError(
            "is homework as it was given out, not as it was given back"
            if ASSIGNMENT in members
            else "holds no homework"
        )
    if ASSIGNMENT not in members:
        raise HomeworkError("does not say what the homework was")
    told = parsed(_Told, members[RETURN], _KIND)
    pupil = shown(told.pupil, LONGEST_NAME)
    if not pupil:
        raise HomeworkError("does not say who gives it back")
    names = [take_name(number) for number in range(1, len(told.takes) + 1)]
    if set(names) != set(members) - {ASSIGNMENT, RETURN}:
        raise HomeworkError("does not hold the takes that it lists")
    takes = tuple(members[name] for name in names)
    for number, (take, digest) in enumerate(zip(takes, told.takes, strict=True), start=1):
        if take_digest(take) != digest:
            raise HomeworkError(f"take {number} is not as it was recorded: someone has changed it")
    return Returned(
        assignment=assignment_of(members[ASSIGNMENT]),
        assignment_text=members[ASSIGNMENT],
        pupil=pupil,
        tag=told.tag,
        made=told.made,
        ear=shown(told.ear, 100),
        figures=tuple(
            Figures(
                one.digest,
                one.passes,
                one.clean,
                None if one.fastest is None else Fraction(one.fastest),
                one.played_ms,
            )
            for one in told.figures
        ),
        takes=tuple(dict.fromkeys(takes)),
        notes={digest: words for digest in told.takes if (words := shown(told.notes.get(digest, ""), LONGEST_NOTE))},
    )


class _ToldFigures(Told):
    digest: Digest
    passes: Annotated[int, Field(ge=0, le=10**9)]
    clean: Annotated[int, Field(ge=0, le=10**9)]
    fastest: Tempi | None
    played_ms: Annotated[int, Field(ge=0, le=10**12)]


class _Told(Told):
    pupil: Long
    tag: Annotated[str, Field(pattern=r"^[0-9a-f]{8}$")]
    made: Moment
    ear: Long
    figures: Annotated[list[_ToldFigures], Field(max_length=MOST_TASKS)]
    takes: Annotated[list[Digest], Field(max_length=MOST_TAKES)]
    notes: Annotated[dict[Digest, Long], Field(max_length=MOST_TAKES)] = Field(default_factory=dict)
