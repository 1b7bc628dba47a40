"""Judging a take: the session is fed event by event and its verdicts are written down as JSON.

The form of the result is `shared/judgement.schema.json`; times are ms from the start of the take, after latency
compensation. A live run without a window writes the same form, so what was said live can be compared with what is said
of the saved take.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from trainer.following.verdict import Extra, HeardVerdict, Match, Missed, WrongNote
from trainer.playing.messages import NoteOnset, StampedMessage
from trainer.session import Session
from trainer.shipped import SHARED
from trainer.theory.technique import Technique

NS_PER_MS = 1_000_000
SCHEMA_PATH: Path = SHARED / "judgement.schema.json"


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
        entry["technique_played"] = _technique(session, verdict.heard)
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
    technique: Technique | None = told.technique if told else None
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
