"""What an ear says of a take, as the history keeps it, and back to the verdicts.

`judged` reads a session that has been played through; `session_over` plays a kept take through again, to the very
moment at which the player stopped, so that it says what was said live; `heard_over` is both.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from itertools import islice, zip_longest
from pathlib import Path
from typing import Any, Literal

import trainer
from trainer.following.assessment import hit_window_ns
from trainer.following.ledger import Attempt, Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import (
    Extra,
    Jump,
    Match,
    Missed,
    Slip,
    TechniqueResult,
    TechniqueVerdict,
    Verdict,
    WrongNote,
)
from trainer.history import letters
from trainer.history.packing import EXTRA, JUMP, NO_DEVIATION, NOTE, packed
from trainer.judging import Asked, session_for
from trainer.playing.take import Take, TakeHeader
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict, exercise_to_dict
from trainer.session import Session
from trainer.theory.technique import Technique

_SLIPS = {letters.PITCH: Slip.PITCH, letters.STRING: Slip.STRING}
_LETTER_OF_SLIP = {slip: letter for letter, slip in _SLIPS.items()}
EAR = ("playing", "following", "theory", "score", "session.py")
"""What verdicts depend on."""


@dataclass(frozen=True, slots=True)
class Ear:
    """Whatever settles verdicts."""

    program: str
    fingerprint: str
    """Of the code that judges: changes whenever that does, between two versions too."""
    tolerance: str
    """The limits, as JSON."""


@dataclass(frozen=True, slots=True)
class JudgedPass:
    """What was said of the notes of one pass, a letter each (see `letters`)."""

    number: int
    outcomes: str
    techniques: str


@dataclass(frozen=True, slots=True)
class JudgedTake:
    """All that one ear said of one take."""

    ear: Ear
    passes: tuple[JudgedPass, ...]
    """Those of which any note was reached, and those before them."""
    notes: bytes
    extras: bytes
    jumps: bytes
    earlier: str
    """Attempts that a later one replaced, and techniques of notes that stand no more, as JSON."""


@dataclass(frozen=True, slots=True)
class Changed:
    """How one ear's verdicts on a take differ from another's."""

    outcomes: Mapping[str, int]
    """Former letter and new letter, e.g. `x.`, and of how many notes."""
    techniques: Mapping[str, int]
    moved: int
    """Notes matched by both of which the onset or the deviation is another now."""


def changed(former: JudgedTake, now: JudgedTake) -> Changed:
    """What a second ear says otherwise; a note that one of them never came to is open for it."""
    pairs = zip_longest(_joined(former, "outcomes"), _joined(now, "outcomes"), fillvalue=letters.OPEN)
    told = zip_longest(_joined(former, "techniques"), _joined(now, "techniques"), fillvalue=letters.UNSAID)
    outcomes = list(pairs)
    notes = zip(NOTE.iter_unpack(former.notes), NOTE.iter_unpack(now.notes), strict=False)
    return Changed(
        dict(Counter(before + after for before, after in outcomes if before != after)),
        dict(Counter(before + after for before, after in told if before != after)),
        sum(
            before[1:] != after[1:] and pair[0] in letters.MATCHED and pair[1] in letters.MATCHED
            for pair, (before, after) in zip(outcomes, notes, strict=False)
        ),
    )


def _joined(take: JudgedTake, words: Literal["outcomes", "techniques"]) -> str:
    return "".join(one.outcomes if words == "outcomes" else one.techniques for one in take.passes)


def exercise_text(exercise: Exercise) -> str:
    """The exact serial form of a line, by which the history knows it."""
    return json.dumps(exercise_to_dict(exercise), sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def exercise_hash(exercise: Exercise) -> str:
    """The address of a line in the history: SHA-256 of its serial form."""
    return hashlib.sha256(exercise_text(exercise).encode()).hexdigest()


def ear_fingerprint() -> str:
    """A short digest of the code that judges."""
    return code_fingerprint(EAR)


@lru_cache(maxsize=4)
def code_fingerprint(places: tuple[str, ...]) -> str:
    """A short digest of the code in these folders and files of the program."""
    root = Path(trainer.__file__).parent
    digest = hashlib.sha256()
    for place in places:
        path = root / place
        for source in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            if source.is_file():
                digest.update(str(source.relative_to(root)).encode() + b"\0" + source.read_bytes())
    return digest.hexdigest()[:16]


def ear_of(tolerance: Tolerance) -> Ear:
    """Today's ear with these limits."""
    return Ear(f"boxwalk {trainer.__version__}", ear_fingerprint(), json.dumps(asdict(tolerance), sort_keys=True))


