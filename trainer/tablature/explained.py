"""Why a verdict is what it is, in plain sentences: for `boxwalk judge --explain` and for the result."""

from collections.abc import Callable

from trainer.following.explaining import Candidate, Explanation
from trainer.following.verdict import Match, Missed, Slip, TechniqueResult, WrongNote
from trainer.playing.messages import Inflection, NoteOnset
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

TECHNIQUE_WORDS = {
    Technique.PICK: "picked",
    Technique.HAMMER: "hammered",
    Technique.PULL: "pulled",
    Technique.SLIDE: "slid",
}
Named = Callable[[int], str]
SHOWN_CANDIDATES = 3
LEAST_SHARE = 0.001
"""Less likely readings than this are not worth a word."""


def sentences(explanation: Explanation, tuning: Tuning, named: Named = str) -> tuple[str, ...]:
    """What was written and said, what was heard, what else it might have been, and how it was begun.

    `named` says what a written note is called; by default its index.
    """
    said = [_written(explanation, named)]
    match explanation.verdict:
        case Match() | WrongNote():
            said += [_heard(explanation, tuning), *_read(explanation, named), *_begun(explanation)]
            if words := inflection_words(explanation.inflection):
                said.append(f"While it sounded: {words}.")
        case Missed():
            said += _missed(explanation, tuning, named)
        case None:
            said.append("The take ended before it.")
    if explanation.earlier_attempts:
        times = "once" if explanation.earlier_attempts == 1 else f"{explanation.earlier_attempts} times"
        said.append(f"It had been attempted {times} before; the last attempt counts.")
    return tuple(said)


def _written(explanation: Explanation, named: Named) -> str:
    note = explanation.note
    due = "" if explanation.due_ns is None else f", due at {_seconds(explanation.due_ns)}"
    return (
        f"Note {named(explanation.index)}, string {note.course} fret {note.fret}{due}: {_verdict_words(explanation)}."
    )


def _verdict_words(explanation: Explanation) -> str:
    match explanation.verdict:
        case Match():
            return "matched"
        case WrongNote(slip=Slip.PITCH):
            return "another pitch was played"
        case WrongNote():
            return "played on another string"
        case Missed():
            return "missed"
        case None:
            return "open"


def _heard(explanation: Explanation, tuning: Tuning) -> str:
    """When and where it was heard, how far off that is, and what that is measured against."""
    onset, verdict = explanation.onset, explanation.verdict
    if onset is None or not isinstance(verdict, Match | WrongNote):
        return ""
    said = f"Heard: {_place(onset, tuning)} at {_seconds(onset.onset_ns)}"
    if verdict.deviation_ns is None:
        return said + "; after a jump, a pause or at the start there is no time to measure it by."
    own = "" if explanation.due_ns is not None else " by your own tempo"
    deviation_ms, window_ms = verdict.deviation_ns / 1e6, explanation.window_ns / 1e6
    shown_ms = explanation.tolerance.shown_ns / 1e6
    within = "within" if abs(deviation_ms) <= window_ms else "outside"
    return (
        f"{said}, {_late_words(deviation_ms)}{own}; {within} the hit window of ±{window_ms:.0f} ms; "
        f"less than {shown_ms:.0f} ms is not heard."
    )


def _read(explanation: Explanation, named: Named) -> list[str]:
    """What it was taken for, and what else it might have been."""
    account = explanation.account
    if account is None:
        return []
    said = [f"When it was heard: {_listed(account.at_once, named)}."]
    if [one.index for one in account.at_once[:1]] != [one.index for one in account.settled[:1]] or account.settled[1:]:
        said.append(f"With what followed: {_listed(account.settled, named)}.")
    return said


def _listed(found: tuple[Candidate, ...], named: Named) -> str:
    """The readings and their likelihoods; the first one always, others if they are worth a word."""
    worth = [one for place, one in enumerate(found) if not place or one.share >= LEAST_SHARE]
    return ", ".join(f"{_reading(one, named)} {_percent(one)}" for one in worth[:SHOWN_CANDIDATES])


