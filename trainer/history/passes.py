"""The passes over a line, note by note: what the coach reads.

A take of a stretch (a loop, or what remained after a pause) counts for the whole line: its notes are given the places
that they have there, after making sure that the stretch is one of this very line.
"""

import json
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice

from trainer.following.verdict import Pace, Slip, TechniqueResult
from trainer.history import letters
from trainer.history.errors import HistoryError
from trainer.history.judged import exercise_hash
from trainer.history.opening import facts_in_words
from trainer.history.packing import JUMP, NO_DEVIATION, NOTE
from trainer.history.pass_facts import facts_of_passes
from trainer.history.store import History
from trainer.score.exercise import Exercise
from trainer.score.serial import exercise_from_dict
from trainer.score.tempo import Tempo
from trainer.theory.technique import Technique

_SLIPS = {letters.PITCH: Slip.PITCH, letters.STRING: Slip.STRING}


@dataclass(frozen=True, slots=True)
class NoteOfPass:
    """What stands about one written note of one pass."""

    onset_ns: int | None
    """In the take; None: missed."""
    deviation_ns: int | None
    """None: missed, or nothing was due."""
    heard: int | None
    """Ordinal among the heard notes of the take; None: missed."""
    slip: Slip | None = None
    """What was wrong about the note that was played in its place."""
    is_within_window: bool = True
    technique: Technique | None = None
    """How it was begun, as the stream tells."""
    technique_result: TechniqueResult | None = None
    """None: nothing was said."""
    comes_after_jump: bool = False
    """The player had just gone there from elsewhere: nothing led to it."""

    @property
    def is_missed(self) -> bool:
        """Whether nothing was played for it."""
        return self.onset_ns is None


@dataclass(frozen=True, slots=True)
class PassPlayed:
    """One pass over a line, or over a stretch of it."""

    take_id: int
    number: int
    """Counted in the take, from 0."""
    began: str
    """When the take began, ISO 8601."""
    pace: Pace
    quarters_per_minute: Fraction
    notes: Mapping[int, NoteOfPass]
    """By place in the line; open notes and those outside the stretch are not there."""
    is_whole: bool
    """Every note of the line was reached."""
    extra: int = 0
    """Heard and charged, though nobody wrote them; of a pass in pieces, those of its first piece."""


@dataclass(frozen=True, slots=True)
class LineTake:
    """One take of a line or of a stretch of it."""

    take_id: int
    began: str
    pace: Pace
    quarters_per_minute: Fraction
    passes: int
    first_note: int
    """Which note of the line, written out pass after pass, its first note is."""
    exercise: Exercise
    """One pass as it was played: the line, or the stretch."""


def passes_of(
    history: History,
    line: Exercise | str,
    player: str = "",
    last: int = 20,
    *,
    before_take: int | None = None,
) -> tuple[PassPlayed, ...]:
    """The last passes over a line by one player, the oldest first.

    `line` is an exercise, the hash of one, or a name, which means the line as it was when last played whole; no passes
    when there is none. `before_take`: only takes that began before that one. Passes of which nothing was played are
    left out; the pieces of a pass that a stretch covers count as a pass each.
    """
    whole = whole_line(history, line)
    if whole is None or last < 1:
        return ()
    found: list[PassPlayed] = []
    with facts_in_words(history.path):
        for take in takes_of(history, whole, player, before_take=before_take):
            found.extend(reversed(list(_passes_in(history, take, len(whole.notes)))))
            if len(found) >= last:
                break
    return tuple(reversed(found[:last]))


def whole_line(history: History, line: Exercise | str) -> Exercise | None:
    """The exercise that `passes_of` means; None when the history knows no such line."""
    if isinstance(line, Exercise):
        return line
    try:
        return history.exercise(line)
    except HistoryError:
        return history.latest_exercise(line)


