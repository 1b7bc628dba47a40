"""What has been said, so that only news is said.

The follower reads its best path back after every note; this turns the reading into verdicts, and leaves out what was
said before. A verdict that differs from the one said before about the same heard note is a revision.
"""

from collections.abc import Iterable

from trainer.following import own_pace
from trainer.following.paths import Kind, Step
from trainer.following.verdict import (
    Awaited,
    Extra,
    HeardVerdict,
    Match,
    Missed,
    Slip,
    TechniqueResult,
    TechniqueVerdict,
    Verdict,
    WrongNote,
)
from trainer.playing.messages import NoteOnset, TechniqueHeard
from trainer.score.exercise import Exercise
from trainer.theory.technique import Technique

SLURS = (Technique.HAMMER, Technique.PULL)

Gap = tuple[int, int]
"""A written note that was not played, and the heard note after which it was not."""


class Telling:
    """Remembers what was said about the heard notes and about those that are missing."""

    def __init__(self, exercise: Exercise) -> None:
        self._notes = exercise.notes
        self._heard: dict[int, HeardVerdict] = {}
        self._missing: dict[Gap, Missed] = {}
        self._heard_techniques: dict[int, TechniqueHeard] = {}
        self._techniques: dict[int, TechniqueVerdict] = {}

    def step(self, step: Step, note: NoteOnset, missed: Iterable[int], *, settled: bool) -> list[Verdict]:
        """The news in how a heard note is read, and in the written notes that it leaves behind."""
        news: list[Verdict] = []
        for index in missed:
            news += self._miss(Missed(index, step.after_heard, note.known_ns, settled))
        verdict = self._verdict(step, note, settled=settled)
        if self._heard.get(note.heard) != verdict:
            self._heard[note.heard] = verdict
            news.append(verdict)
            news += self._technique(note.heard)
        return news

    def has_told(self, heard: int) -> bool:
        """Whether anything was said about a heard note yet."""
        return heard in self._heard

    def overdue(self, missed: Missed) -> list[Verdict]:
        """The news in a written note that is given up while nothing is heard."""
        return [] if (missed.index, missed.after_heard) in self._missing else self._miss(missed)

    def take_back(self, standing: set[Gap], now_ns: int) -> list[Verdict]:
        """Take back what was said to be missing, is not settled, and no longer stands."""
        gone = [gap for gap in self._missing if gap not in standing]
        for gap in gone:
            del self._missing[gap]
        return [Awaited(index, after_heard, now_ns) for index, after_heard in gone]

    def reopen(self, step: Step, note: NoteOnset, missed: Iterable[int]) -> None:
        """Let what was settled as missing be open to being taken back."""
        for index in missed:
            self._missing[(index, step.after_heard)] = Missed(index, step.after_heard, note.known_ns, settled=True)

    def technique(self, told: TechniqueHeard) -> list[Verdict]:
        """The news in how a heard note was begun."""
        self._heard_techniques[told.heard] = told
        return self._technique(told.heard)

    def _miss(self, missed: Missed) -> list[Verdict]:
        gap = (missed.index, missed.after_heard)
        earlier = self._missing.pop(gap, None)
        if earlier is not None:
            missed = Missed(missed.index, missed.after_heard, earlier.known_ns, missed.settled)
        if not missed.settled:
            self._missing[gap] = missed
        return [] if earlier == missed else [missed]

    def _verdict(self, step: Step, note: NoteOnset, *, settled: bool) -> HeardVerdict:
        if step.kind is not Kind.WRITTEN:
            return Extra(note.heard, note.onset_ns, charged=step.kind is Kind.EXTRA, settled=settled)
        index, written = step.taken, self._notes[step.taken]
        deviation = own_pace.deviation_ns(step.trail) if step.trail else step.deviation_ns
        if note.pitch != written.pitch:
            return WrongNote(note.heard, index, Slip.PITCH, note.onset_ns, deviation, settled)
        if note.course not in (None, written.course):
            return WrongNote(note.heard, index, Slip.STRING, note.onset_ns, deviation, settled)
        return Match(note.heard, index, note.onset_ns, deviation, settled)

    def _technique(self, heard: int) -> list[Verdict]:
        """The second verdict on a matched note, once both sides are known."""
        told, match = self._heard_techniques.get(heard), self._heard.get(heard)
        if told is None or not isinstance(match, Match):
            return []
        written = self._notes[match.index].technique
        result = technique_result(written, told)
        verdict = TechniqueVerdict(heard, match.index, written, told.technique, result)
        if self._techniques.get(heard) == verdict:
            return []
        self._techniques[heard] = verdict
        return [verdict]


def technique_result(written: Technique, told: TechniqueHeard) -> TechniqueResult:
    """How the technique told relates to the one written.

    Where the stream leaves several, one that it rules out was not played, and a hammer-on or pull-off that it leaves
    open is believed. A slide is not: what tells it, the way through the frets, would have been there to hear.
    """
    if told.technique is not None:
        return TechniqueResult.AS_WRITTEN if told.technique is written else TechniqueResult.OTHERWISE
    if not told.one_of:
        return TechniqueResult.NOT_MEASURABLE
    if written not in told.one_of:
        return TechniqueResult.OTHERWISE
    return TechniqueResult.AS_WRITTEN if written in SLURS else TechniqueResult.NOT_MEASURABLE
