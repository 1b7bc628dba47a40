"""The figures of single passes: what the bottom line and the result show of each time through the line.

Conventions: ms, negative = early; bias is the median deviation, spread the standard deviation (as in the assessment).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median, pstdev

from trainer.following.ledger import Ledger
from trainer.following.verdict import Match, TechniqueResult
from trainer.score.exercise import Exercise
from trainer.tablature.trace import signed_ms
from trainer.theory.technique import Technique

DONE_WORDS = {Technique.SLIDE: "slid", Technique.HAMMER: "hammered", Technique.PULL: "pulled"}
"""What a technique is called when it was done."""


@dataclass(frozen=True, slots=True)
class TechniqueCount:
    """How many written slides, hammer-ons or pull-offs were heard as such."""

    technique: Technique
    heard: int
    written: int
    not_measurable: int

    @property
    def words(self) -> str:
        """E.g. `slid 3 of 4`, or `slid 3 of 4, 1 not measurable`."""
        words = f"{DONE_WORDS[self.technique]} {self.heard} of {self.written}"
        return f"{words}, {self.not_measurable} not measurable" if self.not_measurable else words


@dataclass(frozen=True, slots=True)
class PassFigures:
    """One time through a stretch of notes."""

    notes: int
    clean: int
    """Matched, and begun as written as far as that was heard."""
    bias_ms: float | None
    spread_ms: float | None
    techniques: tuple[TechniqueCount, ...]

    @property
    def words(self) -> tuple[str, ...]:
        """The figures in the words of the trade."""
        words = [f"{self.clean} of {self.notes} clean"]
        if self.bias_ms is not None:
            words.append(f"bias {signed_ms(self.bias_ms)} ms")
        if self.spread_ms is not None:
            words.append(f"spread {self.spread_ms:.0f} ms")
        return (*words, *(count.words for count in self.techniques))


def pass_figures(exercise: Exercise, ledger: Ledger, indices: Sequence[int]) -> PassFigures:
    """The figures of the notes at `indices`, by their latest attempts."""
    deviations_ms = []
    clean = 0
    for index in indices:
        verdict, technique = ledger.of_written(index), ledger.technique_of(index)
        if isinstance(verdict, Match):
            clean += technique is None or technique.result is not TechniqueResult.OTHERWISE
            if verdict.deviation_ns is not None:
                deviations_ms.append(verdict.deviation_ns / 1e6)
    return PassFigures(
        notes=len(indices),
        clean=clean,
        bias_ms=median(deviations_ms) if deviations_ms else None,
        spread_ms=pstdev(deviations_ms) if len(deviations_ms) > 1 else None,
        techniques=technique_counts(exercise, ledger, indices),
    )


def technique_counts(exercise: Exercise, ledger: Ledger, indices: Sequence[int]) -> tuple[TechniqueCount, ...]:
    """What was heard of the slides, hammer-ons and pull-offs that are written among these notes."""
    counts = []
    for technique in DONE_WORDS:
        written = [index for index in indices if exercise.notes[index].technique is technique]
        results = [verdict.result for index in written if (verdict := ledger.technique_of(index)) is not None]
        if written:
            heard = results.count(TechniqueResult.AS_WRITTEN)
            counts.append(TechniqueCount(technique, heard, len(written), results.count(TechniqueResult.NOT_MEASURABLE)))
    return tuple(counts)