def heard_over(take: Take, header: TakeHeader, *, tolerance: Tolerance | None = None) -> JudgedTake:
    """What today's ear says of a take, by its own limits or others; nothing of a phrase that no line was given for.

    Errors as of `session_over`.
    """
    if not exercise_from_dict(header.exercise).notes:
        return JudgedTake(ear_of(tolerance or Tolerance()), (), b"", b"", b"", "[]")
    return judged(session_over(take, header, tolerance=tolerance))


def session_over(take: Take, header: TakeHeader, *, tolerance: Tolerance | None = None) -> Session:
    """A kept take, played through as it was, by its own limits or others.

    `ExerciseError` or `JudgingError` when the line or the limits in it cannot be read.
    """
    exercise = exercise_from_dict(header.exercise)
    limits = header.tolerance if tolerance is None else asdict(tolerance)
    # The header's line is the stretch that was played, if it was one: nothing is to be cut out of it again.
    as_played = replace(header, first_note=None, last_note=None, tolerance=limits)
    session = session_for(exercise, as_played, Asked())
    for message in take.messages:
        session.feed(message)
    last_ns = take.messages[-1].stamp_ns if take.messages else 0
    session.stop(max(last_ns, take.ends_at_ns))
    return session


def judged(session: Session) -> JudgedTake:
    """What a session said that has come to its end."""
    ledger = session.ledger
    count = len(session.exercise.notes)
    attempts = [ledger.of_written(index) for index in range(count)]
    reached = max((index for index, attempt in enumerate(attempts) if attempt is not None), default=-1)
    of_passes = range(0, reached + 1, session.pass_length)
    outcomes, techniques = _letters(session, attempts), _technique_letters(session)
    end = min(count, len(of_passes) * session.pass_length)
    extras = [verdict for verdict in ledger.heard if isinstance(verdict, Extra)]
    return JudgedTake(
        ear=ear_of(session.tolerance),
        passes=tuple(
            JudgedPass(
                number,
                outcomes[first : first + session.pass_length],
                techniques[first : first + session.pass_length],
            )
            for number, first in enumerate(of_passes)
        ),
        notes=packed(NOTE, (_note(attempt) for attempt in attempts[:end])),
        extras=packed(EXTRA, ((extra.heard, extra.onset_ns, extra.charged) for extra in extras)),
        jumps=packed(JUMP, ((jump.heard, jump.from_index, jump.to_index) for jump in ledger.jumps)),
        earlier=json.dumps(list(_earlier(session, attempts)), separators=(",", ":")),
    )


def ledger_of(take: JudgedTake, line: Exercise) -> Ledger:
    """The fold of the verdicts that were settled, by the line as often as it was asked for."""
    ledger = Ledger()
    for verdict in _verdicts(take, line):
        ledger.fold(verdict)
    return ledger


def _letters(session: Session, attempts: list[Attempt | None]) -> str:
    due_ns = [session.due_ns(index) for index in range(len(attempts))]
    return "".join(_letter(session, due_ns, index, attempt) for index, attempt in enumerate(attempts))


def _letter(session: Session, due_ns: list[int], index: int, attempt: Attempt | None) -> str:
    match attempt:
        case Match(deviation_ns=None):
            return letters.WITHIN
        case Match(deviation_ns=int(deviation_ns)):
            if abs(deviation_ns) <= hit_window_ns(due_ns, index, session.tolerance):
                return letters.WITHIN
            return letters.EARLY if deviation_ns < 0 else letters.LATE
        case WrongNote(slip=slip):
            return _LETTER_OF_SLIP[slip]
        case Missed():
            return letters.MISSED
        case _:
            return letters.OPEN


