"""Judging a take: the session is fed event by event and its verdicts are written down as JSON.

The form of the result is `shared/judgement.schema.json`; times are ms from the start of the take, after latency
compensation. A live run without a window writes the same form, so what was said live can be compared with what is said
of the saved take.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Extra, HeardVerdict, Match, Missed, Pace, WrongNote
from trainer.playing.messages import NoteOnset, StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.profiles import profile_named
from trainer.playing.take import MOST_WRITTEN, Take, TakeHeader
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.session import Session
from trainer.shipped import SHARED
from trainer.tablature.explained import sentences
from trainer.theory.technique import Technique

NS_PER_MS = 1_000_000
NS_PER_SECOND = 1_000_000_000
LONGEST_START_SECONDS = 86_400.0
SCHEMA_PATH: Path = SHARED / "judgement.schema.json"


class JudgingError(ValueError):
    """Why a take cannot be judged as asked, in one line for the user."""


@dataclass(frozen=True, slots=True)
class Asked:
    """How a take is to be judged; None: as the take says, or else the default."""

    pace: str | None = None
    """`click` or `free`; default click."""
    tempo_qpm: float | None = None
    """Quarters a minute; default the exercise's."""
    starts_at_seconds: float | None = None
    """When written quarter 0 falls in the take; default 0."""
    pickup: str | None = None
    """Name of a pickup profile; default channel k = string k."""


def judge_take(exercise: Exercise, take: Take, asked: Asked) -> dict[str, Any]:
    """The judgement of a take of one exercise; `JudgingError` when it cannot be had as asked."""
    return judgement(play_through(session_for(exercise, take.header, asked), take.messages))


def explain_take(exercise: Exercise, take: Take, asked: Asked, index: int) -> tuple[str, ...]:
    """Why one written note of a take got its verdict, in sentences; `JudgingError` when there is no such note."""
    session = session_for(exercise, take.header, asked, keeps_account=True)
    last = len(session.exercise.notes) - 1
    if not 0 <= index <= last:
        raise JudgingError(f"note {index}: expected 0 to {last}, the notes of {exercise.name!r}")
    return sentences(play_through(session, take.messages).explained(index), exercise.tuning)


def session_for(
    exercise: Exercise, header: TakeHeader | None, asked: Asked, *, keeps_account: bool = False, passes: int = 1
) -> Session:
    """A session that will judge a take as it was played, but for what is asked otherwise.

    `passes` is how often the line is in a take that does not say so itself.
    """
    profile = PickupProfile() if asked.pickup is None else pickup_named(asked.pickup)
    line, pace, tempo, starts_at_ns, tolerance = exercise, Pace.CLICK, exercise.tempo, 0, Tolerance()
    if header is not None:
        pace, tempo, starts_at_ns = Pace(header.pace), tempo_of(header.quarters_per_minute), header.starts_at_ns
        profile = header.profile if asked.pickup is None else profile
        tolerance = _tolerance(header)
        line, passes = _stretch(exercise, header), header.passes
    if passes * len(line.notes) > MOST_WRITTEN:
        raise JudgingError(f"{passes} passes of {len(line.notes)} notes: expected at most {MOST_WRITTEN} notes in all")
    return Session(
        line.repeated(passes),
        pace=pace if asked.pace is None else _pace(asked.pace),
        tempo=tempo if asked.tempo_qpm is None else tempo_of(asked.tempo_qpm),
        starts_at_ns=starts_at_ns if asked.starts_at_seconds is None else _start_ns(asked.starts_at_seconds),
        profile=profile,
        tolerance=tolerance,
        pass_length=len(line.notes),
        keeps_account=keeps_account,
    )


def _stretch(exercise: Exercise, header: TakeHeader) -> Exercise:
    if header.first_note is None or header.last_note is None:
        return exercise
    if header.exercise_name != exercise.name:
        raise JudgingError(f"the take is of a stretch of {header.exercise_name!r}, not of {exercise.name!r}")
    passes = header.last_note // len(exercise.notes) + 1
    if passes * len(exercise.notes) > 2 * MOST_WRITTEN:
        raise JudgingError(f"the take's stretch of {header.exercise_name!r} lies too far on: note {header.last_note}")
    try:
        return exercise.repeated(passes).excerpt(header.first_note, header.last_note)
    except ValueError as error:
        raise JudgingError(f"the take's stretch of {header.exercise_name!r} is not in it: {error}") from error


def _tolerance(header: TakeHeader) -> Tolerance:
    try:
        return Tolerance(**header.tolerance)  # type: ignore[arg-type]  # the reader has checked that they are numbers
    except TypeError as error:
        raise JudgingError(f"the take's tolerance is not of this program: {error}") from error


def pickup_named(name: str) -> PickupProfile:
    """The pickup profile called `name`; `JudgingError` with the nearest names when there is none."""
    try:
        return profile_named(name)
    except ValueError as error:
        raise JudgingError(str(error)) from error