def takes_of(
    history: History, whole: Exercise, player: str = "", *, before_take: int | None = None
) -> Iterator[LineTake]:
    """The takes of a line and of its stretches, the newest first."""
    with facts_in_words(history.path):
        rows = history.connection.execute(
            "SELECT takes.id, began, pace, tempo_numerator, tempo_denominator, passes, first_note, last_note, hash,"
            " serial FROM takes JOIN exercises ON exercises.id = exercise_id JOIN players ON players.id = player_id"
            " WHERE exercises.name = ?1 AND players.name = ?2"
            " AND (?3 IS NULL OR (began_s, takes.id) < (SELECT began_s, id FROM takes WHERE id = ?3))"
            " ORDER BY began_s DESC, takes.id DESC",
            (whole.name, player, before_take),
        )
        address = exercise_hash(whole)
        stretches: dict[tuple[int, int], str] = {}
        for take_id, began, pace, numerator, denominator, passes, first, last, kept_hash, serial in rows:
            if first is None:
                if kept_hash != address:
                    continue
                exercise = whole
            else:
                if (first, last) not in stretches:
                    stretches[first, last] = _stretch_hash(whole, first, last)
                if kept_hash != stretches[first, last]:
                    continue
                exercise = exercise_from_dict(json.loads(zlib.decompress(serial)))
            tempo = Tempo(Fraction(numerator, denominator))
            yield LineTake(take_id, began, Pace(pace), tempo.quarters_per_minute, passes, first or 0, exercise)


def _stretch_hash(whole: Exercise, first: int, last: int) -> str:
    try:
        return exercise_hash(whole.repeated(last // len(whole.notes) + 1).excerpt(first, last))
    except ValueError:  # a stretch of a line that was longer once
        return ""


def _passes_in(history: History, take: LineTake, line_length: int) -> Iterator[PassPlayed]:
    """The passes of a take, by the places of the whole line; a stretch over its end is two."""
    judged = history.judged(take.take_id)
    records = NOTE.iter_unpack(judged.notes)
    jumped_to = {to for _, _, to in JUMP.iter_unpack(judged.jumps)}
    facts = facts_of_passes(judged.notes, judged.extras, [one.outcomes for one in judged.passes])
    place = 0
    number = 0
    for one, of_pass in zip(judged.passes, facts, strict=True):
        notes: dict[int, NoteOfPass] = {}
        extra = of_pass.extra
        rows = zip(one.outcomes, one.techniques, islice(records, len(one.outcomes)), strict=True)
        for offset, (outcome, technique, record) in enumerate(rows):
            index = (take.first_note + offset) % line_length
            if index == 0 and offset:
                if notes:
                    yield _pass(take, number, notes, line_length, extra)
                number, notes, extra = number + 1, {}, 0
            if outcome != letters.OPEN:
                notes[index] = _note(outcome, technique, record, comes_after_jump=place in jumped_to)
            place += 1
        if notes:
            yield _pass(take, number, notes, line_length, extra)
        number += 1


def _pass(take: LineTake, number: int, notes: dict[int, NoteOfPass], line_length: int, extra: int) -> PassPlayed:
    return PassPlayed(
        take.take_id,
        number,
        take.began,
        take.pace,
        take.quarters_per_minute,
        notes,
        is_whole=len(notes) == line_length,
        extra=extra,
    )


def _note(outcome: str, technique: str, record: tuple[int, int, int], *, comes_after_jump: bool) -> NoteOfPass:
    heard, at_ns, deviation_ns = record
    if outcome == letters.MISSED:
        return NoteOfPass(None, None, None)
    result, played = letters.TECHNIQUES_BY_LETTER.get(technique, (None, None))
    return NoteOfPass(
        onset_ns=at_ns,
        deviation_ns=None if deviation_ns == NO_DEVIATION else deviation_ns,
        heard=heard,
        slip=_SLIPS.get(outcome),
        is_within_window=outcome == letters.WITHIN,
        technique=played,
        technique_result=result,
        comes_after_jump=comes_after_jump,
    )
