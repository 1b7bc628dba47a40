"""The figures of single passes: what the bottom line and the result say of each time through the line.

Conventions as in `trainer.following.assessment`, whose figures these are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.following.assessment import TechniqueCount, bias_ms, spread_ms
from trainer.following.ledger import Ledger
from trainer.following.verdict import Match, TechniqueResult
from trainer.score.exercise import Exercise
from trainer.tablature.trace import signed_ms
from trainer.theory.technique import Technique

DONE_WORDS = {Technique.SLIDE: "slid", Technique.HAMMER: "hammered", Technique.PULL: "pulled"}
"""What a technique is called when it was done."""

BRIEF_WORDS = {Technique.SLIDE: "slid", Technique.HAMMER: "h", Technique.PULL: "p"}
"""The same in a table; h and p stand over the slurs."""


@dataclass(frozen=True, slots=True)
class PassSummary:
    """One time through a stretch of notes."""

    notes: int
    as_written: int
    """Matched, and begun as written as far as that was heard."""
    bias_ms: float | None
    spread_ms: float | None
    techniques: tuple[TechniqueCount, ...]

    @property
    def words(self) -> tuple[str, ...]:
        """The figures in the words of the trade."""
        words = [f"{self.as_written} of {self.notes} as written"]
        if self.bias_ms is not None:
            words.append(f"bias {signed_ms(self.bias_ms)} ms")
        if self.spread_ms is not None:
            words.append(f"spread {self.spread_ms:.0f} ms")
        return (*words, *(technique_words(count) for count in self.techniques))

    @property
    def brief_words(self) -> tuple[str, ...]:
        """The same, as short as a row of a table."""
        words = [f"{self.as_written}/{self.notes} as written"]
        if self.bias_ms is not None:
            words.append(f"bias {signed_ms(self.bias_ms)}")
        if self.spread_ms is not None:
            words.append(f"spread {self.spread_ms:.0f}")
        techniques = (f"{BRIEF_WORDS[one.technique]} {one.as_written}/{one.written}" for one in self.techniques)
        return (*words, *techniques)


@dataclass(frozen=True, slots=True)
class TakeFigures:
    """What one kept take came to, over all its passes."""

    date: str
    """ISO 8601."""
    is_simulated: bool
    pace: str
    """`click` or `free`."""
    quarters_per_minute: Fraction
    notes: int
    """How many were attempted, at least one."""
    as_written: int
    bias_ms: float | None
    spread_ms: float | None
    techniques: tuple[TechniqueCount, ...]

    @property
    def words(self) -> dict[str, str]:
        """The figures by their headings, to be set side by side."""
        return {
            "as written": f"{100 * self.as_written / self.notes:.0f} % of {self.notes}",
            "bias": "" if self.bias_ms is None else f"{signed_ms(self.bias_ms)} ms",
            "spread": "" if self.spread_ms is None else f"{self.spread_ms:.0f} ms",
            "techniques": "  ".join(
                f"{BRIEF_WORDS[one.technique]} {one.as_written}/{one.written}" for one in self.techniques
            ),
            "tempo": f"♩ = {float(self.quarters_per_minute):g}",
            "pace": "click" if self.pace == "click" else "own pace",
            "played": self.date[:10],
            "by": "simulated" if self.is_simulated else "player",
        }


def technique_words(count: TechniqueCount) -> str:
    """E.g. `slid 3 of 4`, or `slid 3 of 4, 1 not measurable`."""
    words = f"{DONE_WORDS[count.technique]} {count.as_written} of {count.written}"
    return f"{words}, {count.not_measurable} not measurable" if count.not_measurable else words


def pass_summary(exercise: Exercise, ledger: Ledger, indices: Sequence[int], *, is_timed: bool = True) -> PassSummary:
    """The figures of the notes at `indices`, by their latest attempts; no bias where nothing was due by a click."""
    deviations_ms = []
    as_written = 0
    for index in indices:
        verdict, technique = ledger.of_written(index), ledger.technique_of(index)
        if isinstance(verdict, Match):
            as_written += technique is None or technique.result is not TechniqueResult.OTHERWISE
            if verdict.deviation_ns is not None:
                deviations_ms.append(verdict.deviation_ns / 1e6)
    return PassSummary(
        notes=len(indices),
        as_written=as_written,
        bias_ms=bias_ms(deviations_ms) if is_timed else None,
        spread_ms=spread_ms(deviations_ms),
        techniques=technique_counts(exercise, ledger, indices),
    )


def technique_counts(exercise: Exercise, ledger: Ledger, indices: Sequence[int]) -> tuple[TechniqueCount, ...]:
    """What was heard of the slides, hammer-ons and pull-offs that are written among these notes."""
    counts = []
    for technique in DONE_WORDS:
        written = [index for index in indices if exercise.notes[index].technique is technique]
        results = [verdict.result for index in written if (verdict := ledger.technique_of(index)) is not None]
        if written:
            counts.append(
                TechniqueCount(
                    technique=technique,
                    written=len(written),
                    as_written=results.count(TechniqueResult.AS_WRITTEN),
                    otherwise=results.count(TechniqueResult.OTHERWISE),
                    not_measurable=results.count(TechniqueResult.NOT_MEASURABLE),
                )
            )
    return tuple(counts)