def _technique_letters(session: Session) -> str:
    told = (session.ledger.technique_of(index) for index in range(len(session.exercise.notes)))
    return "".join(
        letters.UNSAID if verdict is None else letters.TECHNIQUE_LETTERS[verdict.result, verdict.played]
        for verdict in told
    )


def _note(attempt: Attempt | None) -> tuple[int, int, int]:
    match attempt:
        case None:
            return 0, 0, NO_DEVIATION
        case Missed():
            return attempt.after_heard, attempt.known_ns, NO_DEVIATION
        case _:
            deviation_ns = NO_DEVIATION if attempt.deviation_ns is None else attempt.deviation_ns
            return attempt.heard, attempt.onset_ns, deviation_ns


def _earlier(session: Session, latest: list[Attempt | None]) -> Iterator[list[Any]]:
    """What the letters and the notes leave out."""
    for index, standing in enumerate(latest):
        for attempt in session.ledger.attempts(index):
            if attempt is standing:
                continue
            match attempt:
                case Match(heard=heard, onset_ns=onset_ns, deviation_ns=deviation_ns):
                    yield ["match", heard, index, onset_ns, deviation_ns]
                case WrongNote(heard=heard, slip=slip, onset_ns=onset_ns, deviation_ns=deviation_ns):
                    yield ["wrong", heard, index, slip.value, onset_ns, deviation_ns]
                case Missed(after_heard=after_heard, known_ns=known_ns):
                    yield ["missed", index, after_heard, known_ns]
    for verdict in session.ledger.techniques:
        if session.ledger.technique_of(verdict.index) is not verdict:
            yield ["technique", verdict.heard, verdict.index, letters.TECHNIQUE_LETTERS[verdict.result, verdict.played]]


def _verdicts(take: JudgedTake, line: Exercise) -> Iterator[Verdict]:
    for heard, onset_ns, charged in EXTRA.iter_unpack(take.extras):
        yield Extra(heard, onset_ns, charged=charged, settled=True)
    for record in JUMP.iter_unpack(take.jumps):
        yield Jump(*record)
    for entry in json.loads(take.earlier):
        yield _earlier_verdict(entry, line)
    notes = NOTE.iter_unpack(take.notes)
    index = 0
    for one in take.passes:
        rows = zip(one.outcomes, one.techniques, islice(notes, len(one.outcomes)), strict=True)
        for outcome, technique, (heard, at_ns, deviation_ns) in rows:
            deviation = None if deviation_ns == NO_DEVIATION else deviation_ns
            if outcome in letters.MATCHED:
                yield Match(heard, index, at_ns, deviation, settled=True)
            elif outcome in letters.WRONG:
                yield WrongNote(heard, index, _SLIPS[outcome], at_ns, deviation, settled=True)
            elif outcome == letters.MISSED:
                yield Missed(index, heard, at_ns, settled=True)
            if technique != letters.UNSAID:
                yield _technique(heard, index, technique, line)
            index += 1


def _earlier_verdict(entry: list[Any], line: Exercise) -> Verdict:
    match entry:
        case ["match", heard, index, onset_ns, deviation_ns]:
            return Match(heard, index, onset_ns, deviation_ns, settled=True)
        case ["wrong", heard, index, slip, onset_ns, deviation_ns]:
            return WrongNote(heard, index, Slip(slip), onset_ns, deviation_ns, settled=True)
        case ["missed", index, after_heard, known_ns]:
            return Missed(index, after_heard, known_ns, settled=True)
        case ["technique", heard, index, letter]:
            return _technique(heard, index, letter, line)
    raise ValueError(f"an earlier verdict {entry!r}: of no kind that is known")


def _technique(heard: int, index: int, letter: str, line: Exercise) -> TechniqueVerdict:
    told: tuple[TechniqueResult, Technique | None] = letters.TECHNIQUES_BY_LETTER[letter]
    return TechniqueVerdict(heard, index, line.notes[index].technique, told[1], told[0])