def _begun(explanation: Explanation) -> list[str]:
    """How it was begun, as far as the stream tells."""
    verdict, told = explanation.technique, explanation.told
    if verdict is None or told is None:
        return []
    written = f"Written to be {TECHNIQUE_WORDS[verdict.written]}"
    if told.technique is not None:
        heard = f"heard as {TECHNIQUE_WORDS[told.technique]}{_evidence(explanation.onset)}"
    elif told.one_of:
        heard = f"the pickup leaves open whether {' or '.join(TECHNIQUE_WORDS[one] for one in told.one_of)}"
    else:
        heard = "the pickup does not tell how"
    result = {
        TechniqueResult.AS_WRITTEN: "as written",
        TechniqueResult.OTHERWISE: "otherwise than written",
        TechniqueResult.NOT_MEASURABLE: "not measurable",
    }[verdict.result]
    return [f"{written}; {heard}: {result}."]


def _evidence(onset: NoteOnset | None) -> str:
    """By what a technique was told, where that can be said in a word."""
    return ", as its pitch moved there without a new attack" if onset is not None and onset.arrived_as_bend else ""


def _missed(explanation: Explanation, tuning: Tuning, named: Named) -> list[str]:
    """Between what it is missing, and what might have been it."""
    before, after = explanation.between
    if before is not None and after is not None:
        where = f"between {_place(before, tuning)} at {_seconds(before.onset_ns)} and "
        where += f"{_place(after, tuning)} at {_seconds(after.onset_ns)}"
    elif before is not None:
        where = f"after {_place(before, tuning)} at {_seconds(before.onset_ns)}"
    else:
        where = "before the first note" if after is not None else "in the whole take"
    said = [f"Nothing that was taken for it was heard {where}."]
    for onset, as_this, as_read in explanation.passed_over:
        if as_this.share >= LEAST_SHARE:
            heard = f"{_place(onset, tuning)} at {_seconds(onset.onset_ns)}"
            said.append(
                f"When it was heard, {heard} might have been it ({_percent(as_this)}); "
                f"it was read as {_reading(as_read, named)}."
            )
    return said


def _reading(candidate: Candidate, named: Named) -> str:
    if candidate.index is None:
        return "a note that is not written" if candidate.is_charged else "a slip of the pickup"
    return f"note {named(candidate.index)}{' after a jump' if candidate.is_jump else ''}"


def _percent(candidate: Candidate) -> str:
    """A share in percent, never rounded to certainty."""
    percent = 100 * candidate.share
    if percent >= 99.95:
        return "over 99.9 %"
    return f"{percent:.1f} %" if percent < 10 or percent > 90 else f"{percent:.0f} %"


def _place(onset: NoteOnset, tuning: Tuning) -> str:
    """Where on the neck something was heard."""
    if onset.course is None or onset.course not in tuning.courses:
        return f"pitch {onset.pitch}"
    return f"string {onset.course} fret {tuning.fret_of(onset.course, onset.pitch)}"


def _late_words(deviation_ms: float) -> str:
    """E.g. `12 ms late`."""
    rounded = round(abs(deviation_ms))
    return f"{rounded} ms {'late' if deviation_ms > 0 else 'early'}" if rounded else "on time"


def _seconds(at_ns: int) -> str:
    return f"{at_ns / 1e9:.3f} s"


def inflection_words(inflection: Inflection) -> str:
    """What was done to a note's pitch, as a sentence without a verb; empty when nothing was."""
    parts = []
    if inflection.bend_cents:
        way = "up" if inflection.bend_cents > 0 else "down"
        parts.append(f"bent {way} by {abs(inflection.bend_cents):.0f} cents")
    if inflection.vibrato_hz:
        parts.append(f"vibrato of {inflection.vibrato_hz:.1f} Hz, {inflection.vibrato_cents:.0f} cents to either side")
    return ", ".join(parts)