def _pace(word: str) -> Pace:
    try:
        return Pace(word)
    except ValueError:
        raise JudgingError(f"pace {word!r}: expected 'click' or 'free'") from None


def tempo_of(quarters_per_minute: float | Fraction) -> Tempo:
    """The tempo that a user asked for; `JudgingError` when it is not in range."""
    try:
        return Tempo(Fraction(quarters_per_minute).limit_denominator(1_000_000))
    except (ValueError, OverflowError):
        raise JudgingError(f"tempo {quarters_per_minute}: expected 10 to 400 quarters a minute") from None


def _start_ns(seconds: float) -> int:
    if not math.isfinite(seconds) or abs(seconds) > LONGEST_START_SECONDS:
        raise JudgingError(f"starts at {seconds}: expected seconds within a day")
    return round(seconds * NS_PER_SECOND)


def play_through(session: Session, messages: Iterable[StampedMessage]) -> Session:
    """Feed a whole take, in time order, and finish the session after its last message and its last due note."""
    last_ns = 0
    for message in messages:
        session.feed(message)
        last_ns = message.stamp_ns
    session.finish(max(last_ns, session.due_ns(len(session.exercise.notes) - 1)) + session.tolerance.revise_ns)
    return session


def judgement(session: Session) -> dict[str, Any]:
    """All that a finished session said, as plain JSON values."""
    return {
        "exercise": session.exercise.name,
        "pace": session.pace.value,
        "tempo_qpm": float(session.tempo.quarters_per_minute),
        "notes": [_written(session, index) for index in range(len(session.exercise.notes))],
        "events": [_event(session, event) for event in range(len(session.note_ons))],
        "heard": [_heard(session, onset) for onset in session.onsets],
        "jumps": [
            {"event": session.onsets[jump.heard].event, "from": jump.from_index, "to": jump.to_index}
            for jump in session.ledger.jumps
        ],
        "assessment": _assessment(session),
        "oddities": session.oddities,
    }


def _written(session: Session, index: int) -> dict[str, Any]:
    note = session.exercise.notes[index]
    verdict = session.ledger.of_written(index)
    entry: dict[str, Any] = {
        "index": index,
        "course": note.course,
        "fret": note.fret,
        "pitch": note.pitch,
        "due_ms": session.due_ns(index) / NS_PER_MS if session.is_timed else None,
        "verdict": _word(verdict),
        "event": None,
        "onset_ms": None,
        "deviation_ms": None,
        "technique_written": note.technique.value,
        "technique_played": "unknown",
    }
    if isinstance(verdict, Match | WrongNote):
        entry["event"] = session.onsets[verdict.heard].event
        entry["onset_ms"] = verdict.onset_ns / NS_PER_MS
        entry["deviation_ms"] = _ms(verdict.deviation_ns)
        judged = session.ledger.technique_of(index)
        entry["technique_played"] = _word_of(judged.judged) if judged else _technique(session, verdict.heard)
    return entry


def _event(session: Session, event: int) -> dict[str, Any]:
    heard = _speaking_for(session, event)
    verdict = session.ledger.of_heard(heard) if heard is not None else None
    return {
        "event": event,
        "index": verdict.index if isinstance(verdict, Match | WrongNote) else None,
        "verdict": "extra" if verdict is None else _word(verdict),
        "settled_after": None if heard is None else session.settled_after(heard),
    }


def _speaking_for(session: Session, event: int) -> int | None:
    """The heard note that an event's verdict is about: its own onset, unless only a bend that it carries is written."""
    carried = session.carried_by(event)
    for heard in carried:
        if isinstance(session.ledger.of_heard(heard), Match | WrongNote):
            return heard
    return carried[0] if carried else None


def _heard(session: Session, onset: NoteOnset) -> dict[str, Any]:
    course = onset.course
    return {
        "onset_ms": onset.onset_ns / NS_PER_MS,
        "course": course,
        "fret": None if course is None else session.exercise.tuning.fret_of(course, onset.pitch),
        "pitch": onset.pitch,
        "event": onset.event,
        "technique_played": _technique(session, onset.heard),
    }


def _technique(session: Session, heard: int) -> str:
    told = session.techniques.get(heard)
    return _word_of(told.technique if told else None)


def _word_of(technique: Technique | None) -> str:
    return technique.value if technique else "unknown"


def _assessment(session: Session) -> dict[str, Any]:
    figures = session.assessment()
    return {
        "matched": figures.matched,
        "wrong_pitch": figures.wrong_pitch,
        "wrong_string": figures.wrong_string,
        "missed": figures.missed,
        "extra": figures.extra,
        "bias_ms": figures.bias_ms,
        "spread_ms": figures.spread_ms,
    }


def _word(verdict: HeardVerdict | Missed | None) -> str:
    match verdict:
        case Match():
            return "matched"
        case WrongNote(slip=slip):
            return slip.value
        case Extra():
            return "extra"
        case Missed() | None:
            return "missed"


def _ms(span_ns: int | None) -> float | None:
    return None if span_ns is None else span_ns / NS_PER_MS
