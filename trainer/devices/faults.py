"""Faults planted on purpose, so that a test or a demonstration knows exactly what went wrong where.

The text form is a list of commands with commas between them; notes are counted from 0, as in the judge's output:

    miss 5, late 9 40, early 11 25, fret 7, string 12, unslid 16, picked 18, extra 20, pause 22 300,
    restart 30 12, repeat 40 32, skip 44 48

`restart 30 12` plays up to note 30, waits a moment and goes on from note 12; `repeat` does so without waiting; `skip`
goes forward. A fault happens at the first attempt at its note; a later attempt is as good as the player's skill.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum

from trainer.score.exercise import Exercise
from trainer.theory.technique import Technique


class FaultKind(StrEnum):
    """What can go wrong about a note; the values are the words of the text form."""

    MISS = "miss"
    """Not played at all."""
    LATE = "late"
    EARLY = "early"
    FRET = "fret"
    """Played at a wrong fret of its string."""
    STRING = "string"
    """Its pitch played on another string."""
    UNSLID = "unslid"
    """A written slide picked again instead."""
    PICKED = "picked"
    """A written hammer-on or pull-off picked again instead."""
    EXTRA = "extra"
    """A note that nobody wrote, between this note and the next."""
    PAUSE = "pause"
    """Hesitation before the note."""
    RESTART = "restart"
    REPEAT = "repeat"
    SKIP = "skip"


JUMPS = frozenset({FaultKind.RESTART, FaultKind.REPEAT, FaultKind.SKIP})
_IN_MS = frozenset({FaultKind.LATE, FaultKind.EARLY, FaultKind.PAUSE})
_ONE_OF_THESE = frozenset({FaultKind.MISS, FaultKind.FRET, FaultKind.STRING})


class FaultError(ValueError):
    """Faults that cannot be planted; `str()` is one line for each, for the person who typed them."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One planted fault: `amount_ns` for what is measured in time, `to_index` for jumps."""

    kind: FaultKind
    index: int
    amount_ns: int = 0
    to_index: int | None = None


@dataclass(frozen=True, slots=True)
class Faults:
    """All faults planted in one performance."""

    planted: tuple[Fault, ...] = ()

    def at(self, index: int) -> dict[FaultKind, Fault]:
        """The faults at written note `index`."""
        return {fault.kind: fault for fault in self.planted if fault.index == index}

    def that_fit(self, exercise: Exercise) -> "Faults":
        """Those that this exercise has a place for: a drill or a loop has fewer than its line."""
        return Faults(tuple(fault for fault in self.planted if _misfit(fault, exercise) is None))

    def check(self, exercise: Exercise) -> None:
        """`FaultError` with one line for every fault that this exercise leaves no place for."""
        complaints = [line for fault in self.planted if (line := _misfit(fault, exercise))]
        for index in sorted({fault.index for fault in self.planted}):
            rivals = sorted(_ONE_OF_THESE & self.at(index).keys())
            if len(rivals) > 1:
                complaints.append(f"note {index} cannot have both {rivals[0]} and {rivals[1]}")
        _raise_all(complaints)


def faults_from_text(text: str) -> Faults:
    """Faults from their text form; `FaultError` names every command that is not one, with the nearest word."""
    planted: list[Fault] = []
    complaints: list[str] = []
    for command in (part.strip() for part in re.split(r"[,;\n]", text)):
        if not command:
            continue
        try:
            planted.append(_fault_from(command))
        except FaultError as error:
            complaints.append(str(error))
    _raise_all(complaints)
    return Faults(tuple(planted))


def _fault_from(command: str) -> Fault:
    word, *figures = command.split()
    words = [kind.value for kind in FaultKind]
    if word not in words:
        near = get_close_matches(word.lower(), words, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"one of {', '.join(words)} is expected"
        raise FaultError(f"{command!r}: no fault is called {word!r}; {hint}")
    kind = FaultKind(word)
    form = _form(kind)
    if len(figures) != len(form) or not all(re.fullmatch(r"[0-9]{1,6}", figure) for figure in figures):
        raise FaultError(f"{command!r}: expected {' '.join([word, *form])!r} with whole numbers")
    first, *rest = map(int, figures)
    if kind in JUMPS:
        return Fault(kind, first, to_index=rest[0])
    return Fault(kind, first, amount_ns=rest[0] * 1_000_000 if rest else 0)


def _form(kind: FaultKind) -> list[str]:
    if kind in JUMPS:
        return ["NOTE", "TO-NOTE"]
    return ["NOTE", "MS"] if kind in _IN_MS else ["NOTE"]


def _misfit(fault: Fault, exercise: Exercise) -> str | None:
    last = len(exercise.notes) - 1
    for index in (fault.index, fault.to_index):
        if index is not None and not 0 <= index <= last:
            return f"{fault.kind} {fault.index}: the line has notes 0 to {last}, not {index}"
    written = exercise.notes[fault.index]
    if fault.kind is FaultKind.UNSLID and written.technique is not Technique.SLIDE:
        return f"unslid {fault.index}: that note is written as a {written.technique}, a slide is expected"
    if fault.kind is FaultKind.PICKED and written.technique not in {Technique.HAMMER, Technique.PULL}:
        return f"picked {fault.index}: that note is written as a {written.technique}, a hammer or pull is expected"
    if fault.kind is FaultKind.STRING and not same_pitch_elsewhere(exercise, fault.index):
        return f"string {fault.index}: no other string of this tuning has that pitch within {exercise.last_fret} frets"
    if fault.to_index is not None and (fault.to_index > fault.index + 1) != (fault.kind is FaultKind.SKIP):
        way = "forward, over at least one note" if fault.kind is FaultKind.SKIP else "back, or to the same note"
        return f"{fault.kind} {fault.index} {fault.to_index}: a {fault.kind} goes {way}"
    return None


def same_pitch_elsewhere(exercise: Exercise, index: int) -> tuple[tuple[int, int], ...]:
    """The other (course, fret) that sound the pitch of written note `index`, nearest string first."""
    written = exercise.notes[index]
    places = []
    for course in sorted(exercise.tuning.courses, key=lambda course: abs(course - written.course)):
        fret = exercise.tuning.fret_of(course, written.pitch)
        if course != written.course and fret is not None and fret <= exercise.last_fret:
            places.append((course, fret))
    return tuple(places)


def _raise_all(complaints: Iterable[str]) -> None:
    lines = list(complaints)
    if lines:
        raise FaultError("\n".join(lines))
