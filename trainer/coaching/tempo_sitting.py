"""One sitting with a procedure: passes are asked for, played, judged clean or not, and the figure is said.

A frozen value, like the procedure in it. Whoever plays the passes (the screen, the command) asks for `tempo()` and
hands back the figures of each pass.
"""

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Self

from trainer.coaching.asking import Procedure
from trainer.coaching.clean import Cleanness, CleanRule, cleanness, notes_a_second
from trainer.coaching.working_tempo import Estimate, WorkingTempo
from trainer.following.assessment import Assessment
from trainer.following.tolerance import Tolerance
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

REST_AFTER_PASSES = 5
REST_SECONDS = 30
"""Half a minute after every fifth pass: fast repeats of one passage load the hands most (our own figures; that load
should rise gradually and be broken off at the first discomfort is common advice)."""


@dataclass(frozen=True, slots=True)
class TempoSitting:
    """A line, a procedure, and what the passes so far were like."""

    exercise: Exercise
    procedure: Procedure
    judged: tuple[Cleanness, ...] = ()
    """One for each pass of the procedure."""
    remark: str = ""
    """About the last pass."""
    rule: CleanRule = CleanRule()  # noqa: RUF009 - a frozen value
    tolerance: Tolerance = Tolerance()  # noqa: RUF009 - a frozen value

    @property
    def is_over(self) -> bool:
        """Whether nothing more is asked."""
        return self.procedure.is_over

    def tempo(self) -> Tempo:
        """The tempo of the next pass."""
        return Tempo(Fraction(str(self.procedure.tempo())))

    def after(self, figures: Assessment) -> Self:
        """The sitting after a pass with these figures; one that was broken off does not count and is asked again."""
        tempo = self.tempo()
        found = cleanness(self.exercise, figures, tempo, self.tolerance, self.rule)
        if found is None:
            return replace(self, remark="That pass was broken off and does not count.")
        return replace(
            self,
            procedure=self.procedure.told(clean=found.is_clean),
            judged=(*self.judged, found),
            remark=f"Pass {len(self.judged) + 1} at ♩ = {float(tempo.quarters_per_minute):g}: {found.words()}.",
        )

    @property
    def is_rest_due(self) -> bool:
        """Whether the hands should rest before the next pass."""
        return bool(self.judged) and not self.is_over and len(self.judged) % REST_AFTER_PASSES == 0

    @property
    def estimate(self) -> Estimate | None:
        """The working tempo, if it is what is looked for and there is enough."""
        return self.procedure.estimate() if isinstance(self.procedure, WorkingTempo) else None

    def definition(self) -> str:
        """What clean means for the next pass; at the line's own tempo where that says nothing about the next."""
        tempo = self.exercise.tempo if self.is_over or self.procedure.is_hidden else self.tempo()
        return self.rule.words(self.exercise, tempo, self.tolerance)

    def words(self) -> str:
        """What was found so far, in notes a second as well."""
        estimate = self.estimate
        if estimate is None:
            return self.procedure.words()
        middle, low, high = (
            notes_a_second(self.exercise, qpm) for qpm in (estimate.qpm, estimate.low_qpm, estimate.high_qpm)
        )
        return f"{estimate.words()} In notes a second: {middle:.1f}, between {low:.1f} and {high:.1f}."
