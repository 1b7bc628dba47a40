"""The fold of verdicts: what stands now about every heard and every written note.

The screen, the assessment and the JSON of `boxwalk judge` all read this one fold, so they cannot disagree. Attempts at
a written note are ordered by the heard notes that they belong to; the latest one is what counts for the written note.
"""

from trainer.following.verdict import (
    Awaited,
    Extra,
    HeardVerdict,
    Jump,
    Match,
    Missed,
    TechniqueVerdict,
    Verdict,
    WrongNote,
)

Attempt = Match | WrongNote | Missed
_Place = tuple[int, int]
"""Where an attempt stands among the heard notes: the note itself, or just after the note before the gap."""


class Ledger:
    """All verdicts of a run, with revisions applied."""

    def __init__(self) -> None:
        self._heard: dict[int, HeardVerdict] = {}
        self._attempts: dict[int, dict[_Place, Attempt]] = {}
        self._techniques: dict[int, TechniqueVerdict] = {}
        self._jumps: dict[int, Jump] = {}

    def fold(self, verdict: Verdict) -> None:
        """Let one verdict count; a later one about the same heard note, or `Awaited`, replaces it."""
        match verdict:
            case Match() | WrongNote() | Extra():
                self._let_go(verdict.heard)
                self._heard[verdict.heard] = verdict
                if not isinstance(verdict, Extra):
                    self._attempts.setdefault(verdict.index, {})[(verdict.heard, 0)] = verdict
            case Missed():
                self._attempts.setdefault(verdict.index, {})[(verdict.after_heard, 1)] = verdict
            case Awaited():
                self._attempts.get(verdict.index, {}).pop((verdict.after_heard, 1), None)
            case TechniqueVerdict():
                self._techniques[verdict.heard] = verdict
            case Jump():
                self._jumps[verdict.heard] = verdict

    def of_heard(self, heard: int) -> HeardVerdict | None:
        """What stands about a heard note; None when nothing has been said."""
        return self._heard.get(heard)

    def of_written(self, index: int) -> Attempt | None:
        """The latest attempt at a written note; None while it is open."""
        attempts = self._attempts.get(index)
        return attempts[max(attempts)] if attempts else None

    def attempts(self, index: int) -> tuple[Attempt, ...]:
        """All attempts at a written note, in the order in which they were played."""
        return tuple(attempt for _, attempt in sorted(self._attempts.get(index, {}).items()))

    def technique_of(self, index: int) -> TechniqueVerdict | None:
        """The technique verdict on the latest attempt at a written note, if that attempt matched and it is known."""
        latest = self.of_written(index)
        if not isinstance(latest, Match):
            return None
        verdict = self._techniques.get(latest.heard)
        return verdict if verdict is not None and verdict.index == index else None

    @property
    def heard(self) -> tuple[HeardVerdict, ...]:
        """What stands about each heard note, in the order in which they were heard."""
        return tuple(verdict for _, verdict in sorted(self._heard.items()))

    @property
    def jumps(self) -> tuple[Jump, ...]:
        """The restarts, repeats and skips, in the order in which they were played."""
        return tuple(jump for _, jump in sorted(self._jumps.items()))

    @property
    def techniques(self) -> tuple[TechniqueVerdict, ...]:
        """What was said of how heard notes were begun, in the order in which they were heard."""
        return tuple(verdict for _, verdict in sorted(self._techniques.items()))

    def _let_go(self, heard: int) -> None:
        """Free the written note that an earlier verdict gave to this heard note."""
        earlier = self._heard.get(heard)
        if isinstance(earlier, Match | WrongNote):
            self._attempts[earlier.index].pop((heard, 0), None)
